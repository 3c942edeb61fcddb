package contour

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// placeFaceVertices gives a vertex to each face between two crossed cells that
// the line between their vertices misses. A block owns the faces on the low
// sides of its cells.
func (g *lattice) placeFaceVertices(b *block) {
	for local, i := range b.vertex {
		if i < 0 {
			continue
		}
		cell := b.node(local)
		for axis := range 3 {
			other, ok := g.vertexBefore(b, cell, local, axis)
			if !ok || !g.crossed(b, cell, local, axis) || g.pierces(other, b.vertices[i], cell, axis) {
				continue
			}
			b.addFaceVertex(local, axis, g.facePoint(cell, axis))
		}
	}
}

// strides holds how far apart neighbours along each axis are in the order of a
// block's nodes.
var strides = [3]int{blockSide * blockSide, blockSide, 1}

// along returns where along an axis of its block the local node lies.
func along(local, axis int) int { return local / strides[axis] & (blockSide - 1) }

// vertexBefore returns the vertex of the cell before the block's local one along
// the axis, and whether it has one.
func (g *lattice) vertexBefore(b *block, cell node, local, axis int) (mgl64.Vec3, bool) {
	if along(local, axis) == 0 {
		return g.vertexAt(cell.step(axis, -1))
	}
	i := b.vertex[local-strides[axis]]
	if i < 0 {
		return mgl64.Vec3{}, false
	}
	return b.vertices[i], true
}

// vertexAt returns the vertex of the cell and whether it has one.
func (g *lattice) vertexAt(cell node) (mgl64.Vec3, bool) {
	if !g.within(cell) {
		return mgl64.Vec3{}, false
	}
	b := g.blockOf(cell)
	if b == nil {
		return mgl64.Vec3{}, false
	}
	i := b.vertex[cell.local()]
	if i < 0 {
		return mgl64.Vec3{}, false
	}
	return b.vertices[i], true
}

// crossed reports whether the surface passes the low face along axis of the cell,
// the block's local one.
func (g *lattice) crossed(b *block, cell node, local, axis int) bool {
	u, w := (axis+1)%3, (axis+2)%3
	first := b.inside[local]
	if along(local, u) < blockSide-1 && along(local, w) < blockSide-1 {
		toU, toW := local+strides[u], local+strides[w]
		return b.inside[toU] != first || b.inside[toW] != first || b.inside[toU+strides[w]] != first
	}
	return g.insideAt(cell.step(u, 1)) != first || g.insideAt(cell.step(w, 1)) != first ||
		g.insideAt(cell.step(u, 1).step(w, 1)) != first
}

// pierces reports whether the line between the vertices on both sides of the
// cell's low face along axis passes strictly through the face. Two cells that
// were lent their neighbours on the same side share those neighbours' face too.
func (g *lattice) pierces(before, after mgl64.Vec3, cell node, axis int) bool {
	plane := g.coordinate[axis][cell[axis]]
	share := (plane - before[axis]) / (after[axis] - before[axis])
	lent := g.lentTo(cell)
	if lent != g.lentTo(cell.step(axis, -1)) {
		lent = lentNone
	}
	for _, k := range [2]int{(axis + 1) % 3, (axis + 2) % 3} {
		first, last := cell[k], cell[k]+1
		if lent.along(k) < 0 {
			first--
		} else if lent.along(k) > 0 {
			last++
		}
		c := before[k] + (after[k]-before[k])*share
		if c < g.coordinate[k][first]+g.margin || c > g.coordinate[k][last]-g.margin {
			return false
		}
	}
	return true
}

// facePoint returns the vertex of the cell's low face along axis, strictly
// inside it: where the two tangent lines of the surface in the face meet, or
// near the middle of its two crossings where they are all but parallel.
func (g *lattice) facePoint(cell node, axis int) mgl64.Vec3 {
	u, w := (axis+1)%3, (axis+2)%3
	var line sheet
	for _, e := range [4]struct {
		from  node
		along int
	}{{cell, u}, {cell, w}, {cell.step(u, 1), w}, {cell.step(w, 1), u}} {
		b := g.blockOf(e.from)
		if b == nil {
			continue
		}
		if i := b.crossing[e.along][e.from.local()]; i >= 0 {
			c := &b.crossings[i]
			p := g.position(e.from)
			p[e.along] = c.at
			line.add(p, c.normal, c.forced)
			line.normals[line.count-1][axis] = 0
		}
	}
	low, high := g.inside(cell)
	low[axis], high[axis] = g.coordinate[axis][cell[axis]], g.coordinate[axis][cell[axis]]
	v, _, _ := line.vertex(low, high)
	return v
}

// numberVertices gives each block its place in the mesh: all cell vertices come
// first, then all face vertices; edge vertices are numbered when collected.
func (g *lattice) numberVertices() {
	next := int32(0)
	for _, b := range g.active {
		b.firstVertex = next
		next += int32(len(b.vertices))
	}
	for _, b := range g.active {
		b.firstFaceVertex = next
		next += int32(len(b.faceVertices))
	}
}

// corner is one vertex of the ring around a lattice edge.
type corner struct {
	number   int32
	position mgl64.Vec3
}

// emit writes the triangles around each of the block's crossed edges.
func (g *lattice) emit(b *block) {
	b.triangles = make([][3]int32, 0, 2*len(b.crossings))
	for axis := range 3 {
		for local, i := range b.crossing[axis] {
			if i >= 0 {
				g.emitEdge(b, b.node(local), axis, &b.crossings[i])
			}
		}
	}
}

// aroundEdge lists the four cells around an edge, counter-clockwise seen from
// the edge's far end, as steps along the two next axes.
var aroundEdge = [4][2]int32{{-1, -1}, {0, -1}, {0, 0}, {-1, 0}}

// emitEdge writes the triangles around one edge.
//
//	    u2           The four cells' vertices 0 … 3 stand around the edge, seen
//	 3  |  2         here from its far end. The line from 0 to 1 passes the
//	----e---- u1     face below e, or goes round by that face's own vertex.
//	 0  |  1
func (g *lattice) emitEdge(b *block, n node, axis int, c *crossing) {
	u1, u2 := (axis+1)%3, (axis+2)%3
	var cells [4]node
	var owners [4]*block
	onSide := n[u1] == b.first[u1] || n[u2] == b.first[u2]
	var ring [8]corner
	count := 0
	var quad [4]corner
	plain := true
	for k, d := range aroundEdge {
		cells[k] = n.step(u1, d[0]).step(u2, d[1])
		owner := b
		if onSide {
			owner = g.blockOf(cells[k])
		}
		owners[k] = owner
		i := owner.vertex[cells[k].local()]
		quad[k] = corner{owner.firstVertex + int32(i), owner.vertices[i]}
	}
	for k := range 4 {
		ring[count] = quad[k]
		count++
		// The face between cells k and k+1 is the low face of the later one
		// along the axis they differ in.
		face, across := cells[(k+1)%4], u1
		if k >= 2 {
			face = cells[k]
		}
		if k%2 == 1 {
			across = u2
		}
		owner := owners[(k+1)%4]
		if k >= 2 {
			owner = owners[k]
		}
		if i := owner.faceVertexOf(int(face.local()), across); i >= 0 {
			ring[count] = corner{owner.firstFaceVertex + i, owner.faceVertices[i]}
			count++
			plain = false
		}
	}
	outward := g.insideAt(n)
	if plain {
		low, high := g.coordinate[axis][n[axis]], g.coordinate[axis][n[axis]+1]
		e := edgeFrame{axis: axis, u1: u1, u2: u2, low: low, high: high, margin: g.margin,
			at1: g.coordinate[u1][n[u1]], at2: g.coordinate[u2][n[u2]], normal: c.normal}
		if !outward {
			e.normal = e.normal.Mul(-1) // the quad is wound for an edge that leads out
		}
		if first, ok := e.diagonal(&quad, c.at); ok {
			b.triangle(outward, quad[first].number, quad[first+1].number, quad[(first+2)%4].number)
			b.triangle(outward, quad[first].number, quad[(first+2)%4].number, quad[(first+3)%4].number)
			return
		}
	}
	b.fan(ring[:count], outward, g.edgePoint(n, axis, c))
}

func (g *lattice) edgePoint(n node, axis int, c *crossing) mgl64.Vec3 {
	p := g.position(n)
	p[axis] = c.at
	return p
}

// fan joins the ring to a vertex on the edge itself.
func (b *block) fan(ring []corner, outward bool, centre mgl64.Vec3) {
	b.edgeVertices = append(b.edgeVertices, centre)
	number := -int32(len(b.edgeVertices))
	for k := range ring {
		b.triangle(outward, number, ring[k].number, ring[(k+1)%len(ring)].number)
	}
}

// triangle appends a triangle, turned round where the solid is at the edge's
// far end.
func (b *block) triangle(outward bool, i, j, k int32) {
	if !outward {
		j, k = k, j
	}
	b.triangles = append(b.triangles, [3]int32{i, j, k})
}

// edgeFrame is a lattice edge with the coordinates across it.
type edgeFrame struct {
	axis, u1, u2 int
	low, high    float64 // the edge's ends along axis
	at1, at2     float64 // its place across
	margin       float64
	normal       mgl64.Vec3 // of the surface where it passes, towards the far end's side
}

// diagonalShare is how far, in steps, the edge may pass from the crossing for a
// diagonal to count as good: beyond, the vertex on the edge is kept, so that a
// crease between the cells is not cut off.
const diagonalShare = 0.1

// diagonal returns the quad's corner (0 or 1) from which a diagonal may be
// drawn, the one whose triangles pass nearer to the crossing at the coordinate,
// and whether there is one.
func (e *edgeFrame) diagonal(quad *[4]corner, crossing float64) (first int, ok bool) {
	nearest := diagonalShare * (e.high - e.low)
	for k := range 2 {
		height, fits := e.fits(quad, k)
		if !fits || e.folds(quad, k) {
			continue
		}
		if off := math.Abs(height - crossing); off < nearest {
			first, nearest, ok = k, off, true
		}
	}
	return first, ok
}

// folded is the cosine between a triangle's normal and the surface's at the edge
// beyond which the triangle is folded over: on the far side of a sharp crease
// it is not below 0.
const folded = -0.2

// folds reports whether a triangle beside the diagonal from corner k looks away
// from the surface, as it can where the surface all but holds the edge.
func (e *edgeFrame) folds(quad *[4]corner, k int) bool {
	a, c := quad[k].position, quad[k+2].position
	return looksAway(&a, &quad[k+1].position, &c, &e.normal) || looksAway(&a, &c, &quad[(k+3)%4].position, &e.normal)
}

// looksAway reports whether a triangle is folded over against the normal.
func looksAway(a, b, c, normal *mgl64.Vec3) bool {
	ux, uy, uz := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	vx, vy, vz := c[0]-a[0], c[1]-a[1], c[2]-a[2]
	x, y, z := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	facing := x*normal[0] + y*normal[1] + z*normal[2]
	return facing < 0 && facing*facing > folded*folded*(x*x+y*y+z*z)
}

// across returns the vertex's place seen along the edge.
func (e *edgeFrame) across(p *mgl64.Vec3) seen { return seen{p[e.u1] - e.at1, p[e.u2] - e.at2} }

// seen is a place seen along an edge, from the edge.
type seen struct{ x, y float64 }

func cross(a, b seen) float64 { return a.x*b.y - a.y*b.x }

// fits reports whether both triangles beside the diagonal from corner k stay in
// the tetrahedra around the edge, and where the edge pierces them.
//
// The edge pierces the triangle on the one side; that must be between the
// edge's ends. On the other side the diagonal passes over the half-plane from
// the edge to that side's vertex; there it must stay within the triangle (edge,
// vertex). Both hold with the margin to spare, far more than rounding.
func (e *edgeFrame) fits(quad *[4]corner, k int) (height float64, ok bool) {
	a, c := &quad[k].position, &quad[k+2].position
	b, d := &quad[k+1].position, &quad[(k+3)%4].position
	wa, wc := e.across(a), e.across(c)
	if cross(wc, wa) < 0 { // the edge is on d's side: let b be the pierced side
		b, d = d, b
		a, c = c, a
		wa, wc = wc, wa
	}
	wb, wd := e.across(b), e.across(d)
	la, lb, lc := cross(wb, wc), cross(wc, wa), cross(wa, wb)
	sum := la + lb + lc
	height = (la*a[e.axis] + lb*b[e.axis] + lc*c[e.axis]) / sum
	if !(height > e.low+e.margin && height < e.high-e.margin) {
		return 0, false
	}
	toC, toA := cross(wd, wc), cross(wd, wa)
	share := toC / (toC - toA)
	overX, overY := wc.x+(wa.x-wc.x)*share, wc.y+(wa.y-wc.y)*share
	out := (overX*wd.x + overY*wd.y) / (wd.x*wd.x + wd.y*wd.y)
	if !(out < 1-insideMargin) {
		return 0, false
	}
	z := c[e.axis] + (a[e.axis]-c[e.axis])*share
	floor := e.low + (d[e.axis]-e.low)*out
	ceiling := e.high + (d[e.axis]-e.high)*out
	clear := e.margin * (1 - out)
	return height, z > floor+clear && z < ceiling-clear
}
