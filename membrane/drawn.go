package membrane

import (
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Nodes that have been drawn to a rim or a wall: when they have to go back, and
// the surface over the skewed cells that they leave.

const (
	// rimSliver is the least area of a triangle with drawn corners, in half
	// squares of the step.
	rimSliver = 0.05
	// footSliver is that beside a wall that skin clings to: a fifth of a cell
	// between a foot and its wall.
	footSliver = footGap / 5
)

// undo puts node k back to its plain place, and reports whether it was elsewhere.
func (l *lattice) undo(k int) bool {
	was := l.hasMoved(k)
	l.moved[k] = l.place(k)
	l.lower[k] = max(l.plain[k], 0)
	return was
}

// undoSlivers puts back the corners of cells that became too thin on the way to
// rims, and reports whether there were any.
func (l *lattice) undoSlivers(ctx context.Context) bool { return l.eachSliver(ctx, rimSliver, l.undo) }

// eachSliver takes back the corners of cells that have a triangle of less than a
// share of half a square, and reports whether any was taken back.
func (l *lattice) eachSliver(ctx context.Context, share float64, takeBack func(k int) bool) bool {
	least := share * l.step * l.step
	thin := make([][]int, l.rows)
	overRows(ctx, stageLattice, l.rows-1, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			if k%l.columns == l.columns-1 || !l.cellMoved(k) {
				continue
			}
			n := l.corners(k)
			a, b, c, d := l.at(n[0]), l.at(n[1]), l.at(n[2]), l.at(n[3])
			if min(cross(a, b, c), cross(b, d, c), cross(a, b, d), cross(a, d, c)) < least {
				thin[k/l.columns] = append(thin[k/l.columns], k)
			}
		}
	})
	any := false
	for _, k := range slices.Concat(thin...) {
		for _, n := range l.corners(k) {
			any = takeBack(n) || any
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
	if l.cellMoved(l.index(i, j)) {
		if cell := l.cellAt(p, i, j); l.cellMoved(cell) {
			return l.heightInCell(cell, p, u)
		}
	}
	return bilinear(Obstacle{l.origin, l.step, l.columns, l.rows, u}, p)
}

// cellAt returns the cell that holds p, walking from cell (i, j) across the side
// that p lies furthest beyond. Cells are convex, since all their triangles are
// wound one way.
func (l *lattice) cellAt(p mgl64.Vec2, i, j int) int {
	const most = 8 // nodes are drawn by less than two steps
	for range most {
		n := l.corners(l.index(i, j))
		furthest, di, dj := -rounding*l.step*l.step, 0, 0
		for _, side := range [4]struct{ from, to, di, dj int }{{0, 1, 0, -1}, {1, 3, 1, 0}, {3, 2, 0, 1}, {2, 0, -1, 0}} {
			if beyond := cross(l.at(n[side.from]), l.at(n[side.to]), p); beyond < furthest {
				furthest, di, dj = beyond, side.di, side.dj
			}
		}
		if di == 0 && dj == 0 {
			break
		}
		i, j = min(max(i+di, 0), l.columns-2), min(max(j+dj, 0), l.rows-2)
	}
	return l.index(i, j)
}

// heightInCell returns the value at p in the triangle of the cell that it lies
// deepest in.
func (l *lattice) heightInCell(cell int, p mgl64.Vec2, u []float64) float64 {
	within, height := math.Inf(-1), 0.0
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
	return height
}

// trianglesOf returns the triangles of a cell with drawn corners: those of one
// diagonal, because on a skewed cell the mean of both would let the skin rise
// above everything around it.
func (l *lattice) trianglesOf(cell int) []([3]int8) {
	if l.rising != nil && l.rising[cell] {
		return cellTriangles[2:]
	}
	return cellTriangles[:2]
}

// chooseDiagonals fills rising: the diagonal is the one over which the skin as it
// is expected is smaller (a data-dependent triangulation; Dyn, Levin and Rippa
// 1990, IMA J. Numer. Anal. 10:137, from memory), since a diagonal from a rim
// across its foot would hold the skin off the wall. While nothing is expected it
// faces the smaller angles (Delaunay).
func (l *lattice) chooseDiagonals(ctx context.Context, skin expected) {
	if l.moved == nil {
		return
	}
	l.rising = make([]bool, len(l.free))
	overRows(ctx, stageLattice, l.rows-1, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			if k%l.columns == l.columns-1 || !l.cellMoved(k) {
				continue
			}
			var p [4]mgl64.Vec3
			for n, node := range l.corners(k) {
				at := l.at(node)
				p[n] = at.Vec3(l.lower[node])
				if skin.l != nil {
					p[n][2] = max(p[n][2], skin.at(at))
				}
			}
			if skin.l != nil {
				l.rising[k] = areaOf(p[0], p[1], p[3])+areaOf(p[0], p[3], p[2]) < areaOf(p[0], p[1], p[2])+areaOf(p[1], p[3], p[2])
				continue
			}
			a, b, c, d := p[0].Vec2(), p[1].Vec2(), p[2].Vec2(), p[3].Vec2()
			l.rising[k] = cotangent(b, a, c)+cotangent(b, d, c) < 0
		}
	})
}

func areaOf(a, b, c mgl64.Vec3) float64 { return b.Sub(a).Cross(c.Sub(a)).Len() / 2 }

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
func (l *lattice) sampleMoved(ctx context.Context, frame Frame) {
	overRows(ctx, stageLattice, l.rows, l.columns, func(from, to int) {
		var height [1]float64
		for k := from * l.columns; k < to*l.columns; k++ {
			if l.hasMoved(k) {
				frame.Heights(l.moved[k:k+1], height[:])
				l.lower[k] = max(height[0], 0)
			}
		}
	})
}
