package template

import (
	"context"
	"fmt"
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// The offset of an outline is a level line of its planar distance: outward the
// Minkowski sum with a disc (rounded corners), inward the erosion by one
// (corners stay sharp). The line is found on a lattice, and every point put on
// it is found from the exact distance, so the lattice decides only which
// features are seen at all: a neck or a gap narrower than its spacing may be
// taken for closed or open.
//
//	distance to the outline ─► quadtree: cells the line can pass
//	  ─► crossings on cell edges, exact ─► rings
//	  ─► corners and bends inside cells ─► points that bear nothing dropped
const (
	// offsetStep is the lattice spacing in mm: finer than anything that is
	// carved or printed.
	offsetStep = 0.1
	// mostCells bounds the lattice: larger outlines get a coarser one.
	mostCells = 4096
	// offsetTolerance is how far in mm the chords may lie off the points found,
	// and about half of how far they lie off the offset. For an outline 60 mm
	// long it makes an error in area below 0.01 %.
	offsetTolerance = 0.0005
	// mostOffset bounds the offset in mm: beyond it the outline is a speck.
	mostOffset = 1000
)

// Offset returns the outline moved outward by r mm, inward for a negative r, as
// the true planar offset: outward corners come out rounded, inward ones sharp.
// The polygons lie within 0.001 mm of it where it is smooth. The result may be
// several outlines where the outline pinches off, or none where it vanishes;
// all keep its ID and part. The error tells of an outline or an r that cannot
// be offset; ctx ends the work early with its error.
//
// The cost grows with the length of the outline.
func Offset(ctx context.Context, o Outline, r float64) ([]Outline, error) {
	if !(math.Abs(r) <= mostOffset) {
		return nil, fmt.Errorf("outline %s: offset by %g mm, expected at most %d mm either way", o.ID, r, mostOffset)
	}
	region, err := Region(o)
	if err != nil {
		return nil, err
	}
	if r == 0 {
		return []Outline{o.clone()}, nil
	}
	return moved(ctx, []*field.Region{region}, r, o)
}

// moved returns the outlines of what lies within r mm of any of the regions,
// named as o. Of several regions r must not be negative: the least of their
// distances is that of all together outside them only.
func moved(ctx context.Context, regions []*field.Region, r float64, o Outline) ([]Outline, error) {
	traced, err := newTracer(regions, r).trace(ctx)
	if err != nil {
		return nil, err
	}
	var rings []Ring
	for _, ring := range traced {
		if thin := ring.thinned(offsetTolerance); len(thin) > 2 && math.Abs(thin.Area()) >= leastArea {
			rings = append(rings, thin)
		}
	}
	outlines := fill(nest(rings), true)
	for i := range outlines {
		outlines[i].ID, outlines[i].Part = o.ID, o.Part
	}
	return outlines, nil
}

// lattice is a point of the tracer's lattice.
type lattice struct{ column, row int32 }

// side is an edge of the lattice: from a point to the right, or up.
type side struct {
	from lattice
	up   bool
}

// tracer follows a level line of the least of the regions' distances.
type tracer struct {
	regions []*field.Region
	level   float64
	origin  mgl64.Vec2
	step    float64
	size    int32 // of the square lattice, in cells: a power of two
	values  map[lattice]float64
	next    map[side]side       // from crossing to crossing, the inside on the left
	order   []side              // of the crossings found
	points  map[side]mgl64.Vec2 // where the line crosses
}

func newTracer(regions []*field.Region, level float64) *tracer {
	lo, hi := regions[0].Bounds()
	for _, region := range regions[1:] {
		low, high := region.Bounds()
		for k := range lo {
			lo[k], hi[k] = math.Min(lo[k], low[k]), math.Max(hi[k], high[k])
		}
	}
	margin := math.Max(level, 0)
	extent := math.Max(hi[0]-lo[0], hi[1]-lo[1]) + 2*margin
	t := &tracer{
		regions: regions, level: level,
		step:   math.Max(offsetStep, extent/(mostCells-4)),
		size:   1,
		values: map[lattice]float64{}, next: map[side]side{}, points: map[side]mgl64.Vec2{},
	}
	for float64(t.size)*t.step < extent+3*t.step {
		t.size *= 2
	}
	// Outlines are often drawn on round figures: an odd shift keeps their edges
	// off the lattice lines, where a crossing would be a corner's.
	shift := margin + 1.3819*t.step
	t.origin = lo.Sub(mgl64.Vec2{shift, shift})
	return t
}

// at returns the signed distance of p from the level line.
func (t *tracer) at(p mgl64.Vec2) float64 {
	least := math.Inf(1)
	for _, region := range t.regions {
		if len(t.regions) == 1 || outside(region, p) < least {
			least = math.Min(least, region.Distance(p))
		}
	}
	return least - t.level
}

// outside returns the distance of p from the region's bounds, -Inf inside
// them: a point is no nearer to the region than that.
func outside(region *field.Region, p mgl64.Vec2) float64 {
	lo, hi := region.Bounds()
	dx, dy := math.Max(lo[0]-p[0], p[0]-hi[0]), math.Max(lo[1]-p[1], p[1]-hi[1])
	if dx <= 0 && dy <= 0 {
		return math.Inf(-1)
	}
	return math.Hypot(math.Max(dx, 0), math.Max(dy, 0))
}

// gradient returns the distance at p and the direction in which it grows.
func (t *tracer) gradient(p mgl64.Vec2) (least float64, direction mgl64.Vec2) {
	least = math.Inf(1)
	for _, region := range t.regions {
		if len(t.regions) > 1 && outside(region, p) >= least {
			continue
		}
		if d, g := region.Gradient(p); d < least {
			least, direction = d, g
		}
	}
	return least, direction
}

func (t *tracer) place(l lattice) mgl64.Vec2 {
	return t.origin.Add(mgl64.Vec2{float64(l.column), float64(l.row)}.Mul(t.step))
}

func (t *tracer) value(l lattice) float64 {
	v, known := t.values[l]
	if !known {
		v = t.at(t.place(l))
		t.values[l] = v
	}
	return v
}

// trace returns the rings of the level line; ctx ends it early with its error.
func (t *tracer) trace(ctx context.Context) ([]Ring, error) {
	t.search(ctx, lattice{}, t.size)
	var rings []Ring
	for _, start := range t.order {
		if _, open := t.next[start]; !open {
			continue
		}
		var sides []side
		for s := start; ; {
			following, open := t.next[s]
			if !open {
				break
			}
			delete(t.next, s)
			sides = append(sides, s)
			s = following
		}
		rings = append(rings, t.ring(ctx, sides))
	}
	return rings, ctx.Err()
}

// search visits the cells of a square block that the line can pass: the
// distance changes by no more than one over one.
func (t *tracer) search(ctx context.Context, corner lattice, size int32) {
	if ctx.Err() != nil {
		return
	}
	half := float64(size) / 2 * t.step
	middle := t.place(corner).Add(mgl64.Vec2{half, half})
	if math.Abs(t.at(middle)) > half*math.Sqrt2*(1+1e-9) {
		return
	}
	if size == 1 {
		t.cell(corner, middle)
		return
	}
	size /= 2
	for _, c := range [4]lattice{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		t.search(ctx, lattice{corner.column + c.column*size, corner.row + c.row*size}, size)
	}
}

// cell joins the crossings on the sides of a cell. Corners and sides are
// counted counter-clockwise from the lower left corner and the lower side.
func (t *tracer) cell(c lattice, middle mgl64.Vec2) {
	corners := [4]lattice{c, {c.column + 1, c.row}, {c.column + 1, c.row + 1}, {c.column, c.row + 1}}
	sides := [4]side{{c, false}, {corners[1], true}, {corners[3], false}, {c, true}}
	var inside [4]bool
	for i, l := range corners {
		inside[i] = t.value(l) < 0
	}
	// Walking round the cell, the line enters where the walk goes from inside
	// to outside: then the inside is on the line's left.
	var enters, leaves []int
	for i := range 4 {
		switch from, to := inside[i], inside[(i+1)%4]; {
		case from && !to:
			enters = append(enters, i)
		case !from && to:
			leaves = append(leaves, i)
		}
	}
	if len(enters) == 2 {
		t.saddle(sides, enters, leaves, t.at(middle) < 0)
		return
	}
	if len(enters) == 1 {
		t.join(sides[enters[0]], sides[leaves[0]])
	}
}

// saddle joins the four crossings of a cell with opposite corners inside: the
// two insides are joined through its middle, or kept apart.
func (t *tracer) saddle(sides [4]side, enters, leaves []int, joined bool) {
	for _, i := range enters {
		// The side after the entering one ends at the next inside corner, the
		// side before it began at the last.
		other := (i + 3) % 4
		if joined {
			other = (i + 1) % 4
		}
		t.join(sides[i], sides[other])
	}
}

func (t *tracer) join(from, to side) {
	t.next[from] = to
	t.order = append(t.order, from)
}

// crossing returns where the line crosses a side, by the Illinois method (a
// secant that stays in its bracket: Dowell and Jarratt 1971).
func (t *tracer) crossing(s side) mgl64.Vec2 {
	if p, known := t.points[s]; known {
		return p
	}
	end := lattice{s.from.column + 1, s.from.row}
	if s.up {
		end = lattice{s.from.column, s.from.row + 1}
	}
	p, q := t.place(s.from), t.place(end)
	a, b, fa, fb := 0.0, 1.0, t.value(s.from), t.value(end)
	const near, rounds = 1e-10, 60
	x := 0.0
	for range rounds {
		x = (a*fb - b*fa) / (fb - fa)
		f := t.at(p.Add(q.Sub(p).Mul(x)))
		if math.Abs(f) < near {
			break
		}
		if (f < 0) == (fb < 0) {
			fa /= 2
		} else {
			a, fa = b, fb
		}
		b, fb = x, f
	}
	point := p.Add(q.Sub(p).Mul(x))
	t.points[s] = point
	return point
}
