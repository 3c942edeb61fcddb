package pocket

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Relief. The depth of a groove at a place is how far the lower of its two
// flanking ridges stands over it. As a picture operation: close the height map
// with a flat disc wider than the groove (highest within the disc, then lowest
// of those within the disc) and subtract the map. A disc that covers the place
// cannot avoid both flanks, so closing fills the groove to its lower flank and
// no further, whatever way it runs. A ridge is the same upside down.

// FeatureKind says what a feature is.
type FeatureKind int

const (
	// Groove is lower than its two sides: scapha, triangular fossa, concha.
	Groove FeatureKind = iota
	// Ridge is higher than its two sides: antihelix fold, helix.
	Ridge
)

// Feature is a named groove or ridge of the frame.
type Feature struct {
	Name   string
	Kind   FeatureKind
	Region Region // its outline seen from outside: a groove's floor with its walls

	// Reach is how far from any place of the feature its flanks' crests are
	// looked for, mm; 0 means its largest half width and 2 mm more (ours, no
	// source).
	Reach float64
}

// flankReach is what is added to a feature's half width to reach its flanks'
// crests, mm; ours, no source.
const flankReach = 2

// Relief is how much of a feature shows.
type Relief struct {
	Feature Feature
	OnFrame float64    // greatest depth (or height) on the bare frame, mm
	OnSkin  float64    // greatest depth (or height) on the skin's outside, mm
	Mean    [2]float64 // mean over the feature's region, on the frame and on the skin, mm
	Kept    float64    // OnSkin / OnFrame, 0 if there is none on the frame
	Where   mgl64.Vec2 // deepest (or highest) place on the frame, mm
	Reach   float64    // used, mm
	Width   float64    // twice the largest distance from the region's edge, mm
}

// Lost reports whether less than half of the feature shows: a groove that the
// skin has filled. The half is the user's rule.
func (r Relief) Lost() bool { return r.Kept < 0.5 }

// Relief measures a feature on the frame and on the skin's outside.
// It is an *EmptyError if no grid node lies in the feature's region.
func (d *Drape) Relief(skin *Skin, f Feature) (Relief, error) {
	nodes, deepest := d.nodesOf(f.Region)
	if len(nodes) == 0 {
		return Relief{}, &EmptyError{"no grid node inside the pocket lies in the outline of " + f.Name + ": expected an outline over the frame, wider than a grid step"}
	}
	if f.Reach == 0 {
		f.Reach = deepest + flankReach
	}
	if !(f.Reach > 0) || f.Reach > 1e3 {
		return Relief{}, &ValueError{"reach of " + f.Name, f.Reach, "a positive number of millimetres, at most 1000"}
	}
	r := Relief{Feature: f, Reach: f.Reach, Width: 2 * deepest}
	w := d.window(nodes, f.Reach)
	for n, heights := range [2][]float64{d.Frame, skin.Heights} {
		depth := w.depth(heights, f)
		best, sum := 0.0, 0.0
		for _, k := range nodes {
			here := depth[w.index(k, d.Grid.Columns)]
			sum += here
			if here > best {
				best = here
				if n == 0 {
					r.Where = d.Grid.Place(k)
				}
			}
		}
		r.Mean[n] = sum / float64(len(nodes))
		if n == 0 {
			r.OnFrame = best
		} else {
			r.OnSkin = best
		}
	}
	if r.OnFrame > overTheBed {
		r.Kept = r.OnSkin / r.OnFrame
	}
	return r, nil
}

// nodesOf returns the drape's nodes in a region and the largest distance of one
// from the region's edge, mm.
func (d *Drape) nodesOf(region Region) (nodes []int, deepest float64) {
	lo, hi := region.Bounds()
	g := d.Grid
	i0, i1 := clampIndex((lo[0]-g.Origin[0])/g.Step, g.Columns), clampIndex((hi[0]-g.Origin[0])/g.Step+1, g.Columns)
	j0, j1 := clampIndex((lo[1]-g.Origin[1])/g.Step, g.Rows), clampIndex((hi[1]-g.Origin[1])/g.Step+1, g.Rows)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			k := j*g.Columns + i
			if !d.Inside[k] {
				continue
			}
			if distance := region.Distance(g.Place(k)); distance <= 0 {
				nodes = append(nodes, k)
				deepest = max(deepest, -distance)
			}
		}
	}
	return nodes, deepest
}

// clampIndex turns a place in grid units into an index below count.
func clampIndex(v float64, count int) int {
	return int(min(max(v, 0), float64(count-1)))
}

// window is a part of the grid that holds a feature and its flanks twice over.
type window struct {
	i0, j0, columns, rows int
	gridColumns           int
	radius                float64 // of the disc, in grid steps
}

func (d *Drape) window(nodes []int, reach float64) window {
	g := d.Grid
	radius := reach / g.Step
	margin := 2*int(math.Ceil(radius)) + 1
	i0, j0, i1, j1 := g.Columns, g.Rows, 0, 0
	for _, k := range nodes {
		i, j := k%g.Columns, k/g.Columns
		i0, i1, j0, j1 = min(i0, i), max(i1, i), min(j0, j), max(j1, j)
	}
	i0, j0 = max(i0-margin, 0), max(j0-margin, 0)
	i1, j1 = min(i1+margin, g.Columns-1), min(j1+margin, g.Rows-1)
	return window{i0, j0, i1 - i0 + 1, j1 - j0 + 1, g.Columns, radius}
}

func (w window) index(k, gridColumns int) int {
	return (k/gridColumns-w.j0)*w.columns + k%gridColumns - w.i0
}

// depth returns how deep (or high) every node of the window lies, mm.
func (w window) depth(heights []float64, f Feature) []float64 {
	sign := 1.0
	if f.Kind == Ridge {
		sign = -1
	}
	part := make([]float64, w.columns*w.rows)
	for j := range w.rows {
		for i := range w.columns {
			part[j*w.columns+i] = sign * heights[(w.j0+j)*w.gridColumns+w.i0+i]
		}
	}
	closed := w.highest(w.highest(part, 1), -1)
	for k := range closed {
		closed[k] -= part[k]
	}
	return closed
}

// highest returns the highest value within the disc around every node, or with
// sign −1 the lowest. Beyond the window there is nothing. The disc is a stack
// of rows; the highest along a row of any length costs the same.
func (w window) highest(values []float64, sign float64) []float64 {
	out := make([]float64, len(values))
	for k := range out {
		out[k] = math.Inf(-1)
	}
	row := make([]float64, len(values))
	ahead, behind := make([]float64, w.columns), make([]float64, w.columns)
	reach := int(w.radius)
	for dj := 0; dj <= reach; dj++ {
		half := int(math.Sqrt(w.radius*w.radius - float64(dj*dj)))
		for j := range w.rows {
			slidingHighest(values[j*w.columns:(j+1)*w.columns], row[j*w.columns:(j+1)*w.columns], ahead, behind, half, sign)
		}
		for j := range w.rows {
			for _, from := range [2]int{j - dj, j + dj} {
				if from < 0 || from >= w.rows {
					continue
				}
				source, target := row[from*w.columns:(from+1)*w.columns], out[j*w.columns:(j+1)*w.columns]
				for i, v := range source {
					target[i] = max(target[i], v)
				}
			}
		}
	}
	for k := range out {
		out[k] *= sign
	}
	return out
}

// slidingHighest writes to out[i] the highest of sign·in over i−half…i+half,
// by running maxima from both ends of blocks of the run's length (van Herk
// 1992, Pattern Recognit. Lett. 13:517, from memory).
func slidingHighest(in, out, ahead, behind []float64, half int, sign float64) {
	run := 2*half + 1
	last := len(in) - 1
	for i, v := range in {
		ahead[i] = sign * v
		if i%run != 0 {
			ahead[i] = max(ahead[i], ahead[i-1])
		}
	}
	for i := last; i >= 0; i-- {
		behind[i] = sign * in[i]
		if i != last && (i+1)%run != 0 {
			behind[i] = max(behind[i], behind[i+1])
		}
	}
	for i := range out {
		from, to := max(i-half, 0), min(i+half, last)
		switch {
		case from/run != to/run:
			out[i] = max(behind[from], ahead[to])
		case to == last:
			out[i] = behind[from]
		default: // a whole block, or cut short by the row's start
			out[i] = ahead[to]
		}
	}
}
