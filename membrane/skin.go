package membrane

import (
	"context"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// The outside of the skin. Every point of the deep surface carries a ball of
// the skin's thickness t; the outside is their upper envelope,
//
//	top(p) = max over |q − p| ≤ t of u(q) + √(t² − |q − p|²).
//
// With u linear on triangles the envelope is made of planes over triangles,
// cylinders over edges and spheres over nodes, each known in closed form, so
// the answer is exact for that surface at every grid node. Each triangle, edge
// and node is offered only to the grid nodes that it can reach; on a smooth
// surface that is about one each, so the work grows with the grid.

// Skin is the outside of the skin on the drape's grid.
type Skin struct {
	Grid      Grid
	Thickness float64   // mm
	Heights   []float64 // mm above the bed; Thickness over untouched surroundings
	cover     []float64 // pocket area in each cell, mm²
}

// Skin returns the outside of skin of the given thickness, mm, above 0.
func (d *Drape) Skin(ctx context.Context, thickness float64) (*Skin, error) {
	heights, err := dilate(ctx, d.Grid, d.Heights, d.between, thickness)
	if err != nil {
		return nil, err
	}
	return &Skin{d.Grid, thickness, heights, d.l.cover()}, nil
}

// outside returns the skin's outside at some of the grid's nodes.
func (d *Drape) outside(ctx context.Context, thickness float64, at nodes) (patch, error) {
	if err := checkRadius(thickness, d.Grid.Step); err != nil {
		return patch{}, err
	}
	within := at.grown(ballNodes(thickness, d.Grid.Step)+1, d.Grid)
	deep := patchOf(within, d.Grid, d.Heights)
	part := Grid{Origin: d.Grid.Place(within.j0*d.Grid.Columns + within.i0), Step: d.Grid.Step, Columns: within.columns,
		Rows: within.rows}
	heights, err := dilate(ctx, part, deep.values, d.between, thickness)
	if err != nil {
		return patch{}, err
	}
	whole := patch{within, heights}
	return whole.part(at), nil
}

// Height returns the skin's outside at p, bilinear between nodes, mm above the
// bed; beyond the grid it is the thickness of untouched surroundings.
func (s *Skin) Height(p mgl64.Vec2) float64 {
	g := s.Grid
	far := g.Place(len(s.Heights) - 1)
	if !(p[0] >= g.Origin[0] && p[1] >= g.Origin[1] && p[0] <= far[0] && p[1] <= far[1]) {
		return s.Thickness
	}
	return bilinear(Obstacle{g.Origin, g.Step, g.Columns, g.Rows, s.Heights}, p)
}

// Area returns the skin's outer area over the pocket, mm².
func (s *Skin) Area() float64 {
	area, per := 0.0, 1/s.Grid.Step
	s.eachCell(func(cover, a, b, c, d float64) {
		bottom, top, left, right := (b-a)*per, (d-c)*per, (c-a)*per, (d-b)*per
		for _, x := range [2]float64{bottom, top} {
			for _, y := range [2]float64{left, right} {
				area += cover / 4 * math.Sqrt(1+x*x+y*y)
			}
		}
	})
	return area
}

// Volume returns the volume between the skin's outside and the bed over the
// pocket, mm³.
func (s *Skin) Volume() float64 {
	volume := 0.0
	s.eachCell(func(cover, a, b, c, d float64) { volume += cover / 4 * (a + b + c + d) })
	return volume
}

// eachCell visits the cells that hold some of the pocket, with how much, and
// the heights at their corners.
func (s *Skin) eachCell(visit func(cover, a, b, c, d float64)) {
	columns := s.Grid.Columns
	for k, cover := range s.cover {
		if cover > 0 {
			visit(cover, s.Heights[k], s.Heights[k+1], s.Heights[k+columns], s.Heights[k+columns+1])
		}
	}
}

// cover returns the pocket's area in each cell, mm².
func (l *lattice) cover() []float64 {
	cover := make([]float64, len(l.kind))
	for k, kind := range l.kind {
		switch kind {
		case cellRegular:
			cover[k] = l.step * l.step
		case cellPieces:
			for _, p := range l.pieces[l.first[k]:l.last[k]] {
				cover[k] += p.area
			}
		}
	}
	return cover
}

// Dilate returns the upper envelope of balls of the given radius, mm, carried
// by the surface of the heights (mm, row by row, −Inf where there is no
// surface). Where no ball reaches, the answer is −Inf. Outside the grid there
// is no surface.
func Dilate(ctx context.Context, grid Grid, heights []float64, radius float64) ([]float64, error) {
	return dilate(ctx, grid, heights, nil, radius)
}

// dilate is Dilate with more places of the surface, mm, that carry a ball.
func dilate(ctx context.Context, grid Grid, heights []float64, more []mgl64.Vec3, radius float64) ([]float64, error) {
	if err := checkRadius(radius, grid.Step); err != nil {
		return nil, err
	}
	e := &envelope{Grid: grid, u: heights, more: more, radius: radius, reach: ballNodes(radius, grid.Step)}
	e.top = make([]float64, len(heights))
	e.slopes = make([][2]mgl64.Vec2, len(heights))
	e.present = make([]bool, len(heights))
	// Wide bands, because each looks again at the rows that reach into it.
	const band = 32
	bands := (grid.Rows + band - 1) / band
	overRows(ctx, stageOutside, grid.Rows, grid.Columns, e.findSlopes)
	overRows(ctx, stageOutside, bands*bandRows, grid.Columns*band/bandRows, func(from, to int) {
		for b := from / bandRows; b < to/bandRows; b++ {
			e.fill(b*band, min((b+1)*band, grid.Rows))
		}
	})
	return e.top, ctx.Err()
}

// checkRadius refuses a radius that no skin has.
func checkRadius(radius, step float64) error {
	if !(radius > 0) || math.IsInf(radius, 0) {
		return &ValueError{"skin thickness", radius, "a positive number of millimetres"}
	}
	if radius/step > 1e4 {
		return &ValueError{"skin thickness", radius, "at most 10000 grid steps"}
	}
	return nil
}

// ballNodes is how many grid nodes a ball's radius spans, rounded up.
func ballNodes(radius, step float64) int { return int(radius/step) + 1 }

type envelope struct {
	Grid
	u, top  []float64
	more    []mgl64.Vec3
	radius  float64
	reach   int             // grid nodes that the radius spans
	slopes  [][2]mgl64.Vec2 // of each cell's two triangles: the one at corner 0 or side 0–1, then the other
	present []bool          // the cell has four corners
}

// split reports whether a cell is cut from corner 0 to corner 3, the higher
// of the two diagonals.
func (e *envelope) split(k int) bool {
	return e.u[k]+e.u[k+e.Columns+1] >= e.u[k+1]+e.u[k+e.Columns]
}

func (e *envelope) findSlopes(from, to int) {
	for j := from; j < min(to, e.Rows-1); j++ {
		for k := j * e.Columns; k < (j+1)*e.Columns-1; k++ {
			a, b, c, d := e.u[k], e.u[k+1], e.u[k+e.Columns], e.u[k+e.Columns+1]
			if math.IsInf(a, -1) || math.IsInf(b, -1) || math.IsInf(c, -1) || math.IsInf(d, -1) {
				continue
			}
			e.present[k] = true
			per := 1 / e.Step
			bottom, top, left, right := (b-a)*per, (d-c)*per, (c-a)*per, (d-b)*per
			if e.split(k) {
				e.slopes[k] = [2]mgl64.Vec2{{bottom, right}, {top, left}}
			} else {
				e.slopes[k] = [2]mgl64.Vec2{{bottom, left}, {top, right}}
			}
		}
	}
}

// fill works out the rows [from, to).
func (e *envelope) fill(from, to int) {
	for k := from * e.Columns; k < to*e.Columns; k++ {
		e.top[k] = math.Inf(-1)
	}
	pen := &pen{envelope: e, from: from, to: to}
	for _, p := range e.more {
		pen.ball(p)
	}
	for j := max(from-e.reach-1, 0); j < min(to+e.reach+1, e.Rows); j++ {
		for i := range e.Columns {
			k := j*e.Columns + i
			if math.IsInf(e.u[k], -1) {
				continue
			}
			pen.node(i, j)
			pen.edge(i, j, 1, 0)
			pen.edge(i, j, 0, 1)
			if i+1 < e.Columns && j+1 < e.Rows && e.present[k] {
				pen.triangles(i, j)
				if e.split(k) {
					pen.edge(i, j, 1, 1)
				} else {
					pen.edge(i+1, j, -1, 1)
				}
			}
		}
	}
}
