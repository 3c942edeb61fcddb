package assemble

import (
	"context"
	"math"
	"testing"

	"earframe/field"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const step = 0.2

// block returns a rectangular block from a corner, turned about that corner.
func block(t testing.TB, name string, corner, size mgl64.Vec3, turn float64) solid {
	t.Helper()
	sin, cos := math.Sincos(turn)
	ring := []mgl64.Vec2{{0, 0}, {size[0], 0}, {size[0], size[1]}, {0, size[1]}}
	for i, p := range ring {
		ring[i] = mgl64.Vec2{corner[0] + p[0]*cos - p[1]*sin, corner[1] + p[0]*sin + p[1]*cos}
	}
	region, err := field.NewRegion(ring)
	require.NoError(t, err)
	f, err := field.NewPrism(field.Prism{
		Region: region, Underside: field.Level(corner[2]), Thickness: field.Level(size[2]),
	})
	require.NoError(t, err)
	return solidOf(t, name, f)
}

func solidOf(t testing.TB, name string, f field.Field) solid {
	t.Helper()
	m, err := contour.Of(context.Background(), f, contour.Options{Step: step})
	require.NoError(t, err)
	return solid{f, m}
}

func contact(t testing.TB, a, b solid) Contact {
	t.Helper()
	c, err := contactBetween(context.Background(), a, b, step)
	require.NoError(t, err)
	return c
}

func TestContactOfTwoBlocksIsTheirSharedFace(t *testing.T) {
	plate := block(t, "plate", mgl64.Vec3{0, 0, 0}, mgl64.Vec3{20, 10, 3}, 0)
	for _, c := range []struct {
		name          string
		other         solid
		area, gap     float64
		volume, depth float64
	}{
		{"stands on it", block(t, "b", mgl64.Vec3{5, 2, 3}, mgl64.Vec3{6, 4, 2}, 0.3), 24, 0, 0, 0},
		{"overhangs by half", block(t, "b", mgl64.Vec3{-3, 2, 3}, mgl64.Vec3{6, 4, 2}, 0), 12, 0, 0, 0},
		{"stands beside it", block(t, "b", mgl64.Vec3{20, 0, 0}, mgl64.Vec3{5, 10, 3}, 0), 30, 0, 0, 0},
		{"floats half a millimetre above", block(t, "b", mgl64.Vec3{5, 2, 3.5}, mgl64.Vec3{6, 4, 2}, 0.3), 0, 0.5, 0, 0},
		{"is far away", block(t, "b", mgl64.Vec3{5, 2, 30}, mgl64.Vec3{6, 4, 2}, 0), 0, 27, 0, 0},
		{"is sunk in by 0.4", block(t, "b", mgl64.Vec3{5, 2, 2.6}, mgl64.Vec3{6, 4, 2}, 0.3), 0, 0, 24 * 0.4, 0.4},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, pair := range [][2]solid{{plate, c.other}, {c.other, plate}} {
				got := contact(t, pair[0], pair[1])
				assert.InDelta(t, c.area, got.Area, 0.03*c.area+0.01)
				assert.InDelta(t, c.gap, got.Gap, 0.02)
				assert.InDelta(t, c.volume, got.Volume, 0.05)
				assert.InDelta(t, c.depth, got.Depth, 0.01)
			}
		})
	}
}

func TestContactAreaOfACurvedSeat(t *testing.T) {
	// A ball in a hollow of its own size: half of the ball's surface, 2πr².
	ball := field.Ball(mgl64.Vec3{10, 10, 6}, 4)
	seat := block(t, "seat", mgl64.Vec3{0, 0, 0}, mgl64.Vec3{20, 20, 6}, 0)
	hollow := solidOf(t, "hollow", field.Difference(seat.field, ball))
	got := contact(t, solidOf(t, "ball", ball), hollow)
	assert.InEpsilon(t, 2*math.Pi*16, got.Area, 0.02)
	assert.Zero(t, got.Depth)
}

func TestContactReachesAsDeepAsABallDips(t *testing.T) {
	// A ball that dips 1 mm into a plate: cap volume πh²(3r-h)/3.
	plate := block(t, "plate", mgl64.Vec3{0, 0, 0}, mgl64.Vec3{20, 20, 5}, 0)
	ball := solidOf(t, "ball", field.Ball(mgl64.Vec3{10, 10, 8}, 4))
	got := contact(t, ball, plate)
	assert.InDelta(t, 1, got.Depth, 0.02)
	assert.InEpsilon(t, math.Pi*(12-1)/3, got.Volume, 0.01)
	assert.InDelta(t, 10, got.DepthAt[0], 0.3)
	assert.InDelta(t, 10, got.DepthAt[1], 0.3)
}
