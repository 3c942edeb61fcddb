package template

import (
	"cmp"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Contains reports whether p is inside the ring; on its edges either answer may
// come.
func (r Ring) Contains(p mgl64.Vec2) bool {
	inside := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			inside = !inside
		}
	}
	return inside
}

// Near reports whether a point is nearer to the ring than that, mm.
func (r Ring) Near(p mgl64.Vec2, distance float64) bool {
	for i, a := range r {
		if DistanceToEdge(p, a, r[(i+1)%len(r)]) < distance {
			return true
		}
	}
	return false
}

// Bounds returns the lowest and highest coordinates of the ring in mm; the
// highest is below the lowest for an empty one.
func (r Ring) Bounds() (lo, hi mgl64.Vec2) {
	lo = mgl64.Vec2{math.Inf(1), math.Inf(1)}
	hi = lo.Mul(-1)
	for _, p := range r {
		for k := range p {
			lo[k] = math.Min(lo[k], p[k])
			hi[k] = math.Max(hi[k], p[k])
		}
	}
	return lo, hi
}

// wound returns the ring counter-clockwise, or clockwise if asked.
func (r Ring) wound(clockwise bool) Ring {
	if (r.Area() < 0) == clockwise {
		return r
	}
	turned := slices.Clone(r)
	slices.Reverse(turned)
	return turned
}

// nested is a ring among the others of its shape.
type nested struct {
	ring    Ring
	lo, hi  mgl64.Vec2
	order   int // as drawn
	winding int // of its own: 1 counter-clockwise, -1 clockwise
	parent  int // index of the smallest ring around it, -1 if none
	within  int // winding number of its inside
	depth   int // rings around it
}

// nest sorts rings that do not meet from the largest to the smallest and finds
// which lies in which.
func nest(rings []Ring) []nested {
	all := make([]nested, len(rings))
	for i, ring := range rings {
		all[i] = nested{ring: ring, order: i, winding: 1, parent: -1}
		if ring.Area() < 0 {
			all[i].winding = -1
		}
		all[i].lo, all[i].hi = ring.Bounds()
	}
	slices.SortStableFunc(all, func(a, b nested) int {
		return cmp.Compare(math.Abs(b.ring.Area()), math.Abs(a.ring.Area()))
	})
	for i := range all {
		n := &all[i]
		for j := i - 1; j >= 0 && n.parent < 0; j-- {
			around := &all[j]
			p := n.ring[0]
			if p[0] >= around.lo[0] && p[0] <= around.hi[0] && p[1] >= around.lo[1] && p[1] <= around.hi[1] &&
				around.ring.Contains(p) {
				n.parent, n.within, n.depth = j, around.within, around.depth+1
			}
		}
		n.within += n.winding
	}
	return all
}

// fill returns the outlines that the rings bound under a fill rule (SVG 1.1,
// section 11.3), in the order drawn. The rings must not meet.
func fill(all []nested, evenOdd bool) []Outline {
	filled := func(i int) bool {
		switch {
		case i < 0:
			return false
		case evenOdd:
			return all[i].depth%2 == 0
		}
		return all[i].within != 0
	}
	type piece struct {
		Outline
		order int
	}
	var pieces []*piece
	owner := make([]*piece, len(all)) // the piece whose material is just inside ring i, or was
	for i := range all {
		n := &all[i]
		around := n.parent
		if around >= 0 {
			owner[i] = owner[around]
		}
		switch {
		case filled(i) && !filled(around):
			owner[i] = &piece{Outline{Outer: n.ring.wound(false)}, n.order}
			pieces = append(pieces, owner[i])
		case !filled(i) && filled(around):
			owner[i].Holes = append(owner[i].Holes, n.ring.wound(true))
		}
	}
	slices.SortStableFunc(pieces, func(a, b *piece) int { return cmp.Compare(a.order, b.order) })
	outlines := make([]Outline, len(pieces))
	for i, p := range pieces {
		outlines[i] = p.Outline
	}
	return outlines
}
