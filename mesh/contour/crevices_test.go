package contour

import (
	"context"
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh/simplify"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
	"pgregory.net/rapid"
)

// The bed's edge is rounded with 0.8 mm; what lies on it reaches 2 mm beyond.
const (
	bedTop    = 3.0
	bedEdge   = 0.8
	bedBorder = 4.0
)

func bed(t testing.TB) field.Field {
	t.Helper()
	f, err := field.NewPrism(field.Prism{
		Region: meshtest.Rectangle(t, -bedBorder, -1.5, 2*bedBorder, 3, 0), Underside: field.Level(0),
		Thickness: field.Level(bedTop), EdgeTop: bedEdge,
	})
	require.NoError(t, err)
	return f
}

// rising returns a strip along x over the bed's border whose underside leaves the
// bed's top at x = 0 with the slope.
func rising(t testing.TB, slope float64) field.Field {
	t.Helper()
	m := field.HeightMap{Origin: mgl64.Vec2{-20, -20}, Spacing: 2, Columns: 21, Rows: 21}
	for range m.Rows {
		for column := range m.Columns {
			m.Heights = append(m.Heights, bedTop+slope*(m.Origin[0]+m.Spacing*float64(column)))
		}
	}
	under, err := field.NewHeightMap(m)
	require.NoError(t, err)
	f, err := field.NewPrism(field.Prism{
		Region: meshtest.Rectangle(t, -3, -1, bedBorder+5, 2, 0), Underside: under, Thickness: field.Level(2),
	})
	require.NoError(t, err)
	return f
}

// TestCrevicesAreOpenNearlyToTheirBottom holds the mesh near both faces of a
// crevice, from a twentieth of a millimetre off its bottom on: between a level
// underside and the rounded edge beneath it, where closed forms give the faces,
// and between a level face and one that leaves it at a small angle.
func TestCrevicesAreOpenNearlyToTheirBottom(t *testing.T) {
	const near = 0.05 // mm
	shapes := []struct {
		name  string
		slope float64
		faces func(out float64) (lower, upper mgl64.Vec3) // out mm from the bottom
	}{
		{"a level underside over a rounded edge", 0, func(out float64) (lower, upper mgl64.Vec3) {
			x, drop := bedBorder-bedEdge+out, bedEdge-math.Sqrt(bedEdge*bedEdge-out*out)
			return mgl64.Vec3{x, 0.31, bedTop - drop}, mgl64.Vec3{x, 0.31, bedTop}
		}},
		{"a face that leaves a level one", 0.07, func(out float64) (lower, upper mgl64.Vec3) {
			return mgl64.Vec3{out, 0.31, bedTop}, mgl64.Vec3{out, 0.31, bedTop + 0.07*out}
		}},
	}
	for _, s := range shapes {
		t.Run(s.name, func(t *testing.T) {
			m := contour(t, field.Union(bed(t), rising(t, s.slope)), DefaultStep)
			meshtest.RequireSound(t, m.Vertices, m.Triangles)
			distance := model3d.MeshToSDF(meshtest.Model(m.Vertices, m.Triangles))
			for out := near; out < bedEdge; out += 0.03 {
				lower, upper := s.faces(out)
				for _, p := range []mgl64.Vec3{lower, upper} {
					assert.LessOrEqual(t, math.Abs(distance.SDF(model3d.NewCoord3DArray(p))), near, "%.2f mm out, %v", out, p)
				}
			}
			simple, err := simplify.Of(context.Background(), m, simplify.Options{Tolerance: simplify.DefaultTolerance})
			require.NoError(t, err)
			meshtest.RequireSound(t, simple.Vertices, simple.Triangles)
		})
	}
}

// A plate thinner than a step may lie between two even planes.
func TestAPlateThinnerThanAStepIsSeen(t *testing.T) {
	const step, thick = 0.5, 0.06
	for _, under := range []float64{0.1, 0.2, 0.3, 0.4} {
		ground := meshtest.Slab(t, meshtest.Rectangle(t, -4, -3, 8, 6, 0), 3+under, 2, 0)
		plate := meshtest.Slab(t, meshtest.Rectangle(t, -4, -3, 8, 6, 0), under, thick, 0)
		m := contour(t, field.Union(plate, ground), step)
		meshtest.RequireSound(t, m.Vertices, m.Triangles)
		assert.InDelta(t, 8*6*(2+thick), m.Volume(), 1e-3)
	}
}

func TestPlanesStayEvenWhereNothingIsNarrow(t *testing.T) {
	f := field.Union(meshtest.Slab(t, meshtest.Rectangle(t, -4, -3, 8, 6, 0.3), 0, 3, 0), meshtest.Slab(t, meshtest.Rectangle(t, -3, -2, 5, 4, 0.1), 3, 2, 0))
	grid, err := newLattice(context.Background(), f, 0.3)
	require.NoError(t, err)
	for k := range grid.coordinate {
		for i := range len(grid.coordinate[k]) - 1 {
			assert.InDelta(t, 0.3, grid.coordinate[k][i+1]-grid.coordinate[k][i], 1e-6)
		}
	}
}

// Whatever the solids, cells are no taller than a step, no flatter than room for
// a vertex asks, and few planes are added.
func TestAddedPlanesKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var fields []field.Field
		draw := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		for range rapid.IntRange(2, 4).Draw(t, "solids") {
			x, y, z := draw(-2, 2, "x"), draw(-2, 2, "y"), math.Round(draw(0, 2, "z"))
			region, err := field.NewRegion([]mgl64.Vec2{{x, y}, {x + 4, y}, {x + 5, y + 3}, {x, y + 4}})
			require.NoError(t, err)
			thick := draw(0.1, 2, "thickness")
			f, err := field.NewPrism(field.Prism{
				Region: region, Underside: field.Level(z), Thickness: field.Level(thick), EdgeTop: thick * draw(0, 0.5, "edge"),
			})
			require.NoError(t, err)
			fields = append(fields, f)
		}
		f := field.Union(fields...)
		step := draw(0.1, 0.6, "step")
		grid, err := newLattice(context.Background(), f, step)
		require.NoError(t, err)
		planes := grid.coordinate[2]
		for i := range len(planes) - 1 {
			apart := (planes[i+1] - planes[i]) / step
			require.Greater(t, apart, 3*insideMargin)
			require.Less(t, apart, 1+insideMargin)
		}
		bounds := f.Bounds()
		even := (bounds.Max[2]-bounds.Min[2])/step + 2*borderSteps + 3
		require.LessOrEqual(t, float64(len(planes)), even*(1+morePlanes)+blockSide)
	})
}

func TestTheHeightChosenLiesInAsManyRoomsAsAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rooms []field.Span
		holding := func(z float64) (count int) {
			for _, r := range rooms {
				if r.Low <= z && z <= r.High {
					count++
				}
			}
			return count
		}
		for range rapid.IntRange(0, 12).Draw(t, "rooms") {
			low := float64(rapid.IntRange(0, 10).Draw(t, "low"))
			rooms = append(rooms, field.Span{Low: low, High: low + float64(rapid.IntRange(-2, 5).Draw(t, "height"))})
		}
		grid := lattice{margin: 1e-3}
		z, count := grid.stab(rooms)
		if count > 0 {
			require.Equal(t, count, holding(z))
		}
		for low := range 20 {
			require.LessOrEqual(t, holding(float64(low)), count)
		}
	})
}
