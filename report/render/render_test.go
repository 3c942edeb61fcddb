package render_test

import (
	"image"
	"image/color"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/report/render"
)

// tile is a level rectangle, seen from above only.
func tile(low, high mgl64.Vec2, z float64) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices:  []mgl64.Vec3{low.Vec3(z), {high[0], low[1], z}, high.Vec3(z), {low[0], high[1], z}},
		Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}},
	}
}

func TestANearerTileHidesAFartherOneAtTrueScale(t *testing.T) {
	paper, ink := color.RGBA{R: 255, G: 255, B: 255, A: 255}, color.RGBA{A: 255}
	scene, err := render.NewScene([]meshfile.Object{
		{Name: "far", Mesh: tile(mgl64.Vec2{-10, -5}, mgl64.Vec2{10, 5}, 0)},
		{Name: "near", Mesh: tile(mgl64.Vec2{0, -5}, mgl64.Vec2{10, 5}, 30)}, // too high to take light from the other
	})
	require.NoError(t, err)
	const scale = 4 // pixels per millimetre
	buffer, camera := render.NewFramebuffer(100, 60), render.CameraFrom(render.Lateral)
	shot := render.Shot{
		Scene: scene, Camera: camera, Shifts: make([]mgl64.Vec3, 2), Paper: paper, Ink: ink,
		Colors: []color.RGBA{{R: 255, A: 255}, {B: 255, A: 255}},
	}
	shot.Framing = buffer.Centre(scene, camera, shot.Shifts, scale)
	drawing := image.NewRGBA(image.Rect(0, 0, 100, 60))
	require.NoError(t, buffer.Draw(t.Context(), &shot, drawing, image.Point{}))

	x, y := shot.Framing.Pixel(camera.See(mgl64.Vec3{}))
	assert.Equal(t, [2]float64{50, 30}, [2]float64{x, y}, "the middle is in the middle")
	var red, blue int
	for i := range 100 * 60 {
		switch c := drawing.RGBAAt(i%100, i/100); {
		case c.R > c.B:
			red++
		case c.B > c.R:
			blue++
		}
	}
	// 10 × 10 mm are seen of each; a side touches one pixel more where it begins within one.
	for _, seen := range []int{red, blue} {
		assert.GreaterOrEqual(t, seen, 40*40)
		assert.LessOrEqual(t, seen, 41*41)
	}
	assert.False(t, buffer.Sees(shot.Framing, camera.See(mgl64.Vec3{5, 0, 1})), "behind the near tile")
	assert.True(t, buffer.Sees(shot.Framing, camera.See(mgl64.Vec3{-5, 0, 1})), "before the far one")
}

func TestPathsLeadFromEachObjectToTheOneItMeets(t *testing.T) {
	box := func(z float64) *mesh.Mesh {
		low := tile(mgl64.Vec2{-5, -9}, mgl64.Vec2{5, 9}, z)
		high := tile(mgl64.Vec2{-5, -9}, mgl64.Vec2{5, 9}, z+2)
		for _, f := range low.Triangles {
			high.Triangles = append(high.Triangles, [3]int32{f[0] + 4, f[2] + 4, f[1] + 4})
		}
		high.Vertices = append(high.Vertices, low.Vertices...)
		return high
	}
	scene, err := render.NewScene([]meshfile.Object{{Name: "below", Mesh: box(0)}, {Name: "above", Mesh: box(2)}})
	require.NoError(t, err)
	shifts := []mgl64.Vec3{{}, {0, 0, 20}}
	paths := scene.Paths(shifts)
	require.Len(t, paths, 4, "from the top and the bottom of both")
	for _, p := range paths {
		assert.Equal(t, p.From.Vec2(), p.To.Vec2(), "along the lateral axis")
		assert.InDelta(t, 20, max(p.From[2], p.To[2])-min(p.From[2], p.To[2]), 2.01, "over the gap, and a thickness at most")
	}
	assert.Equal(t, 9.0, scene.Top(1)[1])
}

func TestWhatIsNoSceneIsRefused(t *testing.T) {
	_, err := render.NewScene(nil)
	assert.ErrorContains(t, err, "no objects")
}
