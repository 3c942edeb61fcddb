package membrane

import (
	"context"
	"math"
)

// Energy of the skin in excess of lying flat, mm²: area − pocket area + pull·volume
// with pull = 1/R. Working with the excess, √(1+s) − 1 = s/(1 + √(1+s)), keeps
// its digits when the slopes s are small.

// excess returns √(1+s) − 1 and √(1+s).
func excess(s float64) (beyond, root float64) {
	root = math.Sqrt(1 + s)
	return s / (1 + root), root
}

// energy returns the excess energy of heights u.
func (l *lattice) energy(ctx context.Context, u []float64, pull float64) float64 {
	return l.total(ctx, func(j int) float64 { return l.rowEnergy(u, pull, j) })
}

// total adds up one number a row, in row order.
func (l *lattice) total(ctx context.Context, row func(j int) float64) float64 {
	partial := make([]float64, l.rows)
	overRows(ctx, stageSweep, l.rows, l.columns, func(from, to int) {
		for j := from; j < to; j++ {
			partial[j] = row(j)
		}
	})
	return sumOf(partial)
}

func (l *lattice) rowEnergy(u []float64, pull float64, j int) float64 {
	area, volume := 0.0, 0.0
	start := l.index(0, j)
	for k := start; k < start+l.columns; k++ {
		volume += l.load[k] * u[k]
		if l.kind[k] != cellOutside {
			area += l.cellExcess(u, k)
		}
	}
	return area + pull*volume
}

// cellExcess returns the skin area of a cell beyond its flat area, mm².
func (l *lattice) cellExcess(u []float64, k int) float64 {
	if l.kind[k] == cellRegular {
		per := 1 / l.step
		a, b, c, d := u[k], u[k+1], u[k+l.columns], u[k+l.columns+1]
		bottom, top := (b-a)*per, (d-c)*per
		left, right := (c-a)*per, (d-b)*per
		bottom, top, left, right = bottom*bottom, top*top, left*left, right*right
		bl, _ := excess(bottom + left)
		br, _ := excess(bottom + right)
		tl, _ := excess(top + left)
		tr, _ := excess(top + right)
		return l.step * l.step / 4 * (bl + br + tl + tr)
	}
	sum := 0.0
	nodes := l.corners(k)
	for n := l.first[k]; n < l.last[k]; n++ {
		p := &l.pieces[n]
		x, y := p.slope(u, &nodes)
		beyond, _ := excess(x*x + y*y)
		sum += p.area * beyond
	}
	return sum
}

func (p *piece) slope(u []float64, nodes *[4]int) (x, y float64) {
	for n, c := range p.corner {
		if c >= 0 {
			x += u[nodes[c]] * p.rate[n][0]
			y += u[nodes[c]] * p.rate[n][1]
		}
	}
	return x, y
}

// cellForm is the symmetric 4×4 matrix of a quadratic form on the corners of
// a cell: 00 11 22 33 01 02 03 12 13 23.
type cellForm [10]float64

// formIndex tells where entry (row, column) of a cellForm is kept.
var formIndex = [4][4]int{{0, 4, 5, 6}, {4, 1, 7, 8}, {5, 7, 2, 9}, {6, 8, 9, 3}}

// expand writes the energy's slope in the cell's corner heights to slope (mm)
// and its curvature to form, for cell k at heights u; the pull is left out.
func (l *lattice) expand(u []float64, k int, slope *[4]float64, form *cellForm) {
	if l.kind[k] == cellRegular {
		l.expandRegular(u, k, slope, form)
		return
	}
	*slope, *form = [4]float64{}, cellForm{}
	nodes := l.corners(k)
	for n := l.first[k]; n < l.last[k]; n++ {
		p := &l.pieces[n]
		x, y := p.slope(u, &nodes)
		_, w := excess(x*x + y*y)
		cube := p.area / (w * w * w)
		xx, yy, xy := cube*(1+y*y), cube*(1+x*x), -cube*x*y
		for a, ca := range p.corner {
			if ca < 0 {
				continue
			}
			ra := p.rate[a]
			slope[ca] += p.area / w * (x*ra[0] + y*ra[1])
			fx, fy := xx*ra[0]+xy*ra[1], xy*ra[0]+yy*ra[1]
			for b := a; b < 3; b++ {
				if cb := p.corner[b]; cb >= 0 {
					form[formIndex[ca][cb]] += fx*p.rate[b][0] + fy*p.rate[b][1]
				}
			}
		}
	}
}

// expandRegular is expand for a regular cell, where the four slopes are
// differences along its four sides.
func (l *lattice) expandRegular(u []float64, k int, slope *[4]float64, form *cellForm) {
	per := 1 / l.step
	a, b, c, d := u[k], u[k+1], u[k+l.columns], u[k+l.columns+1]
	bottom, top := (b-a)*per, (d-c)*per
	left, right := (c-a)*per, (d-b)*per
	bb, tt, ll, rr := bottom*bottom, top*top, left*left, right*right
	bl, br := 1/math.Sqrt(1+bb+ll), 1/math.Sqrt(1+bb+rr)
	tl, tr := 1/math.Sqrt(1+tt+ll), 1/math.Sqrt(1+tt+rr)

	share := l.step / 4
	fb, ft := share*bottom*(bl+br), share*top*(tl+tr)
	fl, fr := share*left*(bl+tl), share*right*(br+tr)
	*slope = [4]float64{-fb - fl, fb - fr, fl - ft, ft + fr}

	bl, br, tl, tr = bl*bl*bl/4, br*br*br/4, tl*tl*tl/4, tr*tr*tr/4
	alongBottom := bl*(1+ll) + br*(1+rr)
	alongTop := tl*(1+ll) + tr*(1+rr)
	alongLeft := bl*(1+bb) + tl*(1+tt)
	alongRight := br*(1+bb) + tr*(1+tt)
	p, q, r, s := -bl*bottom*left, -br*bottom*right, -tl*top*left, -tr*top*right
	*form = cellForm{
		alongBottom + alongLeft + 2*p, alongBottom + alongRight - 2*q,
		alongTop + alongLeft - 2*r, alongTop + alongRight + 2*s,
		-alongBottom - p + q, -alongLeft - p + r, -q - r,
		p + s, -alongRight + q - s, -alongTop + r - s,
	}
}
