package membrane

import (
	"context"
	"math"
)

// sweep lowers the energy node by node: one pass of projected Gauss–Seidel.
// At each node 1/√(1+|∇u|²) is held, which replaces the energy by a parabola
// that touches it here and lies above it elsewhere, so the step to the
// parabola's lowest point between frame and rolls cannot raise the energy. Nodes
// are taken in four colours, none beside its own, so that the order in which
// cores come to them does not matter.
func (l *lattice) sweep(ctx context.Context, u []float64, pull float64) {
	for colour := range 4 {
		overRows(ctx, stageSweep, (l.rows+1)/2, l.columns/2, func(from, to int) {
			for j := 2*from + colour/2; j < min(2*to, l.rows); j += 2 {
				start := l.index(0, j)
				for k := start + colour%2; k < start+l.columns; k += 2 {
					if l.moves[k] {
						l.relax(u, pull, k)
					}
				}
			}
		})
	}
}

func (l *lattice) relax(u []float64, pull float64, k int) {
	if slope, stiff := l.pullAt(u, pull, k); stiff > 0 {
		u[k] = l.within(u[k]-slope/stiff, k)
	}
}

// pullAt returns the energy's slope (mm) and the parabola's curvature in the height
// of node k.
func (l *lattice) pullAt(u []float64, pull float64, k int) (slope, stiff float64) {
	slope = pull * l.load[k]
	for corner, cell := range [4]int{k, k - 1, k - l.columns, k - l.columns - 1} {
		var s, c float64
		switch l.kind[cell] {
		case cellRegular:
			s, c = l.regularPull(u, k, corner)
		case cellPieces:
			s, c = l.piecesPull(u, cell, int8(corner))
		}
		slope += s
		stiff += c
	}
	return slope, stiff
}

// regularPull returns the energy's slope (mm) and the parabola's curvature in
// the height of node k, which is the given corner of a regular cell.
func (l *lattice) regularPull(u []float64, k, corner int) (slope, stiff float64) {
	beside, across := 1, l.columns
	if corner&1 != 0 {
		beside = -1
	}
	if corner&2 != 0 {
		across = -across
	}
	per := 1 / l.step
	own, x, y, far := u[k], u[k+beside], u[k+across], u[k+beside+across]
	nearX, nearY, farX, farY := (x-own)*per, (y-own)*per, (far-y)*per, (far-x)*per
	xx, yy := nearX*nearX, nearY*nearY
	both := 1 / math.Sqrt(1+xx+yy)
	onX := 1 / math.Sqrt(1+xx+farY*farY)
	onY := 1 / math.Sqrt(1+yy+farX*farX)
	slope = -l.step / 4 * (nearX*(both+onX) + nearY*(both+onY))
	return slope, (2*both + onX + onY) / 4
}

func (l *lattice) piecesPull(u []float64, cell int, corner int8) (slope, stiff float64) {
	nodes := l.corners(cell)
	for n := l.first[cell]; n < l.last[cell]; n++ {
		p := &l.pieces[n]
		for a, c := range p.corner {
			if c != corner {
				continue
			}
			x, y := p.slope(u, &nodes)
			held := p.area / math.Sqrt(1+x*x+y*y)
			slope += held * (x*p.rate[a][0] + y*p.rate[a][1])
			stiff += held * p.rate[a].LenSqr()
		}
	}
	return slope, stiff
}
