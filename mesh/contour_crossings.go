package mesh

import (
	"math"

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
	low, high                 float64 // where the crossing may lie: the edge less the margin, mm
	inside, outside           float64 // the bracket's ends, mm
	insideValue, outsideValue float64 // the field there
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
	var points []mgl64.Vec3
	var axes []int8
	var searches []search
	for axis := range 3 {
		for local := range blockNodes {
			at := signs.place(local)
			if signs[at] == signs[at+signStep[axis]] {
				continue
			}
			n := b.node(local)
			b.crossing[axis][local] = int16(len(b.crossings))
			b.crossings = append(b.crossings, crossing{})
			points = append(points, g.position(n))
			axes = append(axes, int8(axis))
			searches = append(searches, g.bracket(n, axis, signs[at]))
		}
	}
	g.searchRoots(b, points, axes, searches)
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
		low: math.Min(inside, outside) + g.margin, high: math.Max(inside, outside) - g.margin,
		inside: inside, insideValue: g.blockOf(inner).value[inner.local()],
		outside: outside, outsideValue: g.blockOf(outer).value[outer.local()],
	}
}

// searchRoots refines all crossings together: the field is asked in batches,
// and most crossings (flat and straight walls) are there at the first guess.
func (g *lattice) searchRoots(b *block, points []mgl64.Vec3, axes []int8, searches []search) {
	open := make([]int, 0, len(points))
	for i := range searches {
		s := &searches[i]
		share := s.insideValue / (s.insideValue - s.outsideValue)
		if s.insideValue >= 0 {
			share = forcedShare
			b.crossings[i].forced = true
		}
		points[i][axes[i]] = s.hold(s.inside + (s.outside-s.inside)*share)
		open = append(open, i)
	}
	values := make([]float64, len(points))
	gradients := make([]mgl64.Vec3, len(points))
	batch := make([]mgl64.Vec3, len(points))
	for round := 0; len(open) > 0; round++ {
		for k, i := range open {
			batch[k] = points[i]
		}
		g.field.Gradients(batch[:len(open)], values[:len(open)], gradients[:len(open)])
		left := open[:0]
		for k, i := range open {
			c, axis := &b.crossings[i], axes[i]
			c.at, c.normal = points[i][axis], gradients[k]
			if c.forced || round == rootRounds || math.Abs(values[k]) <= rootTolerance*g.step {
				continue
			}
			points[i][axis] = searches[i].next(c.at, values[k], c.normal[axis])
			if points[i][axis] != c.at {
				left = append(left, i)
			}
		}
		open = left
	}
	for i := range b.crossings {
		b.crossings[i].orient(&searches[i], axes[i])
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
	return representable(math.Min(math.Max(x, s.low), s.high))
}

// orient makes the normal a unit vector; a forced crossing, or one where the
// field is flat, gets its edge's direction.
func (c *crossing) orient(s *search, axis int8) {
	if length := c.normal.Len(); length > 0 && !c.forced {
		c.normal = c.normal.Mul(1 / length)
		return
	}
	c.normal = mgl64.Vec3{}
	c.normal[axis] = math.Copysign(1, s.outside-s.inside)
}
