package template

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// touching is the distance in mm within which two edges are taken to touch:
// far above the rounding of coordinates of 100 mm (1e-14 mm), far below
// anything that can be drawn.
const touching = 1e-9

// maxPairs bounds the search for crossings in a drawing; a template has some
// thousand edges, each near a few others.
const maxPairs = 30_000_000

// effort is what comparing edges has cost so far.
type effort struct {
	ctx   context.Context // that ends the work early
	pairs int             // of edges compared
	asked int             // pairs at which ctx is asked next
}

// askEvery is after how many pairs the context is asked: some tens of
// microseconds.
const askEvery = 4096

// spend counts pairs of edges; it returns false from maxPairs on, and once the
// context has ended.
func (e *effort) spend(pairs int) bool {
	e.pairs += pairs
	if e.pairs > e.asked {
		e.asked = e.pairs + askEvery
		if e.ctx.Err() != nil {
			e.pairs = maxPairs + 1
		}
	}
	return e.pairs <= maxPairs
}

// edge is one side of a ring.
type edge struct {
	a, b        mgl64.Vec2
	ring, index int
	count       int // of the ring's edges
}

func edgesOf(rings []Ring) []edge {
	count := 0
	for _, ring := range rings {
		count += len(ring)
	}
	edges := make([]edge, 0, count)
	for r, ring := range rings {
		for i, p := range ring {
			edges = append(edges, edge{p, ring[(i+1)%len(ring)], r, i, len(ring)})
		}
	}
	return edges
}

// meeting is where two edges meet that should not.
type meeting struct {
	at    mgl64.Vec2
	rings [2]int
}

// meetings tells of where edges of the rings cross, from the left, until told
// returns false. Wanted says which pairs of rings are compared; with touch, edges
// that only touch count too. Exceeded reports that the effort ran out before the
// end.
func meetings(
	rings []Ring, wanted func(a, b int) bool, touch bool, effort *effort, told func(meeting) bool,
) (exceeded bool) {
	edges := edgesOf(rings)
	low := func(e *edge) float64 { return math.Min(e.a[0], e.b[0]) }
	slices.SortFunc(edges, func(a, b edge) int {
		return cmp.Or(cmp.Compare(low(&a), low(&b)), cmp.Compare(a.ring, b.ring), cmp.Compare(a.index, b.index))
	})
	for i := range edges {
		e := &edges[i]
		right := math.Max(e.a[0], e.b[0]) + touching
		bottom, top := math.Min(e.a[1], e.b[1])-touching, math.Max(e.a[1], e.b[1])+touching
		for j := i + 1; j < len(edges) && low(&edges[j]) <= right; j++ {
			if !effort.spend(1) {
				return true
			}
			f := &edges[j]
			if f.a[1] < bottom && f.b[1] < bottom || f.a[1] > top && f.b[1] > top || !wanted(e.ring, f.ring) {
				continue
			}
			if at, meet := meet(e, f, touch); meet && !told(meeting{at, [2]int{e.ring, f.ring}}) {
				return false
			}
		}
	}
	return false
}

// meet reports whether two edges cross or, with touch, touch. Neighbours in a
// ring share an end and only meet if one folds back on the other.
func meet(e, f *edge, touch bool) (mgl64.Vec2, bool) {
	if e.ring == f.ring {
		switch (f.index - e.index + e.count) % e.count {
		case 1:
			return folded(e, f)
		case e.count - 1:
			return folded(f, e)
		}
	}
	if at, ok := cross(e, f); ok {
		return at, true
	}
	if touch {
		for _, t := range [...]struct {
			p    mgl64.Vec2
			edge *edge
		}{{f.a, e}, {f.b, e}, {e.a, f}, {e.b, f}} {
			if DistanceToEdge(t.p, t.edge.a, t.edge.b) <= touching {
				return t.p, true
			}
		}
	}
	return mgl64.Vec2{}, false
}

// folded reports whether f, which follows e, runs back along it.
func folded(e, f *edge) (mgl64.Vec2, bool) {
	u, v := e.b.Sub(e.a), f.b.Sub(f.a)
	if u.Dot(v) >= 0 {
		return mgl64.Vec2{}, false
	}
	apart := math.Abs(turn(u, v)) / math.Max(u.Len(), v.Len())
	return e.b, apart <= touching
}

// cross returns where two edges cross properly: the ends of each on either side
// of the other, farther from it than rounding reaches.
func cross(e, f *edge) (mgl64.Vec2, bool) {
	u, v := e.b.Sub(e.a), f.b.Sub(f.a)
	fa, fb := turn(u, f.a.Sub(e.a)), turn(u, f.b.Sub(e.a))
	ea, eb := turn(v, e.a.Sub(f.a)), turn(v, e.b.Sub(f.a))
	nearU, nearV := touching*u.Len(), touching*v.Len()
	if !apart(fa, fb, nearU) || !apart(ea, eb, nearV) {
		return mgl64.Vec2{}, false
	}
	return e.a.Add(u.Mul(ea / (ea - eb))), true
}

func apart(a, b, margin float64) bool {
	return a > margin && b < -margin || a < -margin && b > margin
}

// turn is the z component of the cross product: positive if v is to the left of
// u.
func turn(u, v mgl64.Vec2) float64 { return u[0]*v[1] - u[1]*v[0] }

// DistanceToEdge returns the distance from p to the straight line from a to b, ends
// included; of one without length, to its place.
func DistanceToEdge(p, a, b mgl64.Vec2) float64 {
	along, to := b.Sub(a), p.Sub(a)
	square := along.LenSqr()
	t := 0.0
	if square > 0 {
		t = math.Min(math.Max(along.Dot(to)/square, 0), 1)
	}
	return to.Sub(along.Mul(t)).Len()
}
