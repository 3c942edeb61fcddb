package mesh_test

import (
	"context"
	"fmt"
	"testing"

	"earframe/field"
	"earframe/internal/crossing"
	"earframe/mesh"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

func surface(t testing.TB, f field.Field, step float64) *mesh.Mesh {
	t.Helper()
	m, err := contour.Of(context.Background(), f, contour.Options{Step: step})
	require.NoError(t, err)
	return m
}

func BenchmarkCrossings(b *testing.B) {
	for _, step := range []float64{0.4, 0.2, 0.13} {
		m := surface(b, field.Ball(mgl64.Vec3{}, 20), step)
		b.Run(fmt.Sprintf("%d triangles", len(m.Triangles)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				pairs, err := crossing.Pairs(context.Background(), m.Vertices, m.Triangles, 0)
				require.NoError(b, err)
				require.Empty(b, pairs)
			}
		})
	}
}

func BenchmarkJudge(b *testing.B) {
	for _, step := range []float64{0.4, 0.2, 0.13} {
		m := surface(b, field.Ball(mgl64.Vec3{}, 20), step)
		b.Run(fmt.Sprintf("%d triangles", len(m.Triangles)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, mesh.Judge(m).Err())
			}
		})
	}
}
