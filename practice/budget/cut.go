package budget

import (
	"cmp"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
)

// line is a straight cut: through a point, along a unit direction.
type line struct{ through, along mgl64.Vec2 }

// side returns how far to the left of the line a point is, mm.
func (l line) side(p mgl64.Vec2) float64 {
	to := p.Sub(l.through)
	return l.along[0]*to[1] - l.along[1]*to[0]
}

// cutting is an outline being cut. Its rings are walked as chains of the points
// on one side; sorted along the line, the crossings are where the line goes in
// and out by turns, so that each stretch of line within the outline joins the
// crossing where a chain ends to the one where the next begins.
type cutting struct {
	rings     []template.Ring
	crossings []crossing
}

// crossing is where the line crosses the edge that begins at a ring's point.
type crossing struct {
	ring, edge int
	along      float64
	at         mgl64.Vec2
}

// cut returns what of the outline is to the left and to the right of the line,
// and the length of the cut in mm. Points nearer to the line than cutClear stand
// for a line moved by that much, so that none lies on it.
func cut(o template.Outline, l line) (left, right []template.Outline, length float64) {
	l = l.clearOf(o)
	c := cutting{rings: append([]template.Ring{o.Outer}, o.Holes...)}
	for i, ring := range c.rings {
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			sa, sb := l.side(a), l.side(b)
			if (sa > 0) == (sb > 0) {
				continue
			}
			p := a.Add(b.Sub(a).Mul(sa / (sa - sb)))
			c.crossings = append(c.crossings, crossing{i, k, p.Sub(l.through).Dot(l.along), p})
		}
	}
	slices.SortStableFunc(c.crossings, func(a, b crossing) int { return cmp.Compare(a.along, b.along) })
	for i := 1; i < len(c.crossings); i += 2 {
		length += c.crossings[i].along - c.crossings[i-1].along
	}
	return c.part(o, l, 1), c.part(o, l, -1), length
}

// cutClear in mm is how far a cut is moved off a point that it would meet: far
// above rounding, far below what is carved.
const cutClear = 1e-6

// clearOf returns the line, moved until no point of the outline is on it.
func (l line) clearOf(o template.Outline) line {
	across := mgl64.Vec2{-l.along[1], l.along[0]}
	for again := true; again; {
		again = false
		for _, ring := range o.Rings() {
			for _, p := range ring {
				if math.Abs(l.side(p)) < cutClear/4 {
					l.through, again = l.through.Add(across.Mul(cutClear)), true
				}
			}
		}
	}
	return l
}

// part returns the outlines on one side of the line: 1 for the left.
func (c *cutting) part(o template.Outline, l line, sign float64) []template.Outline {
	var outers, holes []template.Ring
	crossed := make([]bool, len(c.rings))
	for _, x := range c.crossings {
		crossed[x.ring] = true
	}
	for i, ring := range c.rings {
		if crossed[i] || l.side(ring[0])*sign < 0 {
			continue
		}
		if i == 0 {
			outers = append(outers, ring)
		} else {
			holes = append(holes, ring)
		}
	}
	used := make([]bool, len(c.crossings))
	for i, x := range c.crossings {
		// A chain on this side begins where its ring comes over to it.
		if end := c.rings[x.ring][(x.edge+1)%len(c.rings[x.ring])]; !used[i] && l.side(end)*sign > 0 {
			outers = append(outers, c.walk(i, used))
		}
	}
	parts := make([]template.Outline, len(outers))
	for i, outer := range outers {
		parts[i] = template.Outline{ID: o.ID, Part: o.Part, Outer: outer}
		for _, hole := range holes {
			if outer.Contains(hole[0]) {
				parts[i].Holes = append(parts[i].Holes, hole)
			}
		}
	}
	return parts
}

// walk returns the ring that begins at a crossing: along the outline's ring to
// its next crossing, along the line to that one's partner, and so on.
func (c *cutting) walk(first int, used []bool) template.Ring {
	var ring template.Ring
	for at := first; !used[at]; {
		used[at] = true
		x := c.crossings[at]
		ring = append(ring, x.at)
		points := c.rings[x.ring]
		to := c.next(x)
		for k := (x.edge + 1) % len(points); ; k = (k + 1) % len(points) {
			ring = append(ring, points[k])
			if k == c.crossings[to].edge {
				break
			}
		}
		ring = append(ring, c.crossings[to].at)
		at = to ^ 1 // pairs of neighbours along the line hold the outline between them
	}
	return ring
}

// next returns the crossing that a ring comes to after one.
func (c *cutting) next(x crossing) int {
	n := len(c.rings[x.ring])
	best, least := -1, n+1
	for i, other := range c.crossings {
		if other.ring != x.ring {
			continue
		}
		ahead := (other.edge - x.edge + n) % n
		if ahead == 0 {
			ahead = n // once round: an edge is crossed once
		}
		if ahead < least {
			best, least = i, ahead
		}
	}
	return best
}
