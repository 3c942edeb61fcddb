package field

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// A Surface is a height z over the plane, in mm: the underside of a unit that
// follows a rise, or its thickness.
type Surface interface {
	// Height returns z at (x, y) and its slopes along x and y.
	Height(x, y float64) (z, slopeX, slopeY float64)
	// Steepest returns a bound on the length of the slope anywhere.
	Steepest() float64
	// Span returns bounds of the height over the rectangle from lo to hi.
	Span(lo, hi mgl64.Vec2) (low, high float64)
}

// Level is the surface of one height, in mm.
type Level float64

// Height returns the level and no slope.
func (l Level) Height(_, _ float64) (z, slopeX, slopeY float64) { return float64(l), 0, 0 }

// Steepest returns 0.
func (l Level) Steepest() float64 { return 0 }

// Span returns the level twice.
func (l Level) Span(_, _ mgl64.Vec2) (low, high float64) { return float64(l), float64(l) }

// HeightMap is a smooth surface given by control heights on a square grid: the
// uniform bicubic B-spline over them (de Boor, A Practical Guide to Splines,
// 1978). It is twice continuously differentiable, stays between the lowest and
// highest control height, and outside the grid goes on at the border's values.
// A plane given by its control heights is reproduced exactly inside the grid.
type HeightMap struct {
	Origin  mgl64.Vec2 // place of the first control height, mm
	Spacing float64    // between control heights, mm
	Columns int        // control heights along x
	Rows    int        // control heights along y
	Heights []float64  // row by row, Rows × Columns, mm
}

type heightMap struct {
	HeightMap
	inverse  float64
	steepest float64
}

// NewHeightMap returns the surface over the control heights. It is an error if
// the spacing is not positive, the count does not match, or a height is not
// finite.
func NewHeightMap(m HeightMap) (Surface, error) {
	if !(m.Spacing > 0) || math.IsInf(m.Spacing, 0) {
		return nil, fmt.Errorf("field: height map spacing %g mm, a positive one needed", m.Spacing)
	}
	if m.Columns < 1 || m.Rows < 1 || len(m.Heights) != m.Columns*m.Rows {
		return nil, fmt.Errorf("field: height map of %d × %d with %d heights", m.Rows, m.Columns, len(m.Heights))
	}
	for i, z := range m.Heights {
		if math.IsNaN(z) || math.IsInf(z, 0) {
			return nil, fmt.Errorf("field: height %d of the map is %g", i, z)
		}
	}
	s := &heightMap{HeightMap: m, inverse: 1 / m.Spacing}
	// A B-spline's slope is a convex combination of the control differences.
	var steepX, steepY float64
	for row := range m.Rows {
		for column := range m.Columns {
			z := s.at(column, row)
			steepX = math.Max(steepX, math.Abs(s.at(column+1, row)-z))
			steepY = math.Max(steepY, math.Abs(s.at(column, row+1)-z))
		}
	}
	s.steepest = math.Hypot(steepX, steepY) * s.inverse
	return s, nil
}

// at returns a control height, the border's where the index lies outside.
func (s *heightMap) at(column, row int) float64 {
	column = min(max(column, 0), s.Columns-1)
	row = min(max(row, 0), s.Rows-1)
	return s.Heights[row*s.Columns+column]
}

// cubicWeights returns the four uniform cubic B-spline weights at fraction t
// and their derivatives.
func cubicWeights(t float64) (w, d [4]float64) {
	s := 1 - t
	w = [4]float64{
		s * s * s / 6,
		(4 - 6*t*t + 3*t*t*t) / 6,
		(4 - 6*s*s + 3*s*s*s) / 6,
		t * t * t / 6,
	}
	d = [4]float64{-s * s / 2, (3*t*t - 4*t) / 2, (4*s - 3*s*s) / 2, t * t / 2}
	return w, d
}

// locate returns the cell that holds coordinate c and the fraction within it;
// far outside, the cell is held near the grid so that it stays a small integer.
func (s *heightMap) locate(c, origin float64, count int) (cell int, fraction float64) {
	u := (c - origin) * s.inverse
	u = math.Min(math.Max(u, -3), float64(count)+2)
	floor := math.Floor(u)
	return int(floor), u - floor
}

// Height returns z at (x, y) and its slopes.
func (s *heightMap) Height(x, y float64) (z, slopeX, slopeY float64) {
	column, tx := s.locate(x, s.Origin[0], s.Columns)
	row, ty := s.locate(y, s.Origin[1], s.Rows)
	wx, dx := cubicWeights(tx)
	wy, dy := cubicWeights(ty)
	for j := range 4 {
		var line, lineSlope float64
		for i := range 4 {
			h := s.at(column-1+i, row-1+j)
			line += wx[i] * h
			lineSlope += dx[i] * h
		}
		z += wy[j] * line
		slopeX += wy[j] * lineSlope
		slopeY += dy[j] * line
	}
	return z, slopeX * s.inverse, slopeY * s.inverse
}

// Steepest returns the bound that the control differences give.
func (s *heightMap) Steepest() float64 { return s.steepest }

// Span returns the lowest and highest control height that acts on the
// rectangle.
func (s *heightMap) Span(lo, hi mgl64.Vec2) (low, high float64) {
	c0, _ := s.locate(lo[0], s.Origin[0], s.Columns)
	c1, _ := s.locate(hi[0], s.Origin[0], s.Columns)
	r0, _ := s.locate(lo[1], s.Origin[1], s.Rows)
	r1, _ := s.locate(hi[1], s.Origin[1], s.Rows)
	low, high = math.Inf(1), math.Inf(-1)
	for row := r0 - 1; row <= r1+2; row++ {
		for column := c0 - 1; column <= c1+2; column++ {
			z := s.at(column, row)
			low, high = math.Min(low, z), math.Max(high, z)
		}
	}
	return low, high
}

// sum is one surface on top of another.
type sum struct{ below, above Surface }

// Stack returns the surface whose height is that of both together: an
// underside and a thickness give the top.
func Stack(below, above Surface) Surface { return sum{below, above} }

func (s sum) Height(x, y float64) (z, slopeX, slopeY float64) {
	a, ax, ay := s.below.Height(x, y)
	b, bx, by := s.above.Height(x, y)
	return a + b, ax + bx, ay + by
}

func (s sum) Steepest() float64 { return s.below.Steepest() + s.above.Steepest() }

func (s sum) Span(lo, hi mgl64.Vec2) (low, high float64) {
	a, b := s.below.Span(lo, hi)
	c, d := s.above.Span(lo, hi)
	return a + c, b + d
}

// bounded is a surface that goes on at the border's values outside a rectangle.
// Drawing a point to a rectangle lengthens no distance, so it is no steeper.
type bounded struct {
	Surface
	lo, hi mgl64.Vec2
}

// into returns the point of the rectangle nearest to p.
func (b *bounded) into(p mgl64.Vec2) mgl64.Vec2 {
	for k := range p {
		p[k] = mgl64.Clamp(p[k], b.lo[k], b.hi[k])
	}
	return p
}

func (b *bounded) Height(x, y float64) (z, slopeX, slopeY float64) {
	at := b.into(mgl64.Vec2{x, y})
	z, slopeX, slopeY = b.Surface.Height(at[0], at[1])
	if at[0] != x {
		slopeX = 0
	}
	if at[1] != y {
		slopeY = 0
	}
	return z, slopeX, slopeY
}

func (b *bounded) Span(lo, hi mgl64.Vec2) (low, high float64) {
	return b.Surface.Span(b.into(lo), b.into(hi))
}
