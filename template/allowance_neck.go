package template

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// depthAccuracy is how closely in mm the widest place is found.
const depthAccuracy = 3e-3

// widest returns the centre and radius of the largest circle in the region, by
// splitting squares, the most promising first: none holds a point deeper than
// its middle's depth and half its diagonal.
func widest(ctx context.Context, region *field.Region) (centre mgl64.Vec2, depth float64) {
	lo, hi := region.Bounds()
	size := math.Max(hi[0]-lo[0], hi[1]-lo[1])
	queue := &squares{}
	add := func(middle mgl64.Vec2, half float64) {
		d := -region.Distance(middle)
		if d > depth || queue.Len() == 0 && depth == 0 {
			centre, depth = middle, d
		}
		heap.Push(queue, square{middle, half, d + half*math.Sqrt2})
	}
	add(lo.Add(hi).Mul(0.5), size/2)
	for queue.Len() > 0 && ctx.Err() == nil {
		s := heap.Pop(queue).(square)
		if s.most <= depth+depthAccuracy {
			break
		}
		half := s.half / 2
		for _, corner := range [4]mgl64.Vec2{{-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
			add(s.middle.Add(corner.Mul(half)), half)
		}
	}
	return centre, math.Max(depth, 0)
}

// square is a square that may hold the deepest point.
type square struct {
	middle     mgl64.Vec2
	half, most float64
}

// squares is a heap, the most promising on top.
type squares []square

func (s squares) Len() int           { return len(s) }
func (s squares) Less(i, j int) bool { return s[i].most > s[j].most }
func (s squares) Swap(i, j int)      { s[i], s[j] = s[j], s[i] }
func (s *squares) Push(x any)        { *s = append(*s, x.(square)) }
func (s *squares) Pop() any {
	last := (*s)[len(*s)-1]
	*s = (*s)[:len(*s)-1]
	return last
}

// neck is a narrowest place: the middle of the region there, and its depth.
type neck struct {
	at    mgl64.Vec2
	depth float64
}

const (
	// neckSamples is about how many samples of the region's box are looked at
	// for its necks.
	neckSamples = 60_000
	// neckSpacing is the least spacing in mm of these samples.
	neckSpacing = 0.1
)

// mostPieces bounds how many pieces are looked at for their necks.
const mostPieces = 64

// necks returns the necks by which the pieces left hang together in the region,
// the widest between any two: flooding the region from its deepest points down,
// the lakes that hold two pieces meet there.
func necks(ctx context.Context, region *field.Region, left []Outline) []neck {
	f := newFlood(ctx, region)
	if ctx.Err() != nil {
		return nil
	}
	left = left[:min(len(left), mostPieces)]
	for k, piece := range left {
		f.mark(piece.Outer[0], k)
	}
	var found []neck
	for _, s := range f.samples {
		if f.wet(s) {
			found = append(found, narrowest(region, f.place(s), f.spacing))
		}
		if len(found) == len(left)-1 {
			break
		}
	}
	return found
}

// sample is a lattice point inside the region.
type sample struct {
	column, row int
	depth       float64
}

// flood joins samples into lakes, the deepest first.
type flood struct {
	origin  mgl64.Vec2
	spacing float64
	columns int
	samples []sample
	lake    []int32  // by lattice point: the parent in its lake's tree, -1 if dry
	pieces  []uint64 // by a lake's root: the pieces it holds, one bit each
}

func newFlood(ctx context.Context, region *field.Region) *flood {
	lo, hi := region.Bounds()
	width, height := hi[0]-lo[0], hi[1]-lo[1]
	f := &flood{origin: lo, spacing: math.Max(neckSpacing, math.Sqrt(width*height/neckSamples))}
	f.columns = int(width/f.spacing) + 1
	rows := int(height/f.spacing) + 1
	f.lake = make([]int32, f.columns*rows)
	f.pieces = make([]uint64, f.columns*rows)
	for row := range rows {
		if ctx.Err() != nil {
			break
		}
		for column := range f.columns {
			s := sample{column, row, 0}
			f.lake[f.index(s)] = -1
			if s.depth = -region.Distance(f.place(s)); s.depth > 0 {
				f.samples = append(f.samples, s)
			}
		}
	}
	slices.SortStableFunc(f.samples, func(a, b sample) int { return cmp.Compare(b.depth, a.depth) })
	return f
}

func (f *flood) index(s sample) int32 { return int32(s.row*f.columns + s.column) }

func (f *flood) place(s sample) mgl64.Vec2 {
	return f.origin.Add(mgl64.Vec2{float64(s.column), float64(s.row)}.Mul(f.spacing))
}

func (f *flood) root(i int32) int32 {
	for f.lake[i] != i {
		f.lake[i] = f.lake[f.lake[i]]
		i = f.lake[i]
	}
	return i
}

// mark notes that a piece lies at p: at the nearest sample inside the region.
func (f *flood) mark(p mgl64.Vec2, piece int) {
	nearest, distance := 0, math.Inf(1)
	for i, s := range f.samples {
		if d := f.place(s).Sub(p).LenSqr(); d < distance {
			nearest, distance = i, d
		}
	}
	if len(f.samples) > 0 {
		f.pieces[f.index(f.samples[nearest])] |= 1 << piece
	}
}

// wet adds a sample and joins the lakes around it; it reports whether two of
// them held different pieces.
func (f *flood) wet(s sample) (merged bool) {
	here := f.index(s)
	f.lake[here] = here
	rows := len(f.lake) / f.columns
	for dr := -1; dr <= 1; dr++ {
		for dc := -1; dc <= 1; dc++ {
			column, row := s.column+dc, s.row+dr
			if column < 0 || row < 0 || column >= f.columns || row >= rows {
				continue
			}
			other := f.index(sample{column: column, row: row})
			if f.lake[other] < 0 {
				continue
			}
			a, b := f.root(here), f.root(other)
			if a == b {
				continue
			}
			merged = merged || f.pieces[a] != 0 && f.pieces[b] != 0
			f.lake[b] = a
			f.pieces[a] |= f.pieces[b]
		}
	}
	return merged
}

// narrowest returns the neck near p: the least deep point of the middle line
// within reach of it.
func narrowest(region *field.Region, p mgl64.Vec2, reach float64) neck {
	start := middle(region, p)
	_, foot := region.Nearest(start.at)
	across := start.at.Sub(foot)
	along := mgl64.Vec2{-across[1], across[0]}.Normalize()
	at := func(t float64) neck { return middle(region, start.at.Add(along.Mul(t))) }
	// Golden section search (Kiefer 1953).
	const ratio, rounds = 0.6180339887498949, 24
	a, b := -2*reach, 2*reach
	for range rounds {
		c, d := b-ratio*(b-a), a+ratio*(b-a)
		if at(c).depth < at(d).depth {
			b = d
		} else {
			a = c
		}
	}
	if best := at((a + b) / 2); best.depth < start.depth {
		return best
	}
	return start
}

// middle returns the point on the region's middle line that p is led to, away
// from its nearest edge: the last for which that edge is still the nearest.
func middle(region *field.Region, p mgl64.Vec2) neck {
	d, foot := region.Nearest(p)
	depth := -d
	if depth <= 0 {
		return neck{p, 0}
	}
	away := p.Sub(foot).Mul(1 / depth)
	holds := func(t float64) bool { return -region.Distance(foot.Add(away.Mul(t))) > t-touching }
	low, high := depth, 2*depth
	for holds(high) {
		low, high = high, 2*high
	}
	const halvings = 50
	for range halvings {
		if t := (low + high) / 2; holds(t) {
			low = t
		} else {
			high = t
		}
	}
	return neck{foot.Add(away.Mul(low)), low}
}
