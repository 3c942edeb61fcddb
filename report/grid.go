package report

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
)

// Grid is a quantity sampled on a square grid: a depth, a stretch, a gap.
type Grid struct {
	Origin  mgl64.Vec2 // place of the first value, mm
	Spacing float64    // between values, mm
	Columns int        // values along x
	Rows    int        // values along y
	Values  []float64  // row by row upward; NaN where there is none
}

func (g *Grid) check() error {
	if g.Columns < 2 || g.Rows < 2 || len(g.Values)/g.Columns != g.Rows || len(g.Values)%g.Columns != 0 {
		return fmt.Errorf("a grid of %d × %d with %d values; at least 2 × 2 and as many values as places are "+
			"needed", g.Columns, g.Rows, len(g.Values))
	}
	if !(g.Spacing >= render.MinExtent && g.Spacing <= render.MaxCoordinate) {
		return fmt.Errorf("a grid spacing of %g mm; it must be between %g and "+
			"%g", g.Spacing, render.MinExtent, float64(render.MaxCoordinate))
	}
	for i, v := range g.Values {
		if math.IsInf(v, 0) {
			return fmt.Errorf("value %d (column %d, row %d) is infinite; NaN marks a place without "+
				"value", i, i%g.Columns, i/g.Columns)
		}
	}
	return nil
}

// last returns the place of the last value.
func (g *Grid) last() mgl64.Vec2 {
	return g.Origin.Add(mgl64.Vec2{float64(g.Columns - 1), float64(g.Rows - 1)}.Mul(g.Spacing))
}

// span returns the lowest and highest value, and false if there is none.
func (g *Grid) span() (low, high float64, found bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range g.Values {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	return low, high, low <= high
}

// at returns the value at a place, bilinear between the four around it, and the
// length of its gradient per millimetre. Where some of the four are missing it
// is the mean of the others by their bilinear shares, without gradient; NaN
// where all are missing or outside the grid.
func (g *Grid) at(p mgl64.Vec2) (value, steepness float64) {
	x, y := (p[0]-g.Origin[0])/g.Spacing, (p[1]-g.Origin[1])/g.Spacing
	if !(x >= 0 && y >= 0 && x <= float64(g.Columns-1) && y <= float64(g.Rows-1)) {
		return math.NaN(), 0
	}
	i, j := min(int(x), g.Columns-2), min(int(y), g.Rows-2)
	u, v := x-float64(i), y-float64(j)
	k := j*g.Columns + i
	a, b, c, d := g.Values[k], g.Values[k+1], g.Values[k+g.Columns], g.Values[k+g.Columns+1]
	shares := [4]float64{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v}
	sum, weight := 0.0, 0.0
	for n, corner := range [4]float64{a, b, c, d} {
		if !math.IsNaN(corner) {
			sum += shares[n] * corner
			weight += shares[n]
		}
	}
	if weight < 1-1e-9 { // the four shares add up to 1 but for rounding
		return sum / weight, 0 // 0/0 is NaN: nothing around
	}
	slopeX := (b-a)*(1-v) + (d-c)*v
	slopeY := (c-a)*(1-u) + (d-b)*u
	if math.IsNaN(slopeX) || math.IsNaN(slopeY) { // a missing corner of no share
		return sum, 0
	}
	return sum, math.Hypot(slopeX, slopeY) / g.Spacing
}
