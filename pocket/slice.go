package pocket

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// A slice of a solid: the outlines of its cut by the plane y = constant, by
// marching squares on a grid of the plane. Corners of a cell and its edges:
//
//	2 ──t── 3
//	l       r     x to the right, z upward
//	0 ──b── 1
//
// An outline keeps the solid on its left; each point lies on a grid edge and is
// known by it, so that outlines close without comparing places.

// sliceEdge is a grid edge: the one that leaves node (column, row) to the right
// or upward.
type sliceEdge struct {
	column, row int
	up          bool
}

// slicer cuts one solid.
type slicer struct {
	origin        mgl64.Vec2
	step          float64
	columns, rows int
	values        []float64 // column by column
	next          map[sliceEdge]sliceEdge
}

// slice returns the rings of the field's cut at y, as x and z in mm, sampled at
// the step.
func slice(f field.Field, y, step float64) [][]mgl64.Vec2 {
	bounds := f.Bounds().Grow(1.5 * step)
	if y < bounds.Min[1] || y > bounds.Max[1] {
		return nil
	}
	s := &slicer{
		origin: mgl64.Vec2{bounds.Min[0], bounds.Min[2]}, step: step,
		columns: int(math.Ceil((bounds.Max[0]-bounds.Min[0])/step)) + 1,
		rows:    int(math.Ceil((bounds.Max[2]-bounds.Min[2])/step)) + 1,
		next:    map[sliceEdge]sliceEdge{},
	}
	points := make([]mgl64.Vec3, 0, s.columns*s.rows)
	for i := range s.columns {
		for j := range s.rows {
			p := s.place(i, j)
			points = append(points, mgl64.Vec3{p[0], y, p[1]})
		}
	}
	s.values = make([]float64, len(points))
	f.Distances(points, s.values)
	for i := range s.columns - 1 {
		for j := range s.rows - 1 {
			s.cell(i, j)
		}
	}
	return s.rings()
}

func (s *slicer) place(i, j int) mgl64.Vec2 {
	return s.origin.Add(mgl64.Vec2{float64(i), float64(j)}.Mul(s.step))
}

func (s *slicer) inside(i, j int) bool { return s.values[i*s.rows+j] < 0 }

// cell adds the pieces of outline in one cell. Going round the cell
// counter-clockwise, an outline enters where the corners turn from inside to
// outside and leaves where they turn back.
func (s *slicer) cell(i, j int) {
	corners := [4][2]int{{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}}
	edges := [4]sliceEdge{{i, j, false}, {i + 1, j, true}, {i, j + 1, false}, {i, j, true}}
	var starts, ends []sliceEdge
	for k := range corners {
		a, b := corners[k], corners[(k+1)%4]
		switch from, to := s.inside(a[0], a[1]), s.inside(b[0], b[1]); {
		case from && !to:
			starts = append(starts, edges[k])
		case !from && to:
			ends = append(ends, edges[k])
		}
	}
	if len(starts) == 2 && s.inside(i, j) { // two corners across: keep them apart
		ends[0], ends[1] = ends[1], ends[0]
	}
	for k := range starts {
		s.next[starts[k]] = ends[k]
	}
}

// rings follows the pieces.
func (s *slicer) rings() [][]mgl64.Vec2 {
	var rings [][]mgl64.Vec2
	for i := range s.columns { // in the grid's order, not the map's
		for j := range s.rows {
			for _, up := range [2]bool{false, true} {
				if ring := s.follow(sliceEdge{i, j, up}); len(ring) > 2 {
					rings = append(rings, ring)
				}
			}
		}
	}
	return rings
}

// follow takes the outline through an edge off the map.
func (s *slicer) follow(e sliceEdge) []mgl64.Vec2 {
	var ring []mgl64.Vec2
	for {
		to, ok := s.next[e]
		if !ok {
			return ring
		}
		delete(s.next, e)
		ring = append(ring, s.crossing(e))
		e = to
	}
}

// crossing returns where the surface crosses an edge.
func (s *slicer) crossing(e sliceEdge) mgl64.Vec2 {
	i, j := e.column+1, e.row
	if e.up {
		i, j = e.column, e.row+1
	}
	a, b := s.values[e.column*s.rows+e.row], s.values[i*s.rows+j]
	from := s.place(e.column, e.row)
	return from.Add(s.place(i, j).Sub(from).Mul(a / (a - b)))
}
