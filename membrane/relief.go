package membrane

import (
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Relief. The depth of a groove at a place is how far the lower of its two
// flanking ridges stands over it. As a picture operation: close the height map
// with a flat disc wider than the groove (highest within the disc, then lowest
// of those within the disc) and subtract the map. A disc that covers the place
// cannot avoid both flanks, so closing fills the groove to its lower flank and
// no further, whatever way it runs. A ridge is the same upside down.
//
// One groove has many depths along its way. They are taken at the nodes of its
// midline, each the greatest depth within the width it has there, which is the
// depth of the section across it; the median along the midline stands for the
// groove, so that an open end does not.

// FeatureKind says what a feature is.
type FeatureKind int

const (
	// Groove is lower than its two sides.
	Groove FeatureKind = iota
	// Ridge is higher than its two sides.
	Ridge
)

// Feature is a named groove or ridge of the frame.
type Feature struct {
	Name   string
	Kind   FeatureKind
	Region Region // its outline seen from outside: a groove's floor with its walls

	// Reach is how far from any place of the feature its flanks' crests are
	// looked for, mm; 0 means its largest half width and 2 mm more (ours, no
	// source). On skin, a ridge's are as much farther as the skin is thick.
	Reach float64
}

// flankReach is what is added to a feature's half width to reach its flanks'
// crests, mm; ours, no source.
const flankReach = 2

// Relief is how much of a feature shows.
type Relief struct {
	Feature  Feature
	OnFrame  float64    // depth (or height) on the bare frame, median along it, mm
	OnSkin   float64    // depth (or height) on the skin's outside, median along it, mm
	Kept     float64    // OnSkin / OnFrame, at most 1; 0 if there is none on the frame
	LostPart float64    // share of its length along which less than half is kept
	Where    mgl64.Vec2 // deepest (or highest) section on the frame, mm
	Deepest  float64    // depth (or height) there on the frame, mm
	Reach    float64    // used, mm
	Width    float64    // twice the largest distance from the region's edge, mm
}

// keptEnough is the share of a groove that must be kept; a rule of this program,
// no source.
const keptEnough = 0.5

// Lost reports whether less than half of the feature shows: a groove that the
// skin has filled.
func (r Relief) Lost() bool { return r.Kept < keptEnough }

// Relief measures a feature on the frame and on the skin's outside.
// It is an *EmptyError if no grid node lies in the feature's region.
func (d *Drape) Relief(skin *Skin, f Feature) (Relief, error) {
	c, err := d.courseOf(f)
	if err != nil {
		return Relief{}, err
	}
	r := Relief{Feature: c.feature, Reach: c.feature.Reach, Width: c.width}
	under := c.under(skin.Thickness)
	bare, covered := c.depths(c.surface(d.Frame)), under.depths(under.surface(skin.Heights))
	lost := 0
	for n, s := range c.sections {
		if bare[n] > r.Deepest {
			r.Deepest, r.Where = bare[n], d.Grid.Place(s.node)
		}
		if covered[n] < keptEnough*bare[n] {
			lost++
		}
	}
	r.LostPart = float64(lost) / float64(len(c.sections))
	r.OnFrame, r.OnSkin = median(bare), median(covered)
	if r.OnFrame > overTheBed {
		r.Kept = math.Min(1, r.OnSkin/r.OnFrame)
	}
	return r, nil
}

// Shown returns the depth (or height) of a feature on the outside of skin of the
// given thickness, mm, median along it: Relief's OnSkin. The skin's outside is only
// worked out where it is asked for.
func (d *Drape) Shown(ctx context.Context, thickness float64, f Feature) (float64, error) {
	c, err := d.courseOf(f)
	if err != nil {
		return 0, err
	}
	c = c.under(thickness)
	outside, err := d.outside(ctx, thickness, c.seen())
	if err != nil {
		return 0, err
	}
	return median(c.depths(outside)), nil
}

// course is where a feature runs on a grid.
type course struct {
	grid     Grid
	feature  Feature // its reach settled
	width    float64 // mm
	sections []section
	looked   nodes // all that the sections hold
}

func (d *Drape) courseOf(f Feature) (course, error) {
	within := d.nodesOf(f.Region)
	if len(within.nodes) == 0 {
		return course{}, &EmptyError{"no grid node inside the pocket lies in the outline of " + f.Name +
			": expected an outline over the frame, wider than a grid step"}
	}
	if f.Reach == 0 {
		f.Reach = within.deepest + flankReach
	}
	if !(f.Reach > 0) || f.Reach > 1e3 {
		return course{}, &ValueError{"reach of " + f.Name, f.Reach, "a positive number of millimetres, at most 1000"}
	}
	c := course{grid: d.Grid, feature: f, width: 2 * within.deepest, sections: within.midline(d.Grid, f.Region)}
	i0, j0, i1, j1 := d.Grid.Columns, d.Grid.Rows, 0, 0
	for _, s := range c.sections {
		i, j, reach := s.node%d.Grid.Columns, s.node/d.Grid.Columns, int(s.halfWidth)
		i0, i1, j0, j1 = min(i0, i-reach), max(i1, i+reach), min(j0, j-reach), max(j1, j+reach)
	}
	c.looked = nodes{i0, j0, i1 - i0 + 1, j1 - j0 + 1}.grown(0, d.Grid)
	return c, nil
}

// under returns the course as it is looked for on skin of the thickness, which makes a
// ridge broader on both sides.
func (c course) under(thickness float64) course {
	if c.feature.Kind == Ridge {
		c.feature.Reach += thickness
	}
	return c
}

// seen returns the nodes whose heights the feature's depths depend on.
func (c *course) seen() nodes { return c.looked.grown(2*c.reach(), c.grid) }

// reach is how many nodes the feature's reach spans.
func (c *course) reach() int { return int(c.feature.Reach / c.grid.Step) }

// surface takes the heights that are seen out of those of the whole grid.
func (c *course) surface(heights []float64) patch { return patchOf(c.seen(), c.grid, heights) }

// depths returns how deep (or high) the feature is at each of its sections on the
// surface that is seen, mm: the greatest depth within the section's width.
func (c *course) depths(surface patch) []float64 {
	if c.feature.Kind == Ridge {
		surface = surface.negated()
	}
	// The surface closed by a disc of the feature's reach. Of each of the two
	// passes only what is asked for afterwards is worked out.
	radius := c.feature.Reach / c.grid.Step
	flanks := surface.highest(c.looked.grown(c.reach(), c.grid), radius)
	upsideDown := flanks.negated()
	filled := upsideDown.highest(c.looked, radius)
	depths := make([]float64, len(c.sections))
	for n, s := range c.sections {
		depths[n] = math.Inf(-1)
		c.eachNode(s, func(i, j int) {
			depths[n] = max(depths[n], -filled.at(i, j)-surface.at(i, j))
		})
	}
	return depths
}

// eachNode visits the grid nodes within a section's half width.
func (c *course) eachNode(s section, visit func(i, j int)) {
	i, j := s.node%c.grid.Columns, s.node/c.grid.Columns
	reach := int(s.halfWidth)
	for dj := max(-reach, -j); dj <= min(reach, c.grid.Rows-1-j); dj++ {
		half := int(math.Sqrt(s.halfWidth*s.halfWidth - float64(dj*dj)))
		for di := max(-half, -i); di <= min(half, c.grid.Columns-1-i); di++ {
			visit(i+di, j+dj)
		}
	}
}

// median sorts the values.
func median(values []float64) float64 {
	slices.Sort(values)
	count := len(values)
	return (values[(count-1)/2] + values[count/2]) / 2
}

// section is a node of a feature's midline with half the width there, in grid
// steps.
type section struct {
	node      int
	halfWidth float64
}

// footprint is the grid nodes in a region with their distances inward, mm.
type footprint struct {
	nodes   []int
	inward  []float64
	deepest float64 // mm
	at      int     // node with the largest distance inward
}

// midline returns the nodes where the distance inward has no clear direction,
// because two sides are about as near. On a straight strip its slope, taken
// over two steps, is 1 except within a step of the middle; on the lines into
// the corners of a strip's end it is 0.7. A region too small for that has its
// innermost node.
func (f footprint) midline(grid Grid, region Region) []section {
	const clear = 0.6
	h := grid.Step
	var middle []section
	for n, k := range f.nodes {
		p := grid.Place(k)
		slope := mgl64.Vec2{
			region.Distance(p.Add(mgl64.Vec2{h, 0})) - region.Distance(p.Sub(mgl64.Vec2{h, 0})),
			region.Distance(p.Add(mgl64.Vec2{0, h})) - region.Distance(p.Sub(mgl64.Vec2{0, h})),
		}.Mul(1 / (2 * h))
		if slope.Len() < clear && f.inward[n] > h {
			middle = append(middle, section{k, f.inward[n] / h})
		}
	}
	if len(middle) == 0 {
		middle = []section{{f.at, f.deepest / h}}
	}
	return middle
}

// nodesOf returns the drape's nodes in a region.
func (d *Drape) nodesOf(region Region) footprint {
	lo, hi := region.Bounds()
	g := d.Grid
	i0, i1 := clampIndex((lo[0]-g.Origin[0])/g.Step, g.Columns), clampIndex((hi[0]-g.Origin[0])/g.Step+1, g.Columns)
	j0, j1 := clampIndex((lo[1]-g.Origin[1])/g.Step, g.Rows), clampIndex((hi[1]-g.Origin[1])/g.Step+1, g.Rows)
	f := footprint{deepest: math.Inf(-1)}
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			k := j*g.Columns + i
			if !d.Inside[k] {
				continue
			}
			inward := -region.Distance(g.Place(k))
			if !(inward >= 0) {
				continue
			}
			f.nodes, f.inward = append(f.nodes, k), append(f.inward, inward)
			if inward > f.deepest {
				f.deepest, f.at = inward, k
			}
		}
	}
	return f
}

// clampIndex turns a place in grid units into an index below count.
func clampIndex(v float64, count int) int {
	return int(min(max(v, 0), float64(count-1)))
}
