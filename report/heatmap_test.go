package report_test

import (
	"bytes"
	"image/color"
	"math"
	"runtime"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/report"
	"earframe/units"
)

// ramped is a grid over −20…20 × −30…30 mm whose value is a function of place.
func ramped(value func(x, y float64) float64) report.Grid {
	g := report.Grid{Origin: mgl64.Vec2{-20, -30}, Spacing: 0.5, Columns: 81, Rows: 121}
	for j := range g.Rows {
		for i := range g.Columns {
			g.Values = append(g.Values, value(-20+0.5*float64(i), -30+0.5*float64(j)))
		}
	}
	return g
}

// onMap returns the pixel of a place on a map whose extent is centred on the
// frame of reference's origin.
func onMap(p report.Picture, x, y float64) color.RGBA {
	return p.Image.RGBAAt(int((92+904)/2+x*p.PixelsPerMillimetre), int((126+888)/2-y*p.PixelsPerMillimetre))
}

func TestMapShowsEachValueInItsColourAtItsPlace(t *testing.T) {
	g := ramped(func(x, y float64) float64 { return 0.1*x + 0.05*y })
	p, err := report.HeatMap(g, report.MapOptions{Name: "depth", Low: -4, High: 4, Step: 100})
	require.NoError(t, err)
	ramp := report.Viridis()
	for _, at := range [][2]float64{{3, 1}, {-15, 20}, {15, 20}, {-15, -25}, {12, -7}} {
		want := ramp.At((0.1*at[0] + 0.05*at[1] + 4) / 8)
		got := onMap(p, at[0], at[1])
		for _, pair := range [][2]uint8{{want.R, got.R}, {want.G, got.G}, {want.B, got.B}} {
			assert.InDelta(t, pair[0], pair[1], 4, "at %v", at)
		}
	}
}

func TestMapLeavesPlacesWithoutValueBlank(t *testing.T) {
	g := ramped(func(x, y float64) float64 {
		if math.Hypot(x, y) > 15 {
			return math.NaN()
		}
		return 3
	})
	p, err := report.HeatMap(g, report.MapOptions{})
	require.NoError(t, err)
	paper := p.Image.RGBAAt(0, 0)
	assert.Equal(t, paper, onMap(p, 0, 20))
	assert.Equal(t, paper, onMap(p, 18, 0))
	assert.NotEqual(t, paper, onMap(p, 0, 0))
	assert.NotEqual(t, paper, onMap(p, 14, 0))
}

func TestMapIsColouredWithinItsLimitOnly(t *testing.T) {
	limit := []mgl64.Vec2{{-10, -10}, {10, -10}, {10, 10}, {-10, 10}}
	hole := []mgl64.Vec2{{-3, -3}, {3, -3}, {3, 3}, {-3, 3}} // wound alike: even-odd decides
	p, err := report.HeatMap(ramped(func(x, _ float64) float64 { return x }),
		report.MapOptions{Within: [][]mgl64.Vec2{limit, hole}})
	require.NoError(t, err)
	paper := p.Image.RGBAAt(0, 0)
	assert.NotEqual(t, paper, onMap(p, 6, 6))
	assert.Equal(t, paper, onMap(p, 12, 0))
	assert.Equal(t, paper, onMap(p, 0, 0), "a hole")
}

func TestLinesAndMarkersStandAtTheirPlaces(t *testing.T) {
	red := color.RGBA{R: 255, A: 255}
	p, err := report.HeatMap(ramped(func(x, y float64) float64 { return 1 }), report.MapOptions{
		Lines:   []report.Line{{Points: []mgl64.Vec2{{-15, 5}, {15, 5}}, Color: red, Label: "a line"}},
		Markers: []report.Marker{{At: mgl64.Vec2{-10, -20}, Label: "deepest"}},
		Side:    units.Right,
	})
	require.NoError(t, err)
	assert.Equal(t, red, onMap(p, -8, 5))
	assert.NotEqual(t, red, onMap(p, -8, 6))
	off := onMap(p, -10+5/p.PixelsPerMillimetre, -20) // between the marker's rims
	assert.Greater(t, int(off.R), int(off.B)+100, "the marker is vermilion")
}

func TestMapIsTrueToScale(t *testing.T) {
	// A disc of 20 mm on a blank ground.
	g := ramped(func(x, y float64) float64 { return 1 })
	var ring []mgl64.Vec2
	for i := range 200 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 200)
		ring = append(ring, mgl64.Vec2{10 * cos, 10 * sin})
	}
	p, err := report.HeatMap(g, report.MapOptions{Within: [][]mgl64.Vec2{ring}})
	require.NoError(t, err)
	area := 0.0
	for y := 140; y < 880; y++ {
		for x := 100; x < 900; x++ {
			if c := p.Image.RGBAAt(x, y); c.R < 150 {
				area++
			}
		}
	}
	area /= p.PixelsPerMillimetre * p.PixelsPerMillimetre
	assert.InEpsilon(t, math.Pi*100, area, 0.01, "area of the disc in mm²")
}

func TestMapsThatMeanNothingAreRefused(t *testing.T) {
	good := func() report.Grid { return ramped(func(x, _ float64) float64 { return x }) }
	cases := []struct {
		name   string
		change func(*report.Grid, *report.MapOptions)
		says   string
	}{
		{"no value", func(g *report.Grid, _ *report.MapOptions) {
			*g = ramped(func(_, _ float64) float64 { return math.NaN() })
		}, "no value"},
		{"infinite value", func(g *report.Grid, _ *report.MapOptions) { g.Values[82] = math.Inf(-1) }, "value 82 (column " +
			"1, row 1)"},
		{"too few values", func(g *report.Grid, _ *report.MapOptions) { g.Values = g.Values[1:] }, "values"},
		{"no columns", func(g *report.Grid, _ *report.MapOptions) { *g = report.Grid{Spacing: 1} }, "at least 2"},
		{"huge size", func(g *report.Grid, _ *report.MapOptions) { g.Columns, g.Rows = math.MaxInt, math.MaxInt }, "values"},
		{"no spacing", func(g *report.Grid, _ *report.MapOptions) { g.Spacing = 0 }, "spacing"},
		{"origin NaN", func(g *report.Grid, _ *report.MapOptions) { g.Origin[0] = math.NaN() }, "the grid"},
		{"range turned round", func(_ *report.Grid, o *report.MapOptions) { o.Low, o.High = 5, 1 }, "range"},
		{"range NaN", func(_ *report.Grid, o *report.MapOptions) { o.High = math.NaN() }, "range"},
		{"negative step", func(_ *report.Grid, o *report.MapOptions) { o.Step = -1 }, "step"},
		{"line far off", func(_ *report.Grid, o *report.MapOptions) {
			o.Lines = []report.Line{{Label: "rim", Points: []mgl64.Vec2{{0, 0}, {1e300, 0}}}}
		}, "line 1 (rim): point 1"},
		{"marker NaN", func(_ *report.Grid, o *report.MapOptions) {
			o.Markers = []report.Marker{{At: mgl64.Vec2{math.NaN(), 0}}}
		}, "marker 1"},
		{"side", func(_ *report.Grid, o *report.MapOptions) { o.Side = "both" }, `"both"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			g, o := good(), report.MapOptions{Name: "depth"}
			c.change(&g, &o)
			_, err := report.HeatMap(g, o)
			require.ErrorContains(t, err, c.says)
			assert.ErrorContains(t, err, "map depth")
		})
	}
}

func TestMapRepeatsByteForByte(t *testing.T) {
	g := ramped(math.Hypot)
	first, err := report.HeatMap(g, report.MapOptions{Quantity: "Depth", Unit: "mm"})
	require.NoError(t, err)
	previous := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(previous)
	again, err := report.HeatMap(g, report.MapOptions{Quantity: "Depth", Unit: "mm"})
	require.NoError(t, err)
	assert.True(t, bytes.Equal(first.PNG, again.PNG))
	assert.Less(t, len(first.PNG), 700_000)
}

// lightness is CIE 1976 L*, 0 to 100 (ISO/CIE 11664-4), of an sRGB colour
// (IEC 61966-2-1).
func lightness(c color.RGBA) float64 {
	decode := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	y := 0.2126*decode(c.R) + 0.7152*decode(c.G) + 0.0722*decode(c.B)
	if y > 216.0/24389 {
		return 116*math.Cbrt(y) - 16
	}
	return y * 24389 / 27
}

func TestRampGrowsLighterEvenly(t *testing.T) {
	ramp := report.Viridis()
	// The ends as published with the ramp (mpl-colormaps): #440154 and #fde725.
	assert.Equal(t, color.RGBA{R: 0x44, G: 0x01, B: 0x54, A: 255}, ramp.At(0))
	assert.Equal(t, color.RGBA{R: 0xfd, G: 0xe7, B: 0x25, A: 255}, ramp.At(1))
	first, last := lightness(ramp.At(0)), lightness(ramp.At(1))
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		assert.InDelta(t, first+share*(last-first), lightness(ramp.At(share)), 2.5)
	})
	assert.Equal(t, ramp.At(0), ramp.At(-3))
	assert.Equal(t, ramp.At(1), ramp.At(math.Inf(1)))
	assert.Equal(t, ramp.At(0), ramp.At(math.NaN()))
}
