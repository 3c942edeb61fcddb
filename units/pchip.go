package units

import (
	"math"
	"sort"
)

// curve is a piecewise cubic through points that keeps their monotony: it never
// overshoots a neighbour, so a profile is nowhere higher or lower than the
// heights it was given. Slopes after Fritsch and Carlson, "Monotone piecewise
// cubic interpolation", SIAM J. Numer. Anal. 17, 1980, with the weighted
// harmonic mean of Fritsch and Butland, 1984. Once continuously differentiable.
type curve struct {
	x, y, slope []float64
}

// newCurve takes at least two points, x ascending.
func newCurve(points []RisePoint) *curve {
	n := len(points)
	c := &curve{x: make([]float64, n), y: make([]float64, n), slope: make([]float64, n)}
	for i, p := range points {
		c.x[i], c.y[i] = p.At, p.Height
	}
	if n == 2 {
		c.slope[0] = c.secant(0)
		c.slope[1] = c.slope[0]
		return c
	}
	for i := 1; i < n-1; i++ {
		before, after := c.secant(i-1), c.secant(i)
		if before*after <= 0 {
			continue // a summit, a hollow or a flat: level there
		}
		h0, h1 := c.x[i]-c.x[i-1], c.x[i+1]-c.x[i]
		w0, w1 := 2*h1+h0, h1+2*h0
		c.slope[i] = (w0 + w1) / (w0/before + w1/after)
	}
	c.slope[0] = c.endSlope(0, 1, c.secant(0), c.secant(1))
	c.slope[n-1] = c.endSlope(n-2, n-3, c.secant(n-2), c.secant(n-3))
	return c
}

func (c *curve) secant(i int) float64 { return (c.y[i+1] - c.y[i]) / (c.x[i+1] - c.x[i]) }

// endSlope is the three-point slope at an end, limited so that it keeps the
// monotony of the end interval.
func (c *curve) endSlope(end, next int, at, beyond float64) float64 {
	h0, h1 := c.x[end+1]-c.x[end], c.x[next+1]-c.x[next]
	slope := ((2*h0+h1)*at - h0*beyond) / (h0 + h1)
	switch {
	case slope*at <= 0:
		return 0
	case at*beyond < 0 && math.Abs(slope) > 3*math.Abs(at):
		return 3 * at
	}
	return slope
}

// at returns the height; before the first point and after the last it stays at
// theirs.
func (c *curve) at(x float64) float64 {
	n := len(c.x)
	if x <= c.x[0] {
		return c.y[0]
	}
	if x >= c.x[n-1] {
		return c.y[n-1]
	}
	i := sort.SearchFloat64s(c.x, x) - 1
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	s := 1 - t
	return c.y[i]*(1+2*t)*s*s + c.slope[i]*h*t*s*s + c.y[i+1]*(1+2*s)*t*t - c.slope[i+1]*h*s*t*t
}
