package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Walls. Between the nodes of a grid a steep wall leans by up to a step, more
// here and less there, and its outside would be fluted. The drape's own net has
// nodes drawn to the rim and the foot of walls: where it is steep, its triangles
// carry the balls in place of the grid's cells.

// wallSlope is the slope from which a triangle of the net is a wall; a cell of the
// grid beside one is asked up to uprightSlope, since the net rounds coarsely.
const (
	wallSlope    = 2
	uprightSlope = 8
)

// wall is a steep triangle of the net, in grid units and mm, counter-clockwise.
type wall [3]mgl64.Vec3

// slope returns the slope of the plane through the corners, mm a grid unit.
func (w *wall) slope() mgl64.Vec2 {
	a, b := w[1].Sub(w[0]), w[2].Sub(w[0])
	whole := a[0]*b[1] - a[1]*b[0]
	return mgl64.Vec2{(a[2]*b[1] - b[2]*a[1]) / whole, (b[2]*a[0] - a[2]*b[0]) / whole}
}

// walls returns the drape's walls in the units of a grid.
func (d *Drape) walls(g Grid) []wall {
	var walls []wall
	for j := range d.l.rows - 1 {
		for i := range d.l.columns - 1 {
			cell := d.l.index(i, j)
			nodes := d.l.corners(cell)
			for _, t := range d.l.trianglesOf(cell) {
				var w wall
				for n, corner := range t {
					w[n] = d.l.at(nodes[corner]).Sub(g.Origin).Mul(1 / g.Step).Vec3(d.u[nodes[corner]])
				}
				if w.slope().Len() > wallSlope*g.Step {
					walls = append(walls, w)
				}
			}
		}
	}
	return walls
}

// standOn marks the cells under walls, and those beside them.
func (e *envelope) standOn(walls []wall) {
	e.walls, e.walled = walls, make([]bool, len(e.u))
	for _, w := range walls {
		b := w.box()
		for j := max(int(b.y0)-1, 0); j <= min(int(b.y1)+1, e.Rows-1); j++ {
			for i := max(int(b.x0)-1, 0); i <= min(int(b.x1)+1, e.Columns-1); i++ {
				e.walled[j*e.Columns+i] = true
			}
		}
	}
}

func (w *wall) box() box {
	b := box{w[0][0], w[0][1], w[0][0], w[0][1]}
	b.add(w[1][0], w[1][1])
	b.add(w[2][0], w[2][1])
	return b
}

// wall offers the plane over a wall and the cylinders about its edges; their ends
// are the spheres over its corners.
func (p *pen) wall(w wall) {
	reach := p.radius / p.Step
	all := w.box()
	all = box{all.x0 - reach, all.y0 - reach, all.x1 + reach, all.y1 + reach}
	if all.y1 < float64(p.from) || all.y0 > float64(p.to) {
		return
	}
	slope := w.slope().Mul(1 / p.Step)
	x, y, raise := p.lean(slope)
	b := w.box()
	p.nodes(box{b.x0 + x, b.y0 + y, b.x1 + x, b.y1 + y}, 0, func(k int, nx, ny float64) {
		q := mgl64.Vec2{nx - x, ny - y}
		for n := range 3 {
			if cross(w[n].Vec2(), w[(n+1)%3].Vec2(), q) < -rounding {
				return
			}
		}
		z := w[0][2] + slope.Dot(q.Sub(w[0].Vec2()))*p.Step
		touch := q.Vec3(z)
		p.offer(k, z+p.radius*p.radius/raise, touch, touch)
	})
	for n := range 3 {
		p.cylinder(w[n], w[(n+1)%3], all, 0)
	}
}

// wallAt returns the height of the net at a place, mm, and its slope.
func (d *Drape) wallAt(p mgl64.Vec2) (height float64, slope mgl64.Vec2) {
	l := d.l
	i := min(max(int((p[0]-l.origin[0])/l.step), 0), l.columns-2)
	j := min(max(int((p[1]-l.origin[1])/l.step), 0), l.rows-2)
	cell := l.cellAt(p, i, j)
	nodes := l.corners(cell)
	within := math.Inf(-1)
	for _, t := range l.trianglesOf(cell) {
		var w wall
		for n, corner := range t {
			w[n] = l.at(nodes[corner]).Vec3(d.u[nodes[corner]])
		}
		least := math.Inf(1)
		for n := range 3 {
			least = min(least, cross(w[n].Vec2(), w[(n+1)%3].Vec2(), p))
		}
		if least > within {
			within, slope = least, w.slope()
			height = w[0][2] + slope.Dot(p.Sub(w[0].Vec2()))
		}
	}
	return height, slope
}
