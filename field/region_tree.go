package field

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// split makes nodes[at] hold the edges [first, last), dividing them at the
// median of the longer side until a leaf's worth is left.
func (r *Region) split(at, first, last int) {
	lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	edges := r.edges[first:last]
	for i := range edges {
		a, b := edges[i].start, edges[i].start.Add(edges[i].along)
		for k := range a {
			lo[k], hi[k] = min(lo[k], a[k], b[k]), max(hi[k], a[k], b[k])
		}
	}
	node := regionNode{middle: lo.Add(hi).Mul(0.5)}
	for k := range lo {
		node.half[k] = (hi[k]-lo[k])/2 + boxSlack*(math.Abs(lo[k])+math.Abs(hi[k]))
	}
	if len(edges) <= leafEdges {
		node.first, node.count = int32(first), int32(len(edges))
		r.nodes[at] = node
		return
	}
	axis := 0
	if node.half[1] > node.half[0] {
		axis = 1
	}
	middle := func(e *regionEdge) float64 { return e.start[axis] + e.along[axis]/2 }
	slices.SortStableFunc(edges, func(a, b regionEdge) int {
		switch ma, mb := middle(&a), middle(&b); {
		case ma < mb:
			return -1
		case ma > mb:
			return 1
		}
		return 0
	})
	half := first + len(edges)/2
	children := len(r.nodes)
	node.first = int32(children)
	r.nodes[at] = node
	r.nodes = append(r.nodes, regionNode{}, regionNode{})
	r.split(children, first, half)
	r.split(children+1, half, last)
}

// boxSlack widens boxes, as a share of their coordinates, by more than rounding
// takes off them.
const boxSlack = 1e-12

// boxSquare returns the squared distance from p to the node's box.
func (n *regionNode) boxSquare(p mgl64.Vec2) float64 {
	return positiveSquare(math.Abs(p[0]-n.middle[0])-n.half[0]) +
		positiveSquare(math.Abs(p[1]-n.middle[1])-n.half[1])
}

// positiveSquare returns x² for a positive x, else 0, without a branch.
func positiveSquare(x float64) float64 {
	x += math.Abs(x)
	return x * x / 4
}

// foot is a boundary point as a query finds it.
type foot struct {
	edge  int     // that it lies on
	along float64 // 0 at the edge's start, 1 at its end
}

// nearest returns the boundary point nearest to p and its squared distance. The
// search starts from the edge given, the nearest of a point close by at best:
// the tree is then only walked where it may hold a nearer one.
func (r *Region) nearest(p mgl64.Vec2, start int) (foot, float64) {
	// The tree is balanced, so 64 levels hold any number of edges.
	var stack [64]struct {
		node   int32
		square float64
	}
	best := foot{edge: start}
	var square float64
	square, best.along = r.edges[start].square(p)
	stack[0].square = r.nodes[0].boxSquare(p)
	depth := 1
	for depth > 0 {
		depth--
		if stack[depth].square >= square {
			continue
		}
		node := &r.nodes[stack[depth].node]
		if node.count > 0 {
			for i := int(node.first); i < int(node.first+node.count); i++ {
				if other, along := r.edges[i].square(p); other < square {
					square, best = other, foot{i, along}
				}
			}
			continue
		}
		near, far := node.first, node.first+1
		nearSquare, farSquare := r.nodes[near].boxSquare(p), r.nodes[far].boxSquare(p)
		if farSquare < nearSquare {
			near, far, nearSquare, farSquare = far, near, farSquare, nearSquare
		}
		stack[depth].node, stack[depth].square = far, farSquare
		stack[depth+1].node, stack[depth+1].square = near, nearSquare
		depth += 2
	}
	return best, square
}

// square returns the squared distance of p from the edge and where along it the
// nearest point lies.
func (e *regionEdge) square(p mgl64.Vec2) (square, along float64) {
	wx, wy := p[0]-e.start[0], p[1]-e.start[1]
	along = min(max((wx*e.along[0]+wy*e.along[1])*e.inverseSquare, 0), 1)
	dx, dy := wx-along*e.along[0], wy-along*e.along[1]
	return dx*dx + dy*dy, along
}

// signed returns the distance of p, whose nearest boundary point is f, the
// point and the unit outward normal of its edge.
func (r *Region) signed(p mgl64.Vec2, f foot, square float64) (distance float64, nearest, normal mgl64.Vec2) {
	e := &r.edges[f.edge]
	nearest = mgl64.Vec2{e.start[0] + f.along*e.along[0], e.start[1] + f.along*e.along[1]}
	side := &e.normal
	switch f.along {
	case 0:
		side = &e.atStart
	case 1:
		side = &e.atEnd
	}
	distance = math.Sqrt(square)
	if (p[0]-nearest[0])*side[0]+(p[1]-nearest[1])*side[1] < 0 {
		distance = -distance
	}
	return distance, nearest, e.normal
}
