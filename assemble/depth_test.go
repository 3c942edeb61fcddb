package assemble_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"image"
	"image/png"
	"math"
	"runtime"
	"strconv"
	"testing"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func depth(t testing.TB, f field.Field, step float64) *assemble.DepthMap {
	t.Helper()
	m, err := assemble.Depth(context.Background(), f, step)
	require.NoError(t, err)
	return m
}

// A ball of radius 5 lies on the bed: its top at a distance r from its middle is
// 5 + √(25 - r²), its underside 5 - √(25 - r²).
func TestDepthOfABallIsThatOfTheSphere(t *testing.T) {
	m := depth(t, field.Ball(mgl64.Vec3{1, 2, 3}, 5), 0.5)
	assert.InDelta(t, -2, m.Bed, 1e-4)
	found := 0
	for k := range m.Top {
		r := m.Place(k).Sub(mgl64.Vec2{1, 2}).Len()
		if r > 4.999 {
			continue
		}
		found++
		half := math.Sqrt(25 - r*r)
		require.InDelta(t, 5+half, m.Top[k], 1e-3)
		require.InDelta(t, 5-half, m.Underside[k], 1e-3)
	}
	assert.InDelta(t, math.Pi*25/0.25, found, 20)
	height, at := m.Highest()
	assert.InDelta(t, 10, height, 1e-3)
	assert.InDelta(t, 0, at.Sub(mgl64.Vec2{1, 2}).Len(), 1e-9)
}

// slowTop walks down a line until the field turns negative: exact to the walk's
// step where nothing thinner than it lies higher up.
func slowTop(f field.Field, at mgl64.Vec2, step float64) (top float64, found bool) {
	bounds := f.Bounds()
	var points []mgl64.Vec3
	for z := bounds.Max[2] + step; z > bounds.Min[2]-step; z -= step {
		points = append(points, at.Vec3(z))
	}
	out := make([]float64, len(points))
	f.Distances(points, out)
	for i, d := range out {
		if d < 0 {
			return points[i][2] + step/2, true
		}
	}
	return 0, false
}

func TestDemosDepthIsWhatASlowWalkDownFinds(t *testing.T) {
	f := demoField(t)
	m := depth(t, f, 0.4)
	const walk = 0.02
	framed, flats := 0, 0
	for k := 3; k < len(m.Top); k += 29 {
		top, found := slowTop(f, m.Place(k), walk)
		if !found {
			// Within rounding of a wall there may be less than the walk's step.
			if !math.IsNaN(m.Top[k]) {
				assert.Less(t, m.Top[k]-m.Underside[k], walk, "at %v", m.Place(k))
			}
			continue
		}
		framed++
		require.InDelta(t, top, m.Top[k]+m.Bed, walk, "at %v", m.Place(k))
		// The demo's rim has its level top at z = 3 + 4, the base frame at 3.
		for _, level := range []float64{3, 7} {
			if math.Abs(m.Top[k]+m.Bed-level) < 1e-9 {
				flats++
			}
		}
	}
	assert.Greater(t, framed, 200)
	assert.Greater(t, flats, 40, "flats are exact, not merely near")
	assert.InDelta(t, -3, m.Bed, 1e-9, "the conchal vault's underside")
}

// The map and the mesh are made on different ways: their volumes agree, but for
// what lies between units that bridge a groove.
func TestDepthAndMeshAgreeOnTheVolumeOfAUnit(t *testing.T) {
	solids, err := demotest.Plan(t).Solids(t.Context())
	require.NoError(t, err)
	for _, s := range solids[:2] {
		m := depth(t, s.Field, 0.1)
		volume := 0.0
		for k, top := range m.Top {
			if !math.IsNaN(top) {
				volume += (top - m.Underside[k]) * m.Step * m.Step
			}
		}
		surface, err := contour.Of(context.Background(), s.Field, contour.Options{Step: 0.3})
		require.NoError(t, err)
		assert.InEpsilon(t, surface.Volume(), volume, 0.004, s.Unit.Name)
	}
}

func TestDepthIsTheSameOnOneCoreAndTwo(t *testing.T) {
	f := demoField(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := depth(t, f, 0.5)
	runtime.GOMAXPROCS(3)
	three := depth(t, f, 0.5)
	for k := range one.Top {
		require.Equal(t, math.Float64bits(one.Top[k]), math.Float64bits(three.Top[k]))
		require.Equal(t, math.Float64bits(one.Underside[k]), math.Float64bits(three.Underside[k]))
	}
}

func TestTopAnswersAsTheMapDoes(t *testing.T) {
	f := demoField(t)
	m := depth(t, f, 0.7)
	top := assemble.NewTop(f, m.Bed)
	var places []mgl64.Vec2
	for k := range m.Top {
		places = append(places, m.Place(k))
	}
	heights := make([]float64, len(places))
	top.Heights(places, heights)
	for k, z := range m.Top {
		if math.IsNaN(z) {
			z = 0
		}
		require.InDelta(t, z, heights[k], 1e-12)
	}
	lo, hi := top.Bounds()
	assert.Less(t, lo[0], hi[0])
}

func TestDepthFilesCarryTheirScale(t *testing.T) {
	m := depth(t, demoField(t), 0.5)
	var file bytes.Buffer
	require.NoError(t, m.WriteTopPNG(&file))
	assert.Contains(t, file.String(), "Height in mm = (value - 1) * 0.0002; value 0 = no framework. 0.5 mm per pixel")
	picture, err := png.Decode(bytes.NewReader(file.Bytes()))
	require.NoError(t, err)
	grey, ok := picture.(*image.Gray16)
	require.True(t, ok, "16 bits of grey")
	scale := m.Scale()
	for k, z := range m.Top {
		v := grey.Gray16At(k%m.Columns, m.Rows-1-k/m.Columns).Y
		if math.IsNaN(z) {
			require.Zero(t, v)
			continue
		}
		require.InDelta(t, z, float64(v-1)*scale.PerCount, 0.0001001)
	}
	place := m.Place((m.Rows - 1) * m.Columns)
	assert.InDelta(t, place[0], scale.Left, 1e-6)
	assert.InDelta(t, place[1], scale.Top, 1e-6)
	file.Reset()
	require.NoError(t, m.WriteUndersidePNG(&file))
	_, err = png.Decode(&file)
	require.NoError(t, err)

	file.Reset()
	require.NoError(t, m.WriteCSV(&file))
	rows, err := csv.NewReader(&file).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"x_mm", "y_mm", "top_mm", "underside_mm"}, rows[0])
	line := 1
	for k, z := range m.Top {
		if math.IsNaN(z) {
			continue
		}
		top, err := strconv.ParseFloat(rows[line][2], 64)
		require.NoError(t, err)
		require.InDelta(t, z, top, 5.1e-5, "row %d, value %d", line, k)
		line++
	}
	assert.Len(t, rows, line)
}

func TestDepthRefusesAStepItCannotUse(t *testing.T) {
	f := field.Ball(mgl64.Vec3{}, 5)
	for _, step := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-6} {
		_, err := assemble.Depth(context.Background(), f, step)
		require.ErrorContains(t, err, "depth map", "step %g", step)
	}
	_, err := assemble.Depth(context.Background(), field.Intersection(f, field.Ball(mgl64.Vec3{20, 0, 0}, 5)), 1)
	require.ErrorIs(t, err, assemble.ErrNoFramework)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = assemble.Depth(ctx, f, 0.1)
	require.ErrorIs(t, err, context.Canceled)
}
