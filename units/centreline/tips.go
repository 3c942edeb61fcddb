package centreline

import (
	"container/heap"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// findTips returns the two ring points that are farthest apart on a way inside
// the region: from any point the farthest is one end, and from there the
// farthest is the other (exact in a tree, Handler 1973, and a strip is next to
// one). Ways run over a square grid inside the region and along the ring, so
// that they reach into a taper narrower than the grid.
func findTips(region *field.Region, ring []mgl64.Vec2, spacing float64) (first, last int) {
	g := newWays(region, ring, spacing)
	for range 3 {
		first, last = last, g.farthest(last)
	}
	return first, last
}

// ways is a graph whose first nodes are the ring's points and the others the
// grid points inside.
type ways struct {
	ring  int
	nodes []mgl64.Vec2
	depth []float64 // of every node inside the region, mm
	edges [][]int32
}

func newWays(region *field.Region, ring []mgl64.Vec2, spacing float64) *ways {
	lo, hi := region.Bounds()
	columns := int((hi[0]-lo[0])/spacing) + 2
	rows := int((hi[1]-lo[1])/spacing) + 2
	index := make([]int32, columns*rows)
	g := &ways{ring: len(ring), nodes: slices.Clone(ring), depth: make([]float64, len(ring))}
	for row := range rows {
		outside := 0.0 // until where the row lies outside for sure
		for column := range columns {
			index[row*columns+column] = -1
			p := lo.Add(mgl64.Vec2{float64(column) * spacing, float64(row) * spacing})
			if p[0] < outside && column > 0 {
				continue
			}
			if d := region.Distance(p); d < 0 {
				index[row*columns+column] = int32(len(g.nodes))
				g.nodes, g.depth = append(g.nodes, p), append(g.depth, -d)
			} else {
				outside = p[0] + d
			}
		}
	}
	g.edges = make([][]int32, len(g.nodes))
	at := func(column, row int) int32 {
		if column < 0 || row < 0 || column >= columns || row >= rows {
			return -1
		}
		return index[row*columns+column]
	}
	for row := range rows {
		for column := range columns {
			here := at(column, row)
			if here < 0 {
				continue
			}
			for _, d := range [][2]int{{1, 0}, {0, 1}, {1, 1}, {-1, 1}, {2, 1}, {1, 2}, {-1, 2}, {-2, 1}} {
				g.join(region, here, at(column+d[0], row+d[1]))
			}
		}
	}
	for i, p := range ring {
		g.join(region, int32(i), int32((i+1)%len(ring)))
		column, row := int((p[0]-lo[0])/spacing), int((p[1]-lo[1])/spacing)
		for k := range 4 {
			g.join(region, int32(i), at(column+k%2, row+k/2))
		}
	}
	return g
}

// join adds a way of two directions, unless it would leave the region.
func (g *ways) join(region *field.Region, a, b int32) {
	if b < 0 {
		return
	}
	if int(a) >= g.ring || int(b) >= g.ring {
		middle := g.nodes[a].Add(g.nodes[b]).Mul(0.5)
		half := middle.Sub(g.nodes[a]).Len()
		if max(g.depth[a], g.depth[b]) < half && region.Distance(middle) > 0 {
			return
		}
	}
	g.edges[a] = append(g.edges[a], b)
	g.edges[b] = append(g.edges[b], a)
}

// farthest returns the ring point with the longest shortest way from a node
// (Dijkstra 1959).
func (g *ways) farthest(from int) int {
	distance := make([]float64, len(g.nodes))
	for i := range distance {
		distance[i] = math.Inf(1)
	}
	distance[from] = 0
	queue := &wayQueue{{int32(from), 0}}
	for queue.Len() > 0 {
		here := heap.Pop(queue).(way)
		if here.length > distance[here.node] {
			continue
		}
		for _, next := range g.edges[here.node] {
			length := here.length + g.nodes[next].Sub(g.nodes[here.node]).Len()
			if length < distance[next] {
				distance[next] = length
				heap.Push(queue, way{next, length})
			}
		}
	}
	best := from
	for i := range g.ring {
		if distance[i] > distance[best] && !math.IsInf(distance[i], 1) {
			best = i
		}
	}
	return best
}

type way struct {
	node   int32
	length float64
}

// wayQueue is a heap of ways, the shortest first.
type wayQueue []way

func (q wayQueue) Len() int           { return len(q) }
func (q wayQueue) Less(i, j int) bool { return q[i].length < q[j].length }
func (q wayQueue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }

// Push adds a way, for package heap.
func (q *wayQueue) Push(x any) { *q = append(*q, x.(way)) }

// Pop takes the last way, for package heap.
func (q *wayQueue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}
