package mesh

import (
	"context"
	"math"
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func simplify(t testing.TB, m *Mesh, tolerance float64) *Mesh {
	t.Helper()
	out, err := Simplify(context.Background(), m, SimplifyOptions{Tolerance: tolerance})
	require.NoError(t, err)
	return out
}

func TestABoxComesBackWithTwelveTriangles(t *testing.T) {
	for _, turn := range []float64{0, 0.3} {
		for _, tolerance := range []float64{0, 0.01} {
			fine := contour(t, slab(t, rectangle(t, 1.25, 2.75, 10, 8, turn), 0.5, 3.25, 0), 0.2)
			m := simplify(t, fine, tolerance)
			assert.Len(t, m.Triangles, 12, "turn %g, tolerance %g", turn, tolerance)
			assert.InDelta(t, 10*8*3.25, m.Volume(), 1e-3)
			requireSound(t, m)
		}
	}
}

func TestScratch(t *testing.T) {
	for name, f := range map[string]field.Field{
		"ball":    field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 5),
		"torus":   field.Torus(mgl64.Vec3{0.1, 0.2, 0.3}, 8, 2.5),
		"rounded": slab(t, rectangle(t, 1.25, 2.75, 10, 8, 0.3), 0.5, 3.25, 0.6),
		"stack":   benchStack(t),
	} {
		fine := contour(t, f, 0.2)
		m := simplify(t, fine, 0.01)
		t.Logf("%s: %d -> %d, volume %.6f -> %.6f (%.5f%%)", name, len(fine.Triangles), len(m.Triangles), fine.Volume(), m.Volume(), 100*math.Abs(m.Volume()/fine.Volume()-1))
		requireSound(t, m)
	}
}
