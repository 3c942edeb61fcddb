package wall_test

import (
	"context"
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/internal/solids"
	"earframe/mesh/wall"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func meshOf(t testing.TB, f field.Field, step float64) *mesh.Mesh {
	t.Helper()
	m, err := contour.Of(context.Background(), f, contour.Options{Step: step})
	require.NoError(t, err)
	return m
}

// A mesh has the walls of the solid that it is of.
func TestTheThinnestWallOfAMesh(t *testing.T) {
	tube, err := field.NewRegion(meshtest.Ellipse(10, 10, false), meshtest.Ellipse(8.8, 8.8, true))
	require.NoError(t, err)
	plate := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 12, 4}, 0)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"box", (*mesh.Mesh)(solids.Box(mgl64.Vec3{}, mgl64.Vec3{20, 15, 1.5})), 1.5},
		{"square bar", (*mesh.Mesh)(solids.Box(mgl64.Vec3{}, mgl64.Vec3{0.5, 15, 0.5})), 0.5},
		{"ball", (*mesh.Mesh)(solids.Ball(mgl64.Vec3{}, 5, 5)), 10},
		{"round bar of few facets", (*mesh.Mesh)(solids.Torus(25, 2.5, 400, 16)), 5 * math.Cos(math.Pi/16)},
		{"wedge of 20 degrees", (*mesh.Mesh)(solids.Wedge(20*math.Pi/180, 20, 15)), 0},
		{"wedge of 40 degrees", (*mesh.Mesh)(solids.Wedge(40*math.Pi/180, 20, 15)), 15},
		{"tube", meshOf(t, meshtest.Slab(t, tube, 0, 9, 0), 0.3), 1.2},
		{"plate with rounded edges", meshOf(t, block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 2}, 0.6), 0.3), 2},
		{"slot beside an " +
			"edge", meshOf(t, field.Difference(plate, block(t, mgl64.Vec3{0.7, 3, 1}, mgl64.Vec3{2, 9, 9}, 0)), 0.2), 0.7},
		{"dent of a ball in a plate", meshOf(t, field.Difference(plate, field.Ball(mgl64.Vec3{10, 6, 5}, 4.2)), 0.2), 0.8},
	} {
		walls, err := wall.OfMesh(context.Background(), c.m, wall.Options{})
		require.NoError(t, err, c.name)
		if found := walls.Least(); assert.NotNil(t, found, c.name) {
			assert.InDelta(t, c.want, found.Thickness, within, c.name)
		}
	}
}

func TestAMeshWithoutFacingSidesHasNoWall(t *testing.T) {
	tetrahedron := &mesh.Mesh{
		Vertices:  []mgl64.Vec3{{0, 0, 0}, {10, 0, 0}, {0, 10, 0}, {0, 0, 10}},
		Triangles: [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
	for _, m := range []*mesh.Mesh{tetrahedron, {}} {
		walls, err := wall.OfMesh(context.Background(), m, wall.Options{})
		require.NoError(t, err)
		assert.Nil(t, walls.Least())
	}
}

// A plate of 3 mm with two grooves of 1 mm in its underside, 0.4 mm apart: the
// ridge between them is a wall, and 2 mm are left over them. Measured as the plain
// plate neither counts.
func TestWhatIsCarvedIntoAPlateDoesNotCountOnThePlainPlate(t *testing.T) {
	plain := block(t, mgl64.Vec3{}, mgl64.Vec3{12, 8, 3}, 0)
	grooves := field.Union(block(t, mgl64.Vec3{3, 2, -1}, mgl64.Vec3{4, 6, 1}, 0), block(t, mgl64.Vec3{4.4, 2, -1}, mgl64.Vec3{5.4, 6, 1}, 0))
	m := meshOf(t, field.Difference(plain, grooves), 0.2)
	walls, err := wall.OfMesh(context.Background(), m, wall.Options{})
	require.NoError(t, err)
	assert.InDelta(t, 0.4, walls.Least().Thickness, within)
	walls, err = wall.OfMesh(context.Background(), m, wall.Options{Plain: plain, Slack: 0.05})
	require.NoError(t, err)
	assert.InDelta(t, 3, walls.Least().Thickness, within)
}
