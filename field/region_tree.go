package field

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// split makes nodes[at] hold the edges [first, last), dividing them at the
// median of the longer side until a leaf's worth is left.
func (r *Region) split(at, first, last int) {
	node := regionNode{
		lo: mgl64.Vec2{math.Inf(1), math.Inf(1)},
		hi: mgl64.Vec2{math.Inf(-1), math.Inf(-1)},
	}
	edges := r.edges[first:last]
	for i := range edges {
		a, b := edges[i].start, edges[i].start.Add(edges[i].along)
		for k := range a {
			node.lo[k] = math.Min(node.lo[k], math.Min(a[k], b[k]))
			node.hi[k] = math.Max(node.hi[k], math.Max(a[k], b[k]))
		}
	}
	if len(edges) <= leafEdges {
		node.first, node.count = int32(first), int32(len(edges))
		r.nodes[at] = node
		return
	}
	axis := 0
	if node.hi[1]-node.lo[1] > node.hi[0]-node.lo[0] {
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

// boxSquare returns the squared distance from p to the node's box.
func (n *regionNode) boxSquare(p mgl64.Vec2) float64 {
	dx := max(n.lo[0]-p[0], 0, p[0]-n.hi[0])
	dy := max(n.lo[1]-p[1], 0, p[1]-n.hi[1])
	return dx*dx + dy*dy
}

// query returns the signed distance, the nearest boundary point and the unit
// outward normal there.
func (r *Region) query(p mgl64.Vec2) (distance float64, nearest, normal mgl64.Vec2) {
	// The tree is balanced, so 64 levels hold any number of edges.
	var stack [64]struct {
		node   int32
		square float64
	}
	best, bestEdge, bestAlong := math.Inf(1), 0, 0.0
	stack[0].square = r.nodes[0].boxSquare(p)
	depth := 1
	for depth > 0 {
		depth--
		if stack[depth].square >= best {
			continue
		}
		node := &r.nodes[stack[depth].node]
		if node.count > 0 {
			for i := int(node.first); i < int(node.first+node.count); i++ {
				e := &r.edges[i]
				wx, wy := p[0]-e.start[0], p[1]-e.start[1]
				t := (wx*e.along[0] + wy*e.along[1]) * e.inverseSquare
				t = min(max(t, 0), 1)
				dx, dy := wx-t*e.along[0], wy-t*e.along[1]
				if square := dx*dx + dy*dy; square < best {
					best, bestEdge, bestAlong = square, i, t
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
	e := &r.edges[bestEdge]
	nearest = mgl64.Vec2{e.start[0] + bestAlong*e.along[0], e.start[1] + bestAlong*e.along[1]}
	normal = e.normal
	side := &e.normal
	switch bestAlong {
	case 0:
		side = &e.atStart
	case 1:
		side = &e.atEnd
	}
	distance = math.Sqrt(best)
	if (p[0]-nearest[0])*side[0]+(p[1]-nearest[1])*side[1] < 0 {
		distance = -distance
	}
	return distance, nearest, normal
}
