package field

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawSurface draws a level or a height map about the height.
func drawSurface(t *rapid.T, low, high float64) Surface {
	if rapid.Bool().Draw(t, "level") {
		return Level(rapid.Float64Range(low, high).Draw(t, "height"))
	}
	m := HeightMap{Origin: mgl64.Vec2{-12, -12}, Spacing: 4, Columns: 7, Rows: 7, Heights: make([]float64, 49)}
	for i := range m.Heights {
		m.Heights[i] = rapid.Float64Range(low, high).Draw(t, "control height")
	}
	s, err := NewHeightMap(m)
	require.NoError(t, err)
	return s
}

// drawField draws a solid of any kind.
func drawField(t *rapid.T, depth int) Field {
	kinds := 4
	if depth > 0 {
		kinds = 9
	}
	switch rapid.IntRange(0, kinds-1).Draw(t, "kind") {
	case 0:
		return Ball(mgl64.Vec3{rapid.Float64Range(-5, 5).Draw(t, "x"), 1, 2}, rapid.Float64Range(0.5, 6).Draw(t, "radius"))
	case 1:
		return Torus(mgl64.Vec3{1, 2, 3}, rapid.Float64Range(3, 8).Draw(t, "ring"), rapid.Float64Range(0.5, 2).Draw(t, "radius"))
	case 2:
		return drawPrism(t)
	case 3:
		region, err := NewRegion(starRing(t, 6))
		require.NoError(t, err)
		f, err := NewRecess(Recess{
			Region: region, Top: drawSurface(t, -1, 1),
			Depth: rapid.Float64Range(0.5, 3).Draw(t, "depth"), Wall: rapid.Float64Range(0, 1).Draw(t, "wall"),
		})
		require.NoError(t, err)
		return f
	case 4:
		return Union(drawField(t, depth-1), drawField(t, depth-1), drawField(t, depth-1))
	case 5:
		return Difference(drawField(t, depth-1), drawField(t, depth-1))
	case 6:
		return Intersection(drawField(t, depth-1), drawField(t, depth-1))
	case 7:
		return Offset(drawField(t, depth-1), rapid.Float64Range(-1, 2).Draw(t, "offset"))
	default:
		return Blend(rapid.Float64Range(0.1, 2).Draw(t, "blend"), drawField(t, depth-1), drawField(t, depth-1))
	}
}

func drawPrism(t *rapid.T) Field {
	region, err := NewRegion(starRing(t, 10))
	require.NoError(t, err)
	f, err := NewPrism(Prism{
		Region: region, Underside: drawSurface(t, -2, 2), Thickness: drawSurface(t, 2, 4),
		EdgeTop: rapid.Float64Range(0, 1).Draw(t, "top"), EdgeBottom: rapid.Float64Range(0, 1).Draw(t, "bottom"),
	})
	require.NoError(t, err)
	return f
}

func drawPoint(t *rapid.T, reach float64) mgl64.Vec3 {
	var p mgl64.Vec3
	for k := range p {
		p[k] = rapid.Float64Range(-reach, reach).Draw(t, "coordinate")
	}
	return p
}

func distance(f Field, p mgl64.Vec3) float64 {
	var out [1]float64
	f.Distances([]mgl64.Vec3{p}, out[:])
	return out[0]
}

// Its edges of different radius would meet in a step where the solid was thinner
// than they are, and a negative thickness would be none.
func TestThicknessBeyondTheOutlineDoesNotCount(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {4, 0}, {4, 4}, {0, 4}})
	require.NoError(t, err)
	heights := []float64{2, 2, 2, 2, 2, 2, 2, 0.5, -3, -3}
	thickness, err := NewHeightMap(HeightMap{Origin: mgl64.Vec2{-4, 2}, Spacing: 2, Columns: len(heights), Rows: 1, Heights: heights})
	require.NoError(t, err)
	f, err := NewPrism(Prism{Region: region, Underside: Level(0), Thickness: thickness, EdgeTop: 0.7, EdgeBottom: 0.1})
	require.NoError(t, err)
	const fine = 0.001
	for x := 3.0; x < 14; x += 0.25 {
		for z := -2.0; z < 3; z += fine {
			step := distance(f, mgl64.Vec3{x, 2, z + fine}) - distance(f, mgl64.Vec3{x, 2, z})
			require.LessOrEqual(t, math.Abs(step), f.Lipschitz()*fine+1e-9, "x %g z %g", x, z)
		}
	}
}

func TestRoundedPrismIsExactDistance(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {20, 0}, {20, 10}, {0, 10}})
	require.NoError(t, err)
	f, err := NewPrism(Prism{Region: region, Underside: Level(1), Thickness: Level(4), EdgeTop: 1, EdgeBottom: 0.5})
	require.NoError(t, err)
	for _, c := range []struct {
		name string
		at   mgl64.Vec3
		want float64
	}{
		{"above", mgl64.Vec3{10, 5, 7}, 2},
		{"below", mgl64.Vec3{10, 5, -1}, 2},
		{"beside", mgl64.Vec3{-3, 5, 3}, 3},
		{"in the middle of the thickness", mgl64.Vec3{10, 5, 3}, -2},
		{"off the upper rounded edge", mgl64.Vec3{-2, 5, 8}, math.Hypot(3, 4) - 1},
		{"off the lower rounded edge", mgl64.Vec3{-1, 5, 0}, math.Hypot(1.5, 1.5) - 0.5},
	} {
		assert.InDelta(t, c.want, distance(f, c.at), 1e-12, c.name)
	}
}

func TestHeightMapReproducesAPlane(t *testing.T) {
	m := HeightMap{Origin: mgl64.Vec2{-2, -2}, Spacing: 0.5, Columns: 20, Rows: 16, Heights: make([]float64, 320)}
	for row := range m.Rows {
		for column := range m.Columns {
			m.Heights[row*m.Columns+column] = 1 + 0.3*(-2+0.5*float64(column)) - 0.2*(-2+0.5*float64(row))
		}
	}
	s, err := NewHeightMap(m)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1, 6).Draw(t, "x")
		y := rapid.Float64Range(-1, 4).Draw(t, "y")
		z, slopeX, slopeY := s.Height(x, y)
		require.InDelta(t, 1+0.3*x-0.2*y, z, 1e-12)
		require.InDelta(t, 0.3, slopeX, 1e-12)
		require.InDelta(t, -0.2, slopeY, 1e-12)
	})
}

func TestRecessHasSlopedWallsAndAFlatFloor(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {20, 0}, {20, 10}, {0, 10}})
	require.NoError(t, err)
	f, err := NewRecess(Recess{Region: region, Top: Level(3), Depth: 1, Wall: math.Pi / 4})
	require.NoError(t, err)
	assert.InDelta(t, 0, distance(f, mgl64.Vec3{0, 5, 3}), 1e-12, "the outline is that at the top")
	assert.InDelta(t, 0, distance(f, mgl64.Vec3{0.5, 5, 2.5}), 1e-12, "half way down, half a depth in")
	assert.InDelta(t, 0, distance(f, mgl64.Vec3{10, 5, 2}), 1e-12, "floor")
	assert.Negative(t, distance(f, mgl64.Vec3{10, 5, 3.5}), "nothing is left above")
}

func TestBlendFillsTheSeamAndNothingElse(t *testing.T) {
	a, b := Ball(mgl64.Vec3{0, 0, 0}, 3), Ball(mgl64.Vec3{4, 0, 0}, 3)
	blended, plain := Blend(1, a, b), Union(a, b)
	rapid.Check(t, func(t *rapid.T) {
		p := drawPoint(t, 6)
		gain := distance(plain, p) - distance(blended, p)
		require.GreaterOrEqual(t, gain, 0.0)
		require.LessOrEqual(t, gain, 0.25)
		if math.Abs(distance(a, p)-distance(b, p)) > 1 {
			require.Zero(t, gain)
		}
	})
}

func TestFieldsRefuseImpossibleMeasures(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {20, 0}, {20, 10}, {0, 10}})
	require.NoError(t, err)
	for name, p := range map[string]Prism{
		"no region":     {Underside: Level(0), Thickness: Level(1)},
		"no underside":  {Region: region, Thickness: Level(1)},
		"no thickness":  {Region: region, Underside: Level(0)},
		"thickness 0":   {Region: region, Underside: Level(0), Thickness: Level(0)},
		"negative edge": {Region: region, Underside: Level(0), Thickness: Level(1), EdgeTop: -0.1},
		"wide edge":     {Region: region, Underside: Level(0), Thickness: Level(1), EdgeBottom: 0.6},
		"NaN edge":      {Region: region, Underside: Level(0), Thickness: Level(1), EdgeBottom: math.NaN()},
	} {
		_, err := NewPrism(p)
		assert.Error(t, err, name)
	}
	for name, r := range map[string]Recess{
		"no top":        {Region: region, Depth: 1},
		"no depth":      {Region: region, Top: Level(0)},
		"NaN depth":     {Region: region, Top: Level(0), Depth: math.NaN()},
		"level wall":    {Region: region, Top: Level(0), Depth: 1, Wall: math.Pi / 2},
		"overhung wall": {Region: region, Top: Level(0), Depth: 1, Wall: -0.1},
	} {
		_, err := NewRecess(r)
		assert.Error(t, err, name)
	}
	for name, m := range map[string]HeightMap{
		"no spacing":  {Columns: 1, Rows: 1, Heights: []float64{0}},
		"wrong count": {Spacing: 1, Columns: 2, Rows: 2, Heights: []float64{0}},
		"NaN":         {Spacing: 1, Columns: 1, Rows: 1, Heights: []float64{math.NaN()}},
	} {
		_, err := NewHeightMap(m)
		assert.Error(t, err, name)
	}
}
