package mesh

import (
	"cmp"
	"slices"
)

// edgeUse is one triangle's side. An edge is named by its two vertices, the
// lower first; its uses follow one another once they are sorted.
type edgeUse struct {
	low, high int32
	side      int32 // 3 × triangle + corner where the side begins
	forward   bool  // it runs from low to high
}

func (u edgeUse) triangle() int32 { return u.side / 3 }

// corners returns the sides' corners at the low and the high vertex, numbered
// 3 × triangle + corner.
func (u edgeUse) corners() (low, high int32) {
	begin, end := u.side, u.side-u.side%3+(u.side+1)%3
	if u.forward {
		return begin, end
	}
	return end, begin
}

// apex returns the vertex of the triangle that is not on the side.
func (u edgeUse) apex(m *Mesh) int32 { return m.Triangles[u.triangle()][(u.side+2)%3] }

// sortSides sorts the triangles' sides by low vertex, by counting.
func (j *judgement) sortSides() {
	m := j.mesh
	start := make([]int32, len(m.Vertices)+1)
	each := func(yield func(edgeUse)) {
		for i, t := range m.Triangles {
			if j.skipped[i] {
				continue
			}
			for k := range 3 {
				from, to := t[k], t[(k+1)%3]
				yield(edgeUse{low: min(from, to), high: max(from, to), side: int32(3*i + k), forward: from < to})
			}
		}
	}
	each(func(u edgeUse) { start[u.low+1]++ })
	for v := range len(m.Vertices) {
		start[v+1] += start[v]
	}
	j.edgeUses = make([]edgeUse, start[len(m.Vertices)])
	next := slices.Clone(start)
	each(func(u edgeUse) {
		j.edgeUses[next[u.low]] = u
		next[u.low]++
	})
	j.lowest = start
}

// pairEdges groups the sides by edge: those of each low vertex by high vertex.
func (j *judgement) pairEdges() {
	start := j.lowest
	for v := range len(start) - 1 {
		slices.SortFunc(j.edgeUses[start[v]:start[v+1]], func(a, b edgeUse) int {
			return cmp.Or(cmp.Compare(a.high, b.high), cmp.Compare(a.side, b.side))
		})
	}
	for i, u := range j.edgeUses {
		if i == 0 || u.low != j.edgeUses[i-1].low || u.high != j.edgeUses[i-1].high {
			j.groups = append(j.groups, int32(i))
		}
	}
	j.verdict.Edges = len(j.groups)
	j.groups = append(j.groups, int32(len(j.edgeUses)))
}

// eachEdge calls visit with the uses of every edge.
func (j *judgement) eachEdge(visit func(uses []edgeUse)) {
	for i := range len(j.groups) - 1 {
		visit(j.edgeUses[j.groups[i]:j.groups[i+1]])
	}
}

// judgeEdges asks of every edge that it is used once each way, and that no two
// triangles on it are the same.
func (j *judgement) judgeEdges() {
	m := j.mesh
	j.eachEdge(func(uses []edgeUse) {
		middle := m.Vertices[uses[0].low].Mul(0.5).Add(m.Vertices[uses[0].high].Mul(0.5))
		switch {
		case len(uses) == 1:
			j.find(FaultOpenEdge, middle)
		case len(uses) > 2:
			j.find(FaultCrowdedEdge, middle)
		case uses[0].forward == uses[1].forward:
			j.find(FaultWinding, middle)
		}
		j.judgeSameTriangles(uses)
	})
}

// judgeSameTriangles looks for triangles on the same three vertices. Each such
// triangle is counted at the edge of its two lowest vertices.
func (j *judgement) judgeSameTriangles(uses []edgeUse) {
	if len(uses) < 2 {
		return
	}
	m := j.mesh
	if len(uses) > 2 {
		uses = slices.SortedFunc(slices.Values(uses), func(a, b edgeUse) int {
			return cmp.Or(cmp.Compare(a.apex(m), b.apex(m)), cmp.Compare(a.side, b.side))
		})
	}
	for i := 1; i < len(uses); i++ {
		if apex := uses[i].apex(m); apex == uses[i-1].apex(m) && apex > uses[i].high {
			j.find(FaultSameTriangle, j.triangleCentre(int(uses[i].triangle())))
		}
	}
}

// joinShells joins triangles along edges into shells, and corners along edges
// into fans; a vertex with more than one fan is a place where the surface
// touches itself.
func (j *judgement) joinShells() {
	m := j.mesh
	shells, fans := newGroups(len(m.Triangles)), newGroups(3*len(m.Triangles))
	j.eachEdge(func(uses []edgeUse) {
		low, high := uses[0].corners()
		for _, u := range uses[1:] {
			otherLow, otherHigh := u.corners()
			fans.join(low, otherLow)
			fans.join(high, otherHigh)
			shells.join(uses[0].triangle(), u.triangle())
		}
	})
	j.shellOf = make([]int32, len(m.Triangles))
	for i := range m.Triangles {
		if j.shellOf[i] = -1; j.skipped[i] {
			continue
		}
		if root := shells.root(int32(i)); root == int32(i) { // the lowest of its shell
			j.shellOf[i] = int32(len(j.verdict.Shells))
			j.verdict.Shells = append(j.verdict.Shells, Shell{})
		} else {
			j.shellOf[i] = j.shellOf[root]
		}
	}
	fanCount := make([]uint8, len(m.Vertices))
	for i, t := range m.Triangles {
		if j.skipped[i] {
			continue
		}
		shell := &j.verdict.Shells[j.shellOf[i]]
		shell.Triangles++
		for k, v := range t {
			if corner := int32(3*i + k); fans.root(corner) == corner {
				shell.Vertices++
				if fanCount[v] = min(fanCount[v]+1, 2+1); fanCount[v] == 2 {
					j.find(FaultSeveralFans, m.Vertices[v])
				}
			}
		}
	}
	j.countHandles()
}

// countHandles gives each shell its Euler characteristic and, where it is
// closed, its genus: 2 - 2·genus = Euler characteristic (Henle, A Combinatorial
// Introduction to Topology).
func (j *judgement) countHandles() {
	j.closed = make([]bool, len(j.verdict.Shells))
	for i := range j.closed {
		j.closed[i] = true
		j.verdict.Shells[i].Euler = j.verdict.Shells[i].Vertices + j.verdict.Shells[i].Triangles
	}
	j.eachEdge(func(uses []edgeUse) {
		shell := j.shellOf[uses[0].triangle()]
		j.verdict.Shells[shell].Euler--
		if len(uses) != 2 || uses[0].forward == uses[1].forward {
			j.closed[shell] = false
		}
	})
	for i := range j.closed {
		shell := &j.verdict.Shells[i]
		if shell.Genus = -1; j.closed[i] {
			shell.Genus = (2 - shell.Euler) / 2
		}
	}
}

// groups is a set of numbers parted into groups that can be joined. A group's
// root is its lowest number.
type groups []int32

func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = int32(i)
	}
	return g
}

func (g groups) root(i int32) int32 {
	for g[i] != i {
		g[i] = g[g[i]]
		i = g[i]
	}
	return i
}

func (g groups) join(a, b int32) {
	a, b = g.root(a), g.root(b)
	g[max(a, b)] = min(a, b)
}
