package meshtest

import (
	"math"
	"slices"
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

// Rectangle returns a rectangle with a corner at (x, y), turned by turn radians.
func Rectangle(t testing.TB, x, y, width, height, turn float64) *field.Region {
	t.Helper()
	sin, cos := math.Sincos(turn)
	ring := []mgl64.Vec2{{0, 0}, {width, 0}, {width, height}, {0, height}}
	for i, p := range ring {
		ring[i] = mgl64.Vec2{x + p[0]*cos - p[1]*sin, y + p[0]*sin + p[1]*cos}
	}
	region, err := field.NewRegion(ring)
	require.NoError(t, err)
	return region
}

// Ellipse returns an ellipse as a polygon so fine that its area lacks less
// than 1e-7 of itself.
func Ellipse(a, b float64, clockwise bool) []mgl64.Vec2 {
	const corners = 8192
	ring := make([]mgl64.Vec2, corners)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ring[i] = mgl64.Vec2{a * cos, b * sin}
	}
	if clockwise {
		slices.Reverse(ring)
	}
	return ring
}

// Slab returns the prism of the region between two levels.
func Slab(t testing.TB, region *field.Region, under, thickness, edge float64) field.Field {
	t.Helper()
	f, err := field.NewPrism(field.Prism{
		Region: region, Underside: field.Level(under), Thickness: field.Level(thickness), EdgeTop: edge, EdgeBottom: edge,
	})
	require.NoError(t, err)
	return f
}

// Stack is a stack of the size and kind of a framework: a plate with a hole
// and a groove, a strip of varying rise around its rim, smaller plates on it.
func Stack(t testing.TB) field.Field {
	t.Helper()
	plate, err := field.NewRegion(Ellipse(28, 16, false), Ellipse(10, 6, true))
	require.NoError(t, err)
	rim, err := field.NewRegion(Ellipse(28, 16, false), Ellipse(24, 12, true))
	require.NoError(t, err)
	ridge, err := field.NewRegion(Ellipse(20, 10, false), Ellipse(16, 7.5, true))
	require.NoError(t, err)
	groove, err := field.NewRegion(Ellipse(23.5, 11.5, false), Ellipse(20.5, 10.3, true))
	require.NoError(t, err)
	m := field.HeightMap{Origin: mgl64.Vec2{-32, -20}, Spacing: 1, Columns: 65, Rows: 41}
	for row := range m.Rows {
		for column := range m.Columns {
			angle := math.Atan2(float64(row)-20, float64(column)-32)
			m.Heights = append(m.Heights, 3+math.Cos(angle))
		}
	}
	rise, err := field.NewHeightMap(m)
	require.NoError(t, err)
	strip, err := field.NewPrism(field.Prism{
		Region: rim, Underside: rise, Thickness: field.Level(3.5), EdgeTop: 1.2,
	})
	require.NoError(t, err)
	recess, err := field.NewRecess(field.Recess{Region: groove, Top: field.Level(3), Depth: 1, Wall: 0.5})
	require.NoError(t, err)
	return field.Union(
		field.Difference(Slab(t, plate, 0, 3, 0.6), recess),
		strip,
		Slab(t, ridge, 3, 3, 1.0),
		Slab(t, Rectangle(t, -26, -3, 5, 7, 0.2), 3, 4, 1.0),
		Slab(t, Rectangle(t, -12, -8, 24, 16, 0), -2, 2, 0.5),
	)
}
