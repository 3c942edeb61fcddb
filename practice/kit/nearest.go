package kit

import (
	"math"
	"slices"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// tree finds the nearest point of a mesh: boxes around triangles, halved along
// their longest side.
type tree struct {
	mesh      *mesh.Mesh
	triangles []int32
	nodes     []node
}

// node is a leaf with triangles [first, first+count), or (count 0) has its
// children at first and first+1.
type node struct {
	lo, hi       mgl64.Vec3
	first, count int32
}

// leafTriangles is how many triangles a leaf holds at the most.
const leafTriangles = 4

func newTree(m *mesh.Mesh) *tree {
	t := &tree{mesh: m, triangles: make([]int32, len(m.Triangles)), nodes: make([]node, 1, len(m.Triangles))}
	middles := make([]mgl64.Vec3, len(m.Triangles))
	for i, c := range m.Triangles {
		t.triangles[i] = int32(i)
		middles[i] = m.Vertices[c[0]].Add(m.Vertices[c[1]]).Add(m.Vertices[c[2]]).Mul(1.0 / 3)
	}
	t.split(0, 0, len(t.triangles), middles)
	return t
}

func (t *tree) split(at, first, end int, middles []mgl64.Vec3) {
	lo := mgl64.Vec3{math.Inf(1), math.Inf(1), math.Inf(1)}
	hi := lo.Mul(-1)
	low, high := lo, hi // of the middles
	for _, i := range t.triangles[first:end] {
		for _, v := range t.mesh.Triangles[i] {
			for k, x := range t.mesh.Vertices[v] {
				lo[k], hi[k] = math.Min(lo[k], x), math.Max(hi[k], x)
			}
		}
		for k, x := range middles[i] {
			low[k], high[k] = math.Min(low[k], x), math.Max(high[k], x)
		}
	}
	t.nodes[at] = node{lo: lo, hi: hi, first: int32(first), count: int32(end - first)}
	if end-first <= leafTriangles {
		return
	}
	axis, size := 0, high.Sub(low)
	for k := range size {
		if size[k] > size[axis] {
			axis = k
		}
	}
	slices.SortFunc(t.triangles[first:end], func(a, b int32) int {
		switch x, y := middles[a][axis], middles[b][axis]; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return int(a - b)
	})
	children := len(t.nodes)
	t.nodes = append(t.nodes, node{}, node{})
	t.nodes[at].first, t.nodes[at].count = int32(children), 0
	middle := (first + end) / 2
	t.split(children, first, middle, middles)
	t.split(children+1, middle, end, middles)
}

// nearest returns the mesh's point nearest to p and how far away it is, mm; ok
// is false if that is not less than most.
func (t *tree) nearest(p mgl64.Vec3, most float64) (at mgl64.Vec3, distance float64, ok bool) {
	best := most * most
	var stack [64]int32
	top := 1
	for top > 0 {
		top--
		n := &t.nodes[stack[top]]
		if n.away(p) >= best {
			continue
		}
		if n.count > 0 {
			for _, i := range t.triangles[n.first : n.first+n.count] {
				c := t.mesh.Triangles[i]
				q := onTriangle(p, t.mesh.Vertices[c[0]], t.mesh.Vertices[c[1]], t.mesh.Vertices[c[2]])
				if d := q.Sub(p).LenSqr(); d < best {
					best, at, ok = d, q, true
				}
			}
			continue
		}
		near, far := n.first, n.first+1
		if t.nodes[far].away(p) < t.nodes[near].away(p) {
			near, far = far, near
		}
		stack[top], stack[top+1] = far, near
		top += 2
	}
	return at, math.Sqrt(best), ok
}

// away returns the square of the distance of p from the node's box.
func (n *node) away(p mgl64.Vec3) float64 {
	square := 0.0
	for k, x := range p {
		d := max(n.lo[k]-x, x-n.hi[k], 0)
		square += d * d
	}
	return square
}

// onTriangle returns the point of the triangle nearest to p (Ericson, Real-Time
// Collision Detection, 2005, 5.1.5).
func onTriangle(p, a, b, c mgl64.Vec3) mgl64.Vec3 {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Add(ab.Mul(d1 / (d1 - d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Add(ac.Mul(d2 / (d2 - d6)))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Add(c.Sub(b).Mul((d4 - d3) / ((d4 - d3) + (d5 - d6))))
	}
	denominator := 1 / (va + vb + vc)
	return a.Add(ab.Mul(vb * denominator)).Add(ac.Mul(vc * denominator))
}
