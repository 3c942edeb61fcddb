package assemble_test

import (
	"context"
	"runtime"
	"strconv"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// demoField returns the demo's joined framework.
func demoField(t testing.TB) field.Field {
	t.Helper()
	return field.Union(demotest.Fields(t, demotest.Plan(t))...)
}

// peerSolid is a field as the peer library takes it: one point at a time.
type peerSolid struct{ field field.Field }

func (s peerSolid) Min() model3d.Coord3D {
	return model3d.NewCoord3DArray(s.field.Bounds().Grow(0.1).Min)
}

func (s peerSolid) Max() model3d.Coord3D {
	return model3d.NewCoord3DArray(s.field.Bounds().Grow(0.1).Max)
}

func (s peerSolid) Contains(c model3d.Coord3D) bool {
	point, out := [1]mgl64.Vec3{c.Array()}, [1]float64{}
	s.field.Distances(point[:], out[:])
	return out[0] < 0
}

// BenchmarkFramework times the demo's framework: contour alone and with
// simplification, beside the peer library's two methods, over steps and cores.
func BenchmarkFramework(b *testing.B) {
	f := demoField(b)
	ctx := context.Background()
	sampled := func(b *testing.B, step float64) *mesh.Mesh {
		m, err := contour.Of(ctx, f, contour.Options{Step: step})
		require.NoError(b, err)
		return m
	}
	b.Run("contour", func(b *testing.B) {
		for b.Loop() {
			sampled(b, contour.DefaultStep)
		}
	})
	b.Run("contour and simplify", func(b *testing.B) {
		for b.Loop() {
			_, err := simplify.Of(ctx, sampled(b, contour.DefaultStep), simplify.Options{Tolerance: 0.01})
			require.NoError(b, err)
		}
	})
	b.Run("peer marching cubes, search", func(b *testing.B) {
		for b.Loop() {
			model3d.MarchingCubesSearch(peerSolid{f}, contour.DefaultStep, 8)
		}
	})
	b.Run("peer dual contouring", func(b *testing.B) {
		for b.Loop() {
			model3d.DualContour(peerSolid{f}, contour.DefaultStep, true, false)
		}
	})
	for _, step := range []float64{0.4, 0.2, 0.1, 0.05} {
		b.Run("step "+strconv.FormatFloat(step, 'g', -1, 64), func(b *testing.B) {
			for b.Loop() {
				sampled(b, step)
			}
		})
	}
	for cores := 1; cores <= 2; cores++ {
		b.Run("cores "+strconv.Itoa(cores), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
			for b.Loop() {
				sampled(b, 0.1)
			}
		})
	}
}
