package report_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math"
	"runtime"
	"sync"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/mesh"
	"earframe/report"
	"earframe/units"
)

func views(t *testing.T, objects []report.Object, side units.Side) map[string]report.Picture {
	t.Helper()
	pictures, err := report.Views(context.Background(), objects, report.ViewOptions{CaseID: "case 7", Side: side})
	require.NoError(t, err)
	named := map[string]report.Picture{}
	for _, p := range pictures {
		named[p.Name] = p
	}
	require.Len(t, named, 5)
	return named
}

// viewOf draws one view only.
func viewOf(t *testing.T, objects []report.Object, name string) report.Picture {
	t.Helper()
	pictures, err := report.Views(context.Background(), objects, report.ViewOptions{Side: units.Left, Only: []string{name}})
	require.NoError(t, err)
	require.Len(t, pictures, 1)
	require.Equal(t, name, pictures[0].Name)
	return pictures[0]
}

// drawnStack draws the stack once for all tests that only look at it.
var drawnStack = sync.OnceValues(func() ([]report.Picture, error) {
	return report.Views(context.Background(), stack(), report.ViewOptions{CaseID: "case 7", Side: units.Left})
})

func stackAtLeft(t *testing.T) map[string]report.Picture {
	t.Helper()
	pictures, err := drawnStack()
	require.NoError(t, err)
	named := map[string]report.Picture{}
	for _, p := range pictures {
		named[p.Name] = p
	}
	return named
}

// drawing is the part of the page where the objects are, clear of title,
// legend and caution.
var drawing = image.Rect(24, 118, 920, 934)

// hue returns a colour's hue in degrees and its chroma, 0 to 255.
func hue(c color.Color) (degrees, chroma float64) {
	r16, g16, b16, _ := c.RGBA()
	r, g, b := float64(r16>>8), float64(g16>>8), float64(b16>>8)
	chroma = max(r, g, b) - min(r, g, b)
	switch {
	case chroma == 0:
		return 0, 0
	case r >= g && r >= b:
		degrees = 60 * (g - b) / chroma
	case g >= b:
		degrees = 60 * (2 + (b-r)/chroma)
	default:
		degrees = 60 * (4 + (r-g)/chroma)
	}
	return math.Mod(degrees+360, 360), chroma
}

// where returns how many pixels of the drawing have the hue of want, and their
// mean place.
func where(p report.Picture, want color.RGBA) (count int, x, y float64) {
	wanted, _ := hue(want)
	for v := drawing.Min.Y; v < drawing.Max.Y; v++ {
		for u := drawing.Min.X; u < drawing.Max.X; u++ {
			got, chroma := hue(p.Image.At(u, v))
			if off := math.Abs(math.Remainder(got-wanted, 360)); chroma > 40 && off < 8 {
				count, x, y = count+1, x+float64(u), y+float64(v)
			}
		}
	}
	return count, x / float64(count), y / float64(count)
}

// inked returns the box of the pixels in the drawing that are not paper, and
// their share of it.
func inked(p report.Picture) (bounds image.Rectangle, share float64) {
	background := p.Image.At(0, 0)
	count := 0
	for v := drawing.Min.Y; v < drawing.Max.Y; v++ {
		for u := drawing.Min.X; u < drawing.Max.X; u++ {
			if p.Image.At(u, v) != background {
				bounds = bounds.Union(image.Rect(u, v, u+1, v+1))
				count++
			}
		}
	}
	return bounds, float64(count) / float64(drawing.Dx()*drawing.Dy())
}

func TestEveryViewShowsEveryUnitInItsColour(t *testing.T) {
	for name, p := range stackAtLeft(t) {
		bounds, share := inked(p)
		assert.Greater(t, share, 0.05, "%s: blank", name)
		assert.Less(t, share, 0.7, "%s: overfull", name)
		assert.True(t, bounds.In(drawing.Inset(8)), "%s: cut off at the edge: %v", name, bounds)
		for _, object := range stack() {
			count, _, _ := where(p, object.Color)
			assert.Greater(t, count, 300, "%s: %s is not seen", name, object.Name)
		}
	}
}

func TestPicturesAreSmallAndReadable(t *testing.T) {
	for name, p := range stackAtLeft(t) {
		assert.Less(t, len(p.PNG), 700_000, name)
		decoded, err := png.Decode(bytes.NewReader(p.PNG))
		require.NoError(t, err, name)
		assert.Equal(t, image.Rect(0, 0, 1200, 1000), decoded.Bounds(), name)
		assert.Equal(t, p.Image.At(500, 500), color.RGBAModel.Convert(decoded.At(500, 500)), name)
	}
}

func TestAssembledViewsAreTrueToScaleAtOneScale(t *testing.T) {
	plate := []report.Object{{Name: "plate", Color: skyBlue, Mesh: box(mgl64.Vec3{-15, -25, 0}, mgl64.Vec3{15, 25, 4})}}
	pictures := views(t, plate, units.Left)
	sizes := map[string][2]float64{"lateral": {30, 50}, "anterior": {4, 50}, "posterior": {4, 50}}
	for name, size := range sizes {
		p := pictures[name]
		bounds, _ := inked(p)
		assert.InDelta(t, size[0]*p.PixelsPerMillimetre, bounds.Dx(), 1.01, "%s: breadth", name)
		assert.InDelta(t, size[1]*p.PixelsPerMillimetre, bounds.Dy(), 1.01, "%s: height", name)
		assert.Equal(t, pictures["oblique"].PixelsPerMillimetre, p.PixelsPerMillimetre, name)
	}
}

func TestScaleBarIsTenMillimetresLong(t *testing.T) {
	for name, p := range stackAtLeft(t) {
		// The bar's last row of ink, in the right column above the caution line.
		longest := 0
		for y := 890; y < 930; y++ {
			run := 0
			for x := 930; x < 1170; x++ {
				if r, _, _, _ := p.Image.At(x, y).RGBA(); r>>8 < 60 {
					run++
					longest = max(longest, run)
				} else {
					run = 0
				}
			}
		}
		assert.InDelta(t, 10*p.PixelsPerMillimetre, longest, 1, name)
	}
}

func TestAnteriorIsLeftAtALeftEarAndRightAtARightOne(t *testing.T) {
	left := stackAtLeft(t)
	other := stack()
	for i := range other {
		other[i].Mesh = mirrored(other[i].Mesh)
	}
	right := views(t, other, units.Right)

	const middle = 472 // of the drawing's breadth
	_, x, y := where(left["lateral"], bluishGreen)
	assert.Less(t, x, middle-50.0, "the tragus is anterior, left on the page")
	assert.Greater(t, y, 526+50.0, "the tragus is below the middle: superior is up")
	_, x, _ = where(right["lateral"], bluishGreen)
	assert.Greater(t, x, middle+50.0)

	for name := range left {
		if name == "lateral" {
			continue // symmetric about the page's middle in the same way, checked above
		}
		for _, c := range []color.RGBA{skyBlue, orange} {
			countLeft, xLeft, yLeft := where(left[name], c)
			countRight, xRight, yRight := where(right[name], c)
			assert.InEpsilon(t, countLeft, countRight, 0.1, "%s: the same unit seen in a mirror", name)
			assert.InDelta(t, 2*middle-xLeft, xRight, 12, "%s: mirrored across", name)
			assert.InDelta(t, yLeft, yRight, 12, "%s: at one height", name)
		}
	}
}

func TestLateralIsOutwardSeenFromInFrontAndFromBehind(t *testing.T) {
	left := stackAtLeft(t)
	_, plate, _ := where(left["anterior"], skyBlue)
	_, ring, _ := where(left["anterior"], orange)
	assert.Greater(t, ring, plate, "facing a person, the left ear stands out to the right")
	_, plate, _ = where(left["posterior"], skyBlue)
	_, ring, _ = where(left["posterior"], orange)
	assert.Less(t, ring, plate, "from behind, to the left")
}

func TestNearerSurfacesHideFartherOnes(t *testing.T) {
	objects := []report.Object{
		{Name: "under", Color: orange, Mesh: box(mgl64.Vec3{-10, -10, 0}, mgl64.Vec3{10, 10, 2})},
		{Name: "over", Color: skyBlue, Mesh: box(mgl64.Vec3{-12, -12, 3}, mgl64.Vec3{12, 12, 5})},
	}
	count, _, _ := where(viewOf(t, objects, "lateral"), orange)
	assert.Zero(t, count)
}

func TestAnObjectStandsAtItsOffset(t *testing.T) {
	here := []report.Object{
		{Color: skyBlue, Mesh: box(mgl64.Vec3{-20, -20, 0}, mgl64.Vec3{20, 20, 2})},
		{Color: orange, Mesh: box(mgl64.Vec3{5, 8, 2}, mgl64.Vec3{11, 12, 5})},
	}
	there := []report.Object{here[0],
		{Color: orange, Mesh: box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{6, 4, 3}), Offset: mgl64.Vec3{5, 8, 2}},
	}
	assert.True(t, bytes.Equal(viewOf(t, here, "oblique").PNG, viewOf(t, there, "oblique").PNG))
}

func TestUnitsMovedApartDoNotCoverEachOther(t *testing.T) {
	// Three equal plates: each must show as much of itself as the others.
	var objects []report.Object
	for i, c := range []color.RGBA{skyBlue, orange, bluishGreen} {
		z := float64(3 * i)
		objects = append(objects, report.Object{Name: "plate", Color: c, Mesh: box(mgl64.Vec3{-15, -25, z}, mgl64.Vec3{15, 25, z + 3})})
	}
	p := viewOf(t, objects, "exploded")
	first, x0, _ := where(p, skyBlue)
	second, x1, _ := where(p, orange)
	third, x2, _ := where(p, bluishGreen)
	assert.InEpsilon(t, first, second, 0.06)
	assert.InEpsilon(t, first, third, 0.06)
	assert.Less(t, x0, x1)
	assert.Less(t, x1, x2)
}

// A ball is smooth under 30 degrees a facet: no step of brightness inside it; a
// box shows its edges as steps.
func TestSmoothSurfacesAreShadedSmoothAndEdgesSharp(t *testing.T) {
	ring := []report.Object{{Name: "ring", Color: orange, Mesh: torus(mgl64.Vec3{}, 20, 8, 48, 24)}}
	p := viewOf(t, ring, "lateral")
	// Along the flesh, from 15 to 25 mm right of the middle.
	steepest := 0
	for x := 472 + int(15*p.PixelsPerMillimetre); x < 472+int(25*p.PixelsPerMillimetre); x++ {
		a, _, _, _ := p.Image.At(x, 526).RGBA()
		b, _, _, _ := p.Image.At(x+1, 526).RGBA()
		steepest = max(steepest, int(math.Abs(float64(a>>8)-float64(b>>8))))
	}
	assert.LessOrEqual(t, steepest, 6, "15-degree facets must not show")

	block := []report.Object{{Name: "block", Color: orange, Mesh: box(mgl64.Vec3{-10, -10, -10}, mgl64.Vec3{10, 10, 10})}}
	p = viewOf(t, block, "oblique")
	steepest = 0
	for x := 250; x < 700; x++ {
		a, ca := hue(p.Image.At(x, 526))
		b, cb := hue(p.Image.At(x+1, 526))
		if ca > 40 && cb > 40 && math.Abs(a-b) < 20 {
			ra, _, _, _ := p.Image.At(x, 526).RGBA()
			rb, _, _, _ := p.Image.At(x+1, 526).RGBA()
			steepest = max(steepest, int(math.Abs(float64(ra>>8)-float64(rb>>8))))
		}
	}
	assert.Greater(t, steepest, 15, "a right-angled edge must show")
}

func TestGroovesAreDarkerThanOpenSurfaces(t *testing.T) {
	// Two walls with a slot of 2 mm between, on one floor, all one colour.
	objects := []report.Object{
		{Name: "floor", Color: orange, Mesh: box(mgl64.Vec3{-20, -20, 0}, mgl64.Vec3{20, 20, 2})},
		{Name: "wall", Color: skyBlue, Mesh: box(mgl64.Vec3{1, -20, 2}, mgl64.Vec3{8, 20, 6})},
		{Name: "wall", Color: skyBlue, Mesh: box(mgl64.Vec3{-8, -20, 2}, mgl64.Vec3{-1, 20, 6})},
	}
	p := viewOf(t, objects, "lateral")
	red := func(x float64) float64 {
		r, _, _, _ := p.Image.At(472+int(x*p.PixelsPerMillimetre), 526).RGBA()
		return float64(r >> 8)
	}
	assert.Less(t, red(0), 0.75*red(-17), "the floor of the slot")
}

func TestTheSameBytesOnAnyNumberOfCores(t *testing.T) {
	first := stackAtLeft(t)
	for _, cores := range []int{1, 3} {
		previous := runtime.GOMAXPROCS(cores)
		again := views(t, stack(), units.Left)
		runtime.GOMAXPROCS(previous)
		for name, p := range first {
			assert.True(t, bytes.Equal(p.PNG, again[name].PNG), "%s on %d cores", name, cores)
		}
	}
}

func TestAViewDrawnAloneIsTheSameAsAmongAll(t *testing.T) {
	pictures, err := report.Views(context.Background(), stack(), report.ViewOptions{
		CaseID: "case 7", Side: units.Left, Only: []string{"exploded", "anterior"}})
	require.NoError(t, err)
	require.Len(t, pictures, 2)
	for _, p := range pictures {
		assert.True(t, bytes.Equal(stackAtLeft(t)[p.Name].PNG, p.PNG), p.Name)
	}
	_, err = report.Views(context.Background(), stack(), report.ViewOptions{Side: units.Left, Only: []string{"top"}})
	require.ErrorContains(t, err, `view "top" is not known; known are lateral, anterior, posterior, oblique, exploded`)
}

func TestWhatCannotBeDrawnIsRefused(t *testing.T) {
	sound := box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{1, 1, 1})
	with := func(change func(*mesh.Mesh)) *mesh.Mesh {
		m := box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{1, 1, 1})
		change(m)
		return m
	}
	cases := []struct {
		name    string
		objects []report.Object
		side    units.Side
		says    string
	}{
		{"nothing", nil, units.Left, "no objects"},
		{"no mesh", []report.Object{{Name: "helix"}}, units.Left, "object 1 (helix): the mesh is empty"},
		{"no " +
			"triangles", []report.Object{{Name: "a", Mesh: sound}, {Name: "b", Mesh: &mesh.Mesh{Vertices: sound.Vertices}}}, units.Left, "object 2 (b)"},
		{"NaN", []report.Object{{Mesh: with(func(m *mesh.Mesh) { m.Vertices[3][1] = math.NaN() })}}, units.Left, "vertex 3"},
		{"infinite", []report.Object{{Mesh: with(func(m *mesh.Mesh) { m.Vertices[0][2] = math.Inf(1) })}}, units.Left, "vertex 0"},
		{"absurdly " +
			"large", []report.Object{{Mesh: with(func(m *mesh.Mesh) { m.Vertices[5][0] = 1e308 })}}, units.Left, "vertex 5"},
		{"offset NaN", []report.Object{{Mesh: sound, Offset: mgl64.Vec3{0, math.NaN(), 0}}}, units.Left, "vertex 0"},
		{"index out of " +
			"range", []report.Object{{Mesh: with(func(m *mesh.Mesh) { m.Triangles[2][1] = 99 })}}, units.Left, "triangle 2 " +
			"names vertex 99"},
		{"a single " +
			"point", []report.Object{{Mesh: &mesh.Mesh{Vertices: make([]mgl64.Vec3, 3), Triangles: [][3]int32{{0, 1, 2}}}}}, units.Left, "0 mm across"},
		{"unknown side", []report.Object{{Mesh: sound}}, "middle", `"middle"`},
		{"too many", make([]report.Object, 1000), units.Left, "1000 objects"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			pictures, err := report.Views(context.Background(), c.objects, report.ViewOptions{Side: c.side})
			require.ErrorContains(t, err, c.says)
			assert.Nil(t, pictures)
		})
	}
}

func TestOddTextsAndThinThingsAreDrawnAllTheSame(t *testing.T) {
	object := report.Object{
		Label: "A label that is very much longer than the column it stands in ever can hold\n\x00\t",
		Color: orange, Mesh: box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{80, 0.01, 0.01}),
	}
	var many []report.Object
	for range 40 {
		many = append(many, object)
	}
	pictures, err := report.Views(context.Background(), many, report.ViewOptions{
		CaseID: string(bytes.Repeat([]byte("Ωshaped ear №7 \xff"), 500)), Side: units.Right})
	require.NoError(t, err)
	assert.Len(t, pictures, 5)
}

func TestAnySizeAtAnyPlaceFillsItsPicture(t *testing.T) {
	for _, size := range []float64{0.002, 0.5, 300, 40_000} {
		for _, place := range []float64{0, -50_000} {
			if size < 0.1 && place != 0 {
				continue // finer than depths are told apart so far out
			}
			lo := mgl64.Vec3{place, place, place}
			p := viewOf(t, []report.Object{{Color: orange, Mesh: box(lo, lo.Add(mgl64.Vec3{size, size, size}))}}, "lateral")
			bounds, _ := inked(p)
			assert.InDelta(t, size*p.PixelsPerMillimetre, bounds.Dx(), 1.5, "a cube of %g mm at %g mm", size, place)
		}
	}
}

func TestCancellingStopsTheDrawing(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := report.Views(ctx, stack(), report.ViewOptions{Side: units.Left})
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkViews(b *testing.B) {
	objects := []report.Object{
		{Name: "base", Label: "Base frame", Color: skyBlue, Mesh: box(mgl64.Vec3{-17, -30, 0}, mgl64.Vec3{17, 30, 3})},
		{Name: "helix", Label: "Helix with crus", Color: orange, Mesh: torus(mgl64.Vec3{0, 0, 5}, 14, 3, 250, 120)},
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := report.Views(context.Background(), objects, report.ViewOptions{CaseID: "bench", Side: units.Left}); err != nil {
			b.Fatal(err)
		}
	}
}
