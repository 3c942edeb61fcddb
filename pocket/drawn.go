package pocket

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Nodes that have been drawn onto a rim: when they have to go back, and the
// surface over the skewed cells that they leave.

// undo puts node k back to its plain place.
func (l *lattice) undo(k int) {
	l.moved[k] = l.place(k)
	l.lower[k] = max(l.plain[k], 0)
}

// undoSlivers puts back the corners of cells that became too thin, and reports
// whether there were any.
func (l *lattice) undoSlivers() bool {
	least := rimSliver * l.step * l.step
	any := false
	for k := range len(l.free) - l.columns - 1 {
		if !l.cellMoved(k) {
			continue
		}
		corners := l.corners(k)
		for _, t := range cellTriangles {
			if cross(l.at(corners[t[0]]), l.at(corners[t[1]]), l.at(corners[t[2]])) < least {
				for _, n := range corners {
					l.undo(n)
				}
				any = true
				break
			}
		}
	}
	return any
}

// undoUncovered puts back nodes whose plain place would be left to skin that
// cuts into the frame, as at a plate's corner, and reports whether there were
// any.
func (l *lattice) undoUncovered() bool {
	any := false
	for k := range l.moved {
		if l.hasMoved(k) && l.heightAt(l.place(k), l.lower) < l.plain[k]-overTheBed/2 {
			l.undo(k)
			any = true
		}
	}
	return any
}

// cellMoved reports whether a corner of the cell has been drawn onto a rim.
func (l *lattice) cellMoved(k int) bool {
	if l.moved == nil {
		return false
	}
	for _, n := range l.corners(k) {
		if l.hasMoved(n) {
			return true
		}
	}
	return false
}

// heightAt returns the value at p of the surface with values u at the nodes
// where they have been drawn to; 0 outside the lattice.
func (l *lattice) heightAt(p mgl64.Vec2, u []float64) float64 {
	x, y := (p[0]-l.origin[0])/l.step, (p[1]-l.origin[1])/l.step
	if !(x >= 0 && y >= 0 && x <= float64(l.columns-1) && y <= float64(l.rows-1)) {
		return 0
	}
	i, j := min(int(x), l.columns-2), min(int(y), l.rows-2)
	best, height := math.Inf(-1), 0.0
	near := false
	for cj := max(j-1, 0); cj <= min(j+1, l.rows-2); cj++ {
		for ci := max(i-1, 0); ci <= min(i+1, l.columns-2); ci++ {
			cell := l.index(ci, cj)
			if !l.cellMoved(cell) {
				continue
			}
			near = true
			if h, within := l.heightInCell(cell, p, u); within > best {
				best, height = within, h
			}
		}
	}
	if near && best > -rounding {
		return height
	}
	return bilinear(Obstacle{l.origin, l.step, l.columns, l.rows, u}, p)
}

// heightInCell returns the value at p, and its smallest barycentric coordinate
// in the cell's triangle that it lies deepest in; negative is outside.
func (l *lattice) heightInCell(cell int, p mgl64.Vec2, u []float64) (height, within float64) {
	within = math.Inf(-1)
	nodes := l.corners(cell)
	for _, t := range l.trianglesOf(cell) {
		a, b, c := nodes[t[0]], nodes[t[1]], nodes[t[2]]
		pa, pb, pc := l.at(a), l.at(b), l.at(c)
		whole := cross(pa, pb, pc)
		wa, wb := cross(p, pb, pc)/whole, cross(pa, p, pc)/whole
		wc := 1 - wa - wb
		if least := min(wa, wb, wc); least > within {
			within, height = least, wa*u[a]+wb*u[b]+wc*u[c]
		}
	}
	return height, within
}

// trianglesOf returns the triangles of a cell with drawn corners: those of the
// one diagonal that faces the smaller angles (Delaunay), because on a skewed
// cell the mean of both would let the skin rise above everything around it.
func (l *lattice) trianglesOf(cell int) []([3]int8) {
	nodes := l.corners(cell)
	a, b, c, d := l.at(nodes[0]), l.at(nodes[1]), l.at(nodes[2]), l.at(nodes[3])
	if cotangent(b, a, c)+cotangent(b, d, c) >= 0 {
		return cellTriangles[:2]
	}
	return cellTriangles[2:]
}

// cotangent returns the cotangent of the angle at corner between a and b.
func cotangent(a, corner, b mgl64.Vec2) float64 {
	return a.Sub(corner).Dot(b.Sub(corner)) / math.Abs(cross(corner, a, b))
}

// cross returns twice the signed area of the triangle a b c.
func cross(a, b, c mgl64.Vec2) float64 {
	ab, ac := b.Sub(a), c.Sub(a)
	return ab[0]*ac[1] - ab[1]*ac[0]
}

// sampleMoved takes the frame's height at the nodes' new places.
func (l *lattice) sampleMoved(frame Frame) {
	var height [1]float64
	for k := range l.moved {
		if l.hasMoved(k) {
			frame.Heights(l.moved[k:k+1], height[:])
			l.lower[k] = max(height[0], 0)
		}
	}
}
