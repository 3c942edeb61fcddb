package budget

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// room is what is left of a piece of stock: a signed distance, positive where a
// unit may be. It is the least of the depth within the piece less the margin and
// of the distances to what is laid already less the kerf, so it changes by no
// more than a point moves.
type room struct {
	stock  *field.Region // without its holes
	margin float64
	kerf   float64
	taken  []obstacle
	known  *lattice
}

// obstacle is something that a unit must keep off: a unit that is laid, or a
// hole of the piece.
type obstacle struct {
	region *field.Region
	keep   float64 // distance to be kept, mm
	lo, hi mgl64.Vec2
	points []mgl64.Vec2 // some of its boundary, on every ring
}

func newObstacle(rings [][]mgl64.Vec2, keep float64) (obstacle, error) {
	region, err := field.NewRegion(rings...)
	if err != nil {
		return obstacle{}, err
	}
	o := obstacle{region: region, keep: keep}
	o.lo, o.hi = region.Bounds()
	for _, ring := range rings {
		for i := 0; i < len(ring); i += max(1, len(ring)/obstaclePoints) {
			o.points = append(o.points, ring[i])
		}
	}
	return o, nil
}

// obstaclePoints is about how many points of a ring are looked at to see whether
// it lies inside of a unit: one would do, more end the search sooner.
const obstaclePoints = 6

// newRoom returns the whole of a piece, for a slab of the height.
func newRoom(s Stock, margin, kerf, height float64) (*room, error) {
	region, err := field.NewRegion(s.Outline.Outer)
	if err != nil {
		return nil, err
	}
	r := &room{stock: region, margin: margin + s.inset(height), kerf: kerf}
	for _, hole := range s.Outline.Holes {
		ring := make([]mgl64.Vec2, len(hole))
		for i, p := range hole {
			ring[len(hole)-1-i] = p
		}
		o, err := newObstacle([][]mgl64.Vec2{ring}, r.margin)
		if err != nil {
			return nil, err
		}
		r.taken = append(r.taken, o)
	}
	r.known = newLattice(region)
	return r, nil
}

// without returns the room that is left beside the shapes laid.
func (r *room) without(shapes ...laidShape) (*room, error) {
	left := &room{stock: r.stock, margin: r.margin, kerf: r.kerf, known: newLattice(r.stock)}
	left.taken = append(left.taken, r.taken...)
	for _, s := range shapes {
		o, err := newObstacle(s.shape.laid(s.at).Rings(), r.kerf)
		if err != nil {
			return nil, err
		}
		left.taken = append(left.taken, o)
	}
	return left, nil
}

// laidShape is a shape with its place.
type laidShape struct {
	shape *shape
	at    pose
}

// at returns the room at a point in mm.
func (r *room) at(p mgl64.Vec2) float64 {
	least := -r.stock.Distance(p) - r.margin
	for i := range r.taken {
		o := &r.taken[i]
		if o.away(p)-o.keep < least {
			least = math.Min(least, o.region.Distance(p)-o.keep)
		}
	}
	return least
}

// away returns a lower bound of the distance to the obstacle: that to its box,
// or nothing known inside of it.
func (o *obstacle) away(p mgl64.Vec2) float64 {
	dx := max(o.lo[0]-p[0], 0, p[0]-o.hi[0])
	dy := max(o.lo[1]-p[1], 0, p[1]-o.hi[1])
	if dx == 0 && dy == 0 {
		return math.Inf(-1)
	}
	return math.Sqrt(dx*dx + dy*dy)
}

// bounds returns lo and hi with lo <= at(p) <= hi, from the room at the nearest
// point of a lattice, which is remembered.
func (r *room) bounds(p mgl64.Vec2) (lo, hi float64) {
	k := r.known
	column, row := math.Round((p[0]-k.origin[0])/k.step), math.Round((p[1]-k.origin[1])/k.step)
	if !(column >= 0 && row >= 0 && column < float64(k.columns) && row < float64(k.rows)) {
		v := r.at(p)
		return v, v
	}
	q := mgl64.Vec2{k.origin[0] + column*k.step, k.origin[1] + row*k.step}
	known := &k.values[int(row)*k.columns+int(column)]
	if math.IsNaN(*known) {
		*known = r.at(q)
	}
	off := math.Hypot(p[0]-q[0], p[1]-q[1])
	return *known - off, *known + off
}

// lattice remembers the room at evenly spaced points, NaN where it was not asked
// for. It belongs to one search at a time.
type lattice struct {
	origin        mgl64.Vec2
	step          float64
	columns, rows int
	values        []float64
}

// A lattice is as fine as latticeStep mm but no finer than latticeMost points
// along a piece, and goes latticeMargin mm beyond it.
const (
	latticeStep   = 0.25
	latticeMost   = 600
	latticeMargin = 10
)

func newLattice(region *field.Region) *lattice {
	lo, hi := region.Bounds()
	size := hi.Sub(lo).Add(mgl64.Vec2{2 * latticeMargin, 2 * latticeMargin})
	step := math.Max(latticeStep, math.Max(size[0], size[1])/latticeMost)
	l := &lattice{
		origin: lo.Sub(mgl64.Vec2{latticeMargin, latticeMargin}), step: step,
		columns: int(size[0]/step) + 1, rows: int(size[1]/step) + 1,
	}
	l.values = make([]float64, l.columns*l.rows)
	for i := range l.values {
		l.values[i] = math.NaN()
	}
	return l
}
