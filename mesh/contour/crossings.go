package contour

import (
	"math"
	"math/bits"
	"slices"
	"sync"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// crossing is where the surface passes a lattice edge.
type crossing struct {
	at     float64    // coordinate along the edge's axis, mm
	normal mgl64.Vec3 // unit, outward
	forced bool       // made by a repaired sign: no surface passes here
}

// search is the state of the root search along one edge.
type search struct {
	axis                      int8
	low, high                 float64 // where the crossing may lie: the edge less the margin, mm
	inside, outside           float64 // the bracket's ends, mm
	insideValue, outsideValue float64 // the field there
}

// batch is the working space for asking the field about many points; batches
// are reused, since every block needs one.
type batch struct {
	searches  []search
	open      []int // indices into searches of those not yet found
	points    []mgl64.Vec3
	asked     []mgl64.Vec3
	values    []float64
	gradients []mgl64.Vec3
}

var batches = sync.Pool{New: func() any { return new(batch) }}

// resize makes room for n answers.
func (w *batch) resize(n int) {
	w.asked = slices.Grow(w.asked[:0], n)[:n]
	w.values = slices.Grow(w.values[:0], n)[:n]
	w.gradients = slices.Grow(w.gradients[:0], n)[:n]
}

const (
	// rootTolerance is how near to the surface, in steps, a crossing must be:
	// 20 nm at the default step, below what a float32 resolves.
	rootTolerance = 1e-4

	// rootRounds bounds the search; each round at least halves a bracket that
	// Newton's step left too wide.
	rootRounds = 12

	// forcedShare is how far from a forced node, in steps, its crossings lie.
	forcedShare = 0.25
)

// findCrossings finds where the surface passes the block's edges.
func (g *lattice) findCrossings(b *block) {
	var signs nodeSigns
	g.signs(b, &signs)
	w := batches.Get().(*batch)
	defer batches.Put(w)
	w.searches, w.points = w.searches[:0], w.points[:0]
	for axis := range 3 {
		for row := range blockSide * blockSide {
			i, j := row/blockSide, row%blockSide
			for left := signs.crossedAlong(axis, i, j); left != 0; left &= left - 1 {
				k := bits.TrailingZeros16(left)
				local := row*blockSide + k
				n := b.node(local)
				b.crossing[axis][local] = int16(len(w.searches))
				w.points = append(w.points, g.position(n))
				w.searches = append(w.searches, g.bracket(n, axis, signs[i][j]>>k&1 == 1))
			}
		}
	}
	b.crossings = make([]crossing, len(w.searches))
	g.searchRoots(b, w)
}

// bracket returns the search along the edge from n.
func (g *lattice) bracket(n node, axis int, startsInside bool) search {
	m := n.step(axis, 1)
	inner, outer := n, m
	if !startsInside {
		inner, outer = m, n
	}
	inside, outside := g.coordinate[axis][inner[axis]], g.coordinate[axis][outer[axis]]
	return search{
		axis: int8(axis),
		low:  math.Min(inside, outside) + g.margin, high: math.Max(inside, outside) - g.margin,
		inside: inside, insideValue: g.blockOf(inner).value[inner.local()],
		outside: outside, outsideValue: g.blockOf(outer).value[outer.local()],
	}
}

// searchRoots refines all crossings together: the field is asked in batches,
// and most crossings (flat and straight walls) are there at the first guess.
func (g *lattice) searchRoots(b *block, w *batch) {
	w.open = w.open[:0]
	for i := range w.searches {
		s := &w.searches[i]
		share := s.insideValue / (s.insideValue - s.outsideValue)
		if s.insideValue >= 0 {
			share = forcedShare
			b.crossings[i].forced = true
		}
		w.points[i][s.axis] = s.hold(s.inside + (s.outside-s.inside)*share)
		w.open = append(w.open, i)
	}
	for round := 0; len(w.open) > 0; round++ {
		w.resize(len(w.open))
		for k, i := range w.open {
			w.asked[k] = w.points[i]
		}
		g.field.Gradients(w.asked, w.values, w.gradients)
		left := w.open[:0]
		for k, i := range w.open {
			c, s := &b.crossings[i], &w.searches[i]
			c.at, c.normal = w.points[i][s.axis], w.gradients[k]
			if c.forced || round == rootRounds || math.Abs(w.values[k]) <= rootTolerance*g.step {
				continue
			}
			w.points[i][s.axis] = s.next(c.at, w.values[k], c.normal[s.axis])
			if w.points[i][s.axis] != c.at {
				left = append(left, i)
			}
		}
		w.open = left
	}
	for i := range b.crossings {
		b.crossings[i].orient(&w.searches[i])
	}
}

// next narrows the bracket by the value at x and returns where to look next:
// Newton's point if it lies within the bracket, else the middle.
func (s *search) next(x, value, slope float64) float64 {
	if value < 0 {
		s.inside, s.insideValue = x, value
	} else {
		s.outside, s.outsideValue = x, value
	}
	guess := x - value/slope
	low, high := math.Min(s.inside, s.outside), math.Max(s.inside, s.outside)
	if !(guess > low && guess < high) {
		guess = (low + high) / 2
	}
	return s.hold(guess)
}

// hold keeps a coordinate strictly inside the edge, as a float32 holds it.
func (s *search) hold(x float64) float64 {
	return mesh.Representable(math.Min(math.Max(x, s.low), s.high))
}

// orient makes the normal a unit vector; a forced crossing, or one where the
// field is flat, gets its edge's direction.
func (c *crossing) orient(s *search) {
	if length := c.normal.Len(); length > 0 && !c.forced {
		c.normal = c.normal.Mul(1 / length)
		return
	}
	c.normal = mgl64.Vec3{}
	c.normal[s.axis] = math.Copysign(1, s.outside-s.inside)
}
