package mesh_test

import (
	"context"
	"math"
	"runtime"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func thinnest(t testing.TB, m *mesh.Mesh) mesh.Wall {
	t.Helper()
	wall, err := mesh.ThinnestWall(context.Background(), m)
	require.NoError(t, err)
	return wall
}

func judgedWedge(angle, length, width float64) *mesh.Mesh {
	return (*mesh.Mesh)(solids.Wedge(angle, length, width))
}

func TestThinnestWallOfPlatesAndTubes(t *testing.T) {
	ring, err := field.NewRegion(meshtest.Ellipse(10, 10, false), meshtest.Ellipse(8.8, 8.8, true))
	require.NoError(t, err)
	plate := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 20, 15, 0.3), 0, 2, 0)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
		tol  float64
	}{
		{"box", judgedBox(mgl64.Vec3{}, mgl64.Vec3{20, 15, 1.5}), 1.5, 1e-9},
		{"cube", judgedBox(mgl64.Vec3{}, mgl64.Vec3{3, 3, 3}), 3, 1e-9},
		{"ball: its diameter", judgedBall(mgl64.Vec3{}, 5, 5), 10, 0.02},
		{"torus: across its tube", judgedTorus(25, 2.5, 400, 100), 5, 0.02},
		{"plate with sharp edges", surface(t, plate, 0.3), 2, 1e-4},
		{"plate with rounded edges", surface(t, meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 20, 15, 0.3), 0, 2, 0.6), 0.3), 2, 0.2},
		{"plate with full round rim", surface(t, meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 20, 15, 0.3), 0, 2, 1), 0.3), 2, 0.3},
		{"tube: its wall", surface(t, meshtest.Slab(t, ring, 0, 9, 0), 0.3), 1.2, 0.02},
		{"step: its thinner part", surface(t, field.Union(plate, meshtest.Slab(t, meshtest.Rectangle(t, 2, 3, 6, 5, 0.1), 0, 5, 0)), 0.3), 2, 1e-3},
	} {
		t.Run(c.name, func(t *testing.T) {
			wall := thinnest(t, c.m)
			t.Logf("%.4f mm", wall.Thickness)
			assert.InDelta(t, c.want, wall.Thickness, c.tol)
		})
	}
}

func TestThinnestWallIsWhereTheGrooveIsDeepest(t *testing.T) {
	block := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 20, 12, 0), 0, 4, 0)
	groove := field.Offset(meshtest.Slab(t, meshtest.Rectangle(t, 6, 4, 5, 3, 0), 0.8, 9, 0), 0)
	wall := thinnest(t, surface(t, field.Difference(block, groove), 0.3))
	assert.InDelta(t, 0.8, wall.Thickness, 1e-3)
	assert.True(t, wall.At[0] > 6 && wall.At[0] < 11 && wall.At[1] > 4 && wall.At[1] < 7, wall.At)
}

func TestAWedgeIsAWallOnlyWhenSharp(t *testing.T) {
	blunt := thinnest(t, judgedWedge(40*math.Pi/180, 20, 15))
	assert.InDelta(t, 2*20*math.Tan(20*math.Pi/180), blunt.Thickness, 5, "between its ends, not at its edge")
	assert.Greater(t, blunt.Thickness, 8.0)
	sharp := thinnest(t, judgedWedge(20*math.Pi/180, 20, 15))
	assert.Less(t, sharp.Thickness, 0.2)
	assert.Less(t, sharp.At[0], 1.0)
}

func TestThinnestWallNeedsAWall(t *testing.T) {
	// A regular tetrahedron has no two faces within 30 degrees of opposite.
	tetrahedron := &mesh.Mesh{
		Vertices:  []mgl64.Vec3{{1, 1, 1}, {1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}},
		Triangles: [][3]int32{{0, 1, 2}, {0, 3, 1}, {0, 2, 3}, {1, 3, 2}},
	}
	require.NoError(t, mesh.Judge(tetrahedron).Err())
	_, err := mesh.ThinnestWall(context.Background(), tetrahedron)
	assert.ErrorIs(t, err, mesh.ErrNoWall)
	_, err = mesh.ThinnestWall(context.Background(), &mesh.Mesh{})
	assert.ErrorIs(t, err, mesh.ErrNoWall)
}

func TestThinnestWallIsTheSameOnAnyNumberOfCores(t *testing.T) {
	m := surface(t, meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 8, 0.2), 0, 3, 0.5), 0.3)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone := thinnest(t, m)
	runtime.GOMAXPROCS(8)
	assert.Equal(t, alone, thinnest(t, m))
}

func TestThinnestWallStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := mesh.ThinnestWall(ctx, judgedBall(mgl64.Vec3{}, 5, 2))
	assert.ErrorIs(t, err, context.Canceled)
}

func BenchmarkThinnestWall(b *testing.B) {
	m := surface(b, field.Torus(mgl64.Vec3{}, 20, 5), 0.2)
	b.Logf("%d triangles", len(m.Triangles))
	for b.Loop() {
		thinnest(b, m)
	}
}

func TestACreviceIsNoWall(t *testing.T) {
	// Two plates of 2 mm with a gap between them: below 0.05 mm it is one wall.
	for gap, want := range map[float64]float64{0.01: 4.01, 0.2: 2} {
		both := judgedSum(
			judgedBox(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{10, 10, 2}),
			judgedBox(mgl64.Vec3{0, 0, 2 + gap}, mgl64.Vec3{10, 10, 4 + gap}),
		)
		wall, err := mesh.ThinnestWall(context.Background(), both)
		require.NoError(t, err)
		assert.InDelta(t, want, wall.Thickness, 1e-6)
	}
}

// A plate of 3 mm with two grooves of 1 mm cut into its underside, 0.4 mm apart:
// the ridge between them is a wall, and 2 mm are left over them. Measured on the
// plain plate neither counts.
func TestWhatIsCarvedIntoAPlateDoesNotCountOnThePlainPlate(t *testing.T) {
	plain := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 12, 8, 0), 0, 3, 0)
	grooves := field.Union(
		meshtest.Slab(t, meshtest.Rectangle(t, 3, 2, 1, 4, 0), -1, 2, 0), meshtest.Slab(t, meshtest.Rectangle(t, 4.4, 2, 1, 4, 0), -1, 2, 0))
	m := surface(t, field.Difference(plain, grooves), 0.2)
	assert.InDelta(t, 0.4, thinnest(t, m).Thickness, 0.01)
	wall, err := mesh.ThinnestWallOn(context.Background(), m, plain, 0.05)
	require.NoError(t, err)
	assert.InDelta(t, 3, wall.Thickness, 1e-4)
}
