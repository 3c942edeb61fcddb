package template

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Why an outline cannot be cut along a line.
var (
	ErrMisses  = errors.New("it does not cross the outline")
	ErrEnds    = errors.New("it ends within the outline")
	ErrCrosses = errors.New("it crosses another cut, or itself, within the outline")
)

// cutting is an outline being cut. Every stretch of a cut within the outline is an
// edge of what lies on either side of it. So parts are walked: along a ring to where
// the next cut begins, along that to its other end, and on along the ring there,
// with the inside on the left all the way.
type cutting struct {
	rings     []Ring
	crossings []crossing // in pairs: the two ends of one stretch
	inner     [][]mgl64.Vec2
}

// crossing is where a cut goes in or out, at the edge that begins at a ring's point.
type crossing struct {
	ring, edge int
	share      float64 // of the edge
	along      float64 // of the cut: its edge and the share of that
	at         mgl64.Vec2
}

// Cut returns the parts into which lines cut the outline, and the stretches of the
// lines within it, from edge to edge. A line may go in and out several times; one
// that ends nearer than reach mm from the outline's edge is prolonged straight.
// Points of the outline nearer to a line than cutClear stand for a line moved by
// that much, so that none lies on it. The error is ErrMisses, ErrEnds or
// ErrCrosses. Time grows with the product of their points.
func (o Outline) Cut(lines [][]mgl64.Vec2, reach float64) (parts []Outline, stretches [][]mgl64.Vec2, err error) {
	c := &cutting{rings: append([]Ring{o.Outer}, o.Holes...)}
	for _, line := range lines {
		if err := c.enter(clearOf(c.rings, prolonged(line, reach))); err != nil {
			return nil, nil, err
		}
	}
	for i := 0; i < len(c.crossings); i += 2 {
		s := slices.Concat([]mgl64.Vec2{c.crossings[i].at}, c.inner[i/2], []mgl64.Vec2{c.crossings[i+1].at})
		if crossed(s, s) || slices.ContainsFunc(stretches, func(other []mgl64.Vec2) bool { return crossed(s, other) }) {
			return nil, nil, ErrCrosses
		}
		stretches = append(stretches, s)
	}
	return c.parts(o), stretches, nil
}

// cutClear in mm is how far a cut is moved off a point that it would meet: far
// above rounding, far below what is carved.
const cutClear = 1e-6

// prolonged returns the line, longer by reach mm at both ends.
func prolonged(line []mgl64.Vec2, reach float64) []mgl64.Vec2 {
	out := func(end, before mgl64.Vec2) mgl64.Vec2 {
		if way := end.Sub(before); way.Len() > 0 {
			return end.Add(way.Mul(reach / way.Len()))
		}
		return end
	}
	last := len(line) - 1
	longer := slices.Clone(line)
	longer[0], longer[last] = out(line[0], line[1]), out(line[last], line[last-1])
	return longer
}

// clearOf returns the line, moved until no point of the rings is on it.
func clearOf(rings []Ring, line []mgl64.Vec2) []mgl64.Vec2 {
	aside := mgl64.Vec2{0.8 * cutClear, 0.6 * cutClear} // of no direction that is drawn often
	line = slices.Clone(line)
	for again := true; again; {
		again = false
		for _, ring := range rings {
			for _, p := range ring {
				for i := 1; i < len(line) && !again; i++ {
					again = DistanceToEdge(p, line[i-1], line[i]) < cutClear/4
				}
			}
		}
		for i := range line {
			if again {
				line[i] = line[i].Add(aside)
			}
		}
	}
	return line
}

// enter finds where the line crosses the rings and enters its stretches within.
func (c *cutting) enter(line []mgl64.Vec2) error {
	var found []crossing
	for r, ring := range c.rings {
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			for i := 1; i < len(line); i++ {
				if s, t, ok := crossAt(line[i-1], line[i], a, b); ok {
					at := a.Add(b.Sub(a).Mul(t))
					found = append(found, crossing{r, k, t, float64(i) + s, at})
				}
			}
		}
	}
	switch {
	case len(found) == 0:
		return ErrMisses
	case len(found)%2 != 0 || c.within(line[0]):
		return ErrEnds
	}
	slices.SortStableFunc(found, func(a, b crossing) int { return cmp.Compare(a.along, b.along) })
	for i := 0; i < len(found); i += 2 {
		from, to := int(found[i].along), int(found[i+1].along)
		c.inner = append(c.inner, line[from:to])
	}
	c.crossings = append(c.crossings, found...)
	return nil
}

// within reports whether a point is inside the outline.
func (c *cutting) within(p mgl64.Vec2) bool {
	in := false
	for _, ring := range c.rings {
		in = in != ring.Contains(p)
	}
	return in
}

// parallel is the sine of the angle below which edges do not cross: rounding of edges
// in one line makes it about 1e-16, and places would be read out of that.
const parallel = 1e-12

// crossAt returns where the edge from p to q crosses that from a to b, as shares of
// both.
func crossAt(p, q, a, b mgl64.Vec2) (s, t float64, ok bool) {
	u, v, w := q.Sub(p), b.Sub(a), a.Sub(p)
	area := u[0]*v[1] - u[1]*v[0]
	if math.Abs(area) <= parallel*u.Len()*v.Len() {
		return 0, 0, false
	}
	s, t = (w[0]*v[1]-w[1]*v[0])/area, (w[0]*u[1]-w[1]*u[0])/area
	return s, t, s >= 0 && s < 1 && t >= 0 && t < 1
}

// crossed reports whether two stretches cross; neighbouring edges of one do not.
func crossed(a, b []mgl64.Vec2) bool {
	same := &a[0] == &b[0]
	for i := 1; i < len(a); i++ {
		for k := 1; k < len(b); k++ {
			if same && max(i-k, k-i) <= 1 {
				continue
			}
			if _, _, ok := crossAt(a[i-1], a[i], b[k-1], b[k]); ok {
				return true
			}
		}
	}
	return false
}

// parts walks what the cuts leave.
func (c *cutting) parts(o Outline) []Outline {
	var outers, holes []Ring
	enter := func(ring Ring) {
		if ring.Area() > 0 {
			outers = append(outers, ring)
		} else {
			holes = append(holes, ring)
		}
	}
	for i, ring := range c.rings {
		if !slices.ContainsFunc(c.crossings, func(x crossing) bool { return x.ring == i }) {
			enter(ring)
		}
	}
	used := make([]bool, len(c.crossings))
	for i := range c.crossings {
		if !used[i] {
			enter(c.walk(i, used))
		}
	}
	parts := make([]Outline, len(outers))
	for i, outer := range outers {
		parts[i] = Outline{ID: o.ID, Part: o.Part, Outer: outer}
	}
	for _, hole := range holes {
		best := -1
		for i, p := range parts {
			if p.Outer.Contains(hole[0]) && (best < 0 || p.Outer.Area() < parts[best].Outer.Area()) {
				best = i
			}
		}
		if best >= 0 {
			parts[best].Holes = append(parts[best].Holes, hole)
		}
	}
	return parts
}

// walk returns the ring that begins at a crossing.
func (c *cutting) walk(first int, used []bool) Ring {
	var ring Ring
	for at := first; !used[at]; {
		used[at] = true
		x := c.crossings[at]
		ring = append(ring, x.at)
		points := c.rings[x.ring]
		to := c.next(at)
		y := c.crossings[to]
		if y.edge != x.edge || y.share <= x.share {
			for k := (x.edge + 1) % len(points); ; k = (k + 1) % len(points) {
				ring = append(ring, points[k])
				if k == y.edge {
					break
				}
			}
		}
		ring = append(ring, y.at)
		inner := c.inner[to/2]
		if to%2 == 1 { // back from the far end
			inner = slices.Clone(inner)
			slices.Reverse(inner)
		}
		ring = append(ring, inner...)
		at = to ^ 1
	}
	return ring
}

// next returns the crossing that the ring of one comes to after it.
func (c *cutting) next(at int) int {
	x := c.crossings[at]
	n := float64(len(c.rings[x.ring]))
	best, least := at, math.Inf(1)
	for i, y := range c.crossings {
		if y.ring != x.ring || i == at {
			continue
		}
		ahead := float64(y.edge-x.edge) + y.share - x.share
		if ahead <= 0 {
			ahead += n
		}
		if ahead < least {
			best, least = i, ahead
		}
	}
	return best
}
