package mesh

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// benchStack is a stack of the size and kind of a framework: a plate with a hole
// and a groove, a strip of varying rise around its rim, smaller plates on it.
func benchStack(t testing.TB) field.Field {
	t.Helper()
	plate, err := field.NewRegion(ellipseRing(28, 16, false), ellipseRing(10, 6, true))
	require.NoError(t, err)
	rim, err := field.NewRegion(ellipseRing(28, 16, false), ellipseRing(24, 12, true))
	require.NoError(t, err)
	ridge, err := field.NewRegion(ellipseRing(20, 10, false), ellipseRing(16, 7.5, true))
	require.NoError(t, err)
	groove, err := field.NewRegion(ellipseRing(23.5, 11.5, false), ellipseRing(20.5, 10.3, true))
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
		field.Difference(slab(t, plate, 0, 3, 0.6), recess),
		strip,
		slab(t, ridge, 3, 3, 1.0),
		slab(t, rectangle(t, -26, -3, 5, 7, 0.2), 3, 4, 1.0),
		slab(t, rectangle(t, -12, -8, 24, 16, 0), -2, 2, 0.5),
	)
}

func BenchmarkContour(b *testing.B) {
	f := benchStack(b)
	for _, step := range []float64{0.4, 0.2, 0.1, 0.05} {
		b.Run(fmt.Sprintf("step=%g", step), func(b *testing.B) {
			b.ReportAllocs()
			triangles := 0
			for b.Loop() {
				m, err := Contour(context.Background(), f, ContourOptions{Step: step})
				require.NoError(b, err)
				triangles = len(m.Triangles)
			}
			b.ReportMetric(float64(triangles), "triangles")
		})
	}
}

func BenchmarkContourCores(b *testing.B) {
	f := benchStack(b)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	for n := 1; n <= cores; n++ {
		b.Run(fmt.Sprintf("cores=%d", n), func(b *testing.B) {
			runtime.GOMAXPROCS(n)
			for b.Loop() {
				_, err := Contour(context.Background(), f, ContourOptions{Step: DefaultStep})
				require.NoError(b, err)
			}
		})
	}
}

// solid is a field as the peer library takes it: one point at a time.
type solid struct{ field field.Field }

func (s solid) Min() model3d.Coord3D {
	return model3d.NewCoord3DArray(s.field.Bounds().Grow(0.1).Min)
}

func (s solid) Max() model3d.Coord3D {
	return model3d.NewCoord3DArray(s.field.Bounds().Grow(0.1).Max)
}

func (s solid) Contains(c model3d.Coord3D) bool {
	point, out := [1]mgl64.Vec3{c.Array()}, [1]float64{}
	s.field.Distances(point[:], out[:])
	return out[0] < 0
}

// BenchmarkPeerContour contours the same solid at the same step with the peer
// library's two methods.
func BenchmarkPeerContour(b *testing.B) {
	f := solid{benchStack(b)}
	b.Run("marching cubes, search", func(b *testing.B) {
		for b.Loop() {
			model3d.MarchingCubesSearch(f, DefaultStep, 8)
		}
	})
	b.Run("dual contouring", func(b *testing.B) {
		for b.Loop() {
			model3d.DualContour(f, DefaultStep, true, false)
		}
	})
}
