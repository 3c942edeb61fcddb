package contour

import (
	"context"
	"fmt"
	"runtime"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

func BenchmarkContour(b *testing.B) {
	f := meshtest.Stack(b)
	for _, step := range []float64{0.4, 0.2, 0.1, 0.05} {
		b.Run(fmt.Sprintf("step=%g", step), func(b *testing.B) {
			b.ReportAllocs()
			triangles := 0
			for b.Loop() {
				m, err := Of(context.Background(), f, Options{Step: step})
				require.NoError(b, err)
				triangles = len(m.Triangles)
			}
			b.ReportMetric(float64(triangles), "triangles")
		})
	}
}

func BenchmarkContourCores(b *testing.B) {
	f := meshtest.Stack(b)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	for n := 1; n <= cores; n++ {
		b.Run(fmt.Sprintf("cores=%d", n), func(b *testing.B) {
			runtime.GOMAXPROCS(n)
			for b.Loop() {
				_, err := Of(context.Background(), f, Options{Step: DefaultStep})
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
	f := solid{meshtest.Stack(b)}
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
