package membrane

import (
	"context"
	"math"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// How the skin's outside becomes a mesh. The plan is cut into square cells, and
// each cell along a diagonal. Every side is a section of
// the outside: it carries points where the outside bends or stands steep, and
// where a crease passes. Triangles meet along sides that carry the same points,
// and each is filled on its own:
//
//	      ╱│
//	    ╱  │        • points on the sides; ◦ where a crease passes: creases run
//	  ◦────◦        straight from side to side, and no triangle spans them.
//	 •     │
//	╱──•───│
//
// Seen from above the mesh is a subdivision of the plan, so nothing of it
// crosses, however steep it stands: a contour on a lattice would need cells as
// narrow as the crease.

// meshing is the mesh while it is made.
type meshing struct {
	*Outside
	columns, rows int // of cells' corners
	corners       []sample
	vertices      []mgl64.Vec3
	normals       []mgl64.Vec3 // of the outside at each vertex; none on a crease
	creased       []bool       // a vertex lies on a crease
	rises         []bool       // the cell of a corner is cut from corner 0 to corner 3
	first         []int32      // of each side's points; sides of corner n are 3n … 3n + 2
}

// The sides that start at a cell's corner 0.
const (
	sideRight = iota
	sideUp
	sideAcross // from corner 0 to 3, or from 1 to 2
)

// Solid returns what lies between the outside and a level so many mm under the
// bed as a closed mesh with upright walls at the grid's border.
// Its coordinates are numbers that a float32 holds. ctx ends the work early with
// its error.
func (o *Outside) Solid(ctx context.Context, under float64) (*mesh.Mesh, error) {
	m := &meshing{Outside: o, columns: o.Grid.Columns, rows: o.Grid.Rows}
	m.sampleCorners(ctx)
	m.drawSides(ctx)
	triangles := m.fill(ctx)
	triangles = m.close(triangles, -under)
	for i, v := range m.vertices {
		for k := range v {
			m.vertices[i][k] = float64(float32(v[k]))
		}
	}
	return &mesh.Mesh{Vertices: m.vertices, Triangles: triangles}, ctx.Err()
}

// sampleCorners samples the outside at the cells' corners.
func (m *meshing) sampleCorners(ctx context.Context) {
	m.corners = make([]sample, m.columns*m.rows)
	overRows(ctx, stageOutside, m.rows, m.columns, func(from, to int) {
		for corner := from * m.columns; corner < to*m.columns; corner++ {
			if corner%m.columns == 0 {
				m.corners[corner] = m.at(m.Grid.Place(corner))
			} else {
				m.corners[corner] = m.at(m.Grid.Place(corner), m.corners[corner-1])
			}
		}
	})
}

// ends returns the corners of a side; ok is false beyond the border.
func (m *meshing) ends(corner, side int) (from, to int, ok bool) {
	right, up := corner%m.columns+1 < m.columns, corner/m.columns+1 < m.rows
	switch {
	case side == sideRight:
		return corner, corner + 1, right
	case side == sideUp:
		return corner, corner + m.columns, up
	case !right || !up:
		return 0, 0, false
	case m.rises[corner]:
		return corner, corner + m.columns + 1, true
	}
	return corner + 1, corner + m.columns, true
}

// rising reports whether a cell is cut from corner 0 to corner 3: along the
// diagonal that the outside turns less along.
func (m *meshing) rising(corner int) bool {
	a, b := m.corners[corner], m.corners[corner+1]
	c, d := m.corners[corner+m.columns], m.corners[corner+m.columns+1]
	if m.Thickness == 0 {
		return a.at[2]+d.at[2] >= b.at[2]+c.at[2]
	}
	return m.normal(a).Dot(m.normal(d)) >= m.normal(b).Dot(m.normal(c))
}

// drawSides works out the points of all sides and numbers them: corners first.
func (m *meshing) drawSides(ctx context.Context) {
	corners := m.columns * m.rows
	m.rises = make([]bool, corners)
	for corner := range corners {
		if corner%m.columns+1 < m.columns && corner/m.columns+1 < m.rows {
			m.rises[corner] = m.rising(corner)
		}
	}
	sides := make([][]point, 3*corners)
	ends := make([][2]float64, 3*corners)
	overRows(ctx, stageOutside, m.rows, m.columns, func(from, to int) {
		for corner := from * m.columns; corner < to*m.columns; corner++ {
			for side := range 3 {
				if a, b, ok := m.ends(corner, side); ok {
					n := 3*corner + side
					sides[n], ends[n][0], ends[n][1] = m.section(m.corners[a], m.corners[b])
				}
			}
		}
	})
	m.vertices, m.normals, m.creased = make([]mgl64.Vec3, corners), make([]mgl64.Vec3, corners), make([]bool, corners)
	m.first = make([]int32, 3*corners+1)
	for corner := range corners {
		s := m.corners[corner]
		m.vertices[corner], m.normals[corner] = s.at, m.normal(s)
	}
	for n, points := range sides {
		m.first[n] = int32(len(m.vertices))
		for _, p := range points {
			m.vertices, m.normals = append(m.vertices, p.at), append(m.normals, p.normal)
			m.creased = append(m.creased, p.crease)
		}
		if from, to, ok := m.ends(n/3, n%3); ok {
			m.lower(from, ends[n][0])
			m.lower(to, ends[n][1])
		}
	}
	m.first[len(sides)] = int32(len(m.vertices))
}

// lower puts a corner onto a crease of this height, unless there is none.
func (m *meshing) lower(corner int, height float64) {
	if math.IsInf(height, 1) {
		return
	}
	m.vertices[corner][2] = min(m.vertices[corner][2], height)
	m.normals[corner], m.creased[corner] = mgl64.Vec3{}, true
}

// fill returns the triangles of all cells, row by row.
func (m *meshing) fill(ctx context.Context) [][3]int32 {
	rows := make([][][3]int32, m.rows-1)
	overRows(ctx, stageOutside, m.rows-1, m.columns, func(from, to int) {
		for j := from; j < to; j++ {
			f := &filling{meshing: m}
			for i := range m.columns - 1 {
				f.cell(j*m.columns + i)
			}
			rows[j] = f.triangles
		}
	})
	count := 0
	for _, row := range rows {
		count += len(row)
	}
	triangles := make([][3]int32, 0, count+4*(m.columns+m.rows))
	for _, row := range rows {
		triangles = append(triangles, row...)
	}
	return triangles
}

// close adds walls under the border and a floor at a level, mm.
func (m *meshing) close(triangles [][3]int32, level float64) [][3]int32 {
	f := &filling{meshing: m}
	for i := range m.columns - 1 { // counter-clockwise, seen from above
		f.side(i, sideRight, true)
	}
	for j := range m.rows - 1 {
		f.side(j*m.columns+m.columns-1, sideUp, true)
	}
	for i := m.columns - 2; i >= 0; i-- {
		f.side((m.rows-1)*m.columns+i, sideRight, false)
	}
	for j := m.rows - 2; j >= 0; j-- {
		f.side(j*m.columns, sideUp, false)
	}
	below, count := int32(len(m.vertices)), int32(len(f.loop))
	middle := m.vertices[0].Add(m.vertices[m.columns*m.rows-1]).Mul(0.5)
	for n, c := range f.loop {
		v, next := int32(n), (int32(n)+1)%count
		place := m.vertices[c.vertex]
		m.vertices = append(m.vertices, mgl64.Vec3{place[0], place[1], level})
		triangles = append(triangles,
			[3]int32{c.vertex, below + v, f.loop[next].vertex},
			[3]int32{below + v, below + next, f.loop[next].vertex},
			[3]int32{below + v, below + count, below + next})
	}
	m.vertices = append(m.vertices, mgl64.Vec3{middle[0], middle[1], level})
	return triangles
}
