package report_test

import (
	"context"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
	"earframe/pocket"
	"earframe/report"
	"earframe/units"
)

// laidDemo lays the skin over the demo, coarsely.
func laidDemo(t testing.TB) *pocket.Result {
	t.Helper()
	laid, err := pocket.Check(context.Background(), demotest.Plan(t), pocket.Options{Step: 0.8, NoAdvice: true})
	require.NoError(t, err)
	return laid
}

// countNear counts pixels within a few steps of a colour.
func countNear(p report.Picture, c color.RGBA) int {
	count := 0
	bounds := p.Image.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			got := p.Image.RGBAAt(x, y)
			far := 0.0
			for _, pair := range [][2]uint8{{got.R, c.R}, {got.G, c.G}, {got.B, c.B}} {
				far = max(far, math.Abs(float64(pair[0])-float64(pair[1])))
			}
			if far <= 6 {
				count++
			}
		}
	}
	return count
}

func TestPocketPicturesShowWhatTheyAreNamedFor(t *testing.T) {
	laid := laidDemo(t)
	pictures, err := report.PocketPictures(context.Background(), laid)
	require.NoError(t, err)
	require.Len(t, pictures, 4)
	byName := map[string]report.Picture{}
	for _, p := range pictures {
		byName[p.Name] = p
		assert.Greater(t, p.PixelsPerMillimetre, 5.0, p.Name)
		assert.LessOrEqual(t, len(p.PNG), 700_000, p.Name)
	}
	// The depth map's highest colour covers the rim, its lowest the pocket's edge.
	ramp := report.Viridis()
	square := byName["pocket-depth"].PixelsPerMillimetre * byName["pocket-depth"].PixelsPerMillimetre
	assert.Greater(t, float64(countNear(byName["pocket-depth"], ramp.At(1))), 50*square)
	assert.Greater(t, float64(countNear(byName["pocket-depth"], ramp.At(0))), 50*square)
	// Each band of stretch has its own colour, and covers about its share.
	stretch := byName["pocket-stretch"]
	square = stretch.PixelsPerMillimetre * stretch.PixelsPerMillimetre
	for n, c := range []color.RGBA{{R: 226, G: 236, B: 240}, {R: 86, G: 180, B: 233}, {R: 230, G: 159}, {R: 213, G: 94}} {
		band := laid.Measures.Stretch.Bands[n]
		want := band.Share * laid.Measures.Pocket.Area
		assert.InDelta(t, want, float64(countNear(stretch, c))/square, 0.3*want+80, band.Name)
	}
	assert.Greater(t, countNear(byName["pocket-gap"], ramp.At(0.5)), 300)
	// A section shows skin and four of the units in their colours.
	section := byName["pocket-section"]
	for _, part := range []color.RGBA{{R: 173, G: 173, B: 173}, {R: 123, G: 197, B: 237}, {R: 236, G: 180, B: 56}, {R: 56, G: 179, B: 147}} {
		assert.Greater(t, countNear(section, part), 1000, "%v", part)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = report.PocketPictures(ctx, laid)
	require.ErrorIs(t, err, context.Canceled)
	again, err := report.PocketPictures(context.Background(), laid)
	require.NoError(t, err)
	for i := range again {
		assert.Equal(t, pictures[i].PNG, again[i].PNG, "the same result gives the same bytes")
	}
}

func TestVariationIsDrawnWhereThereIsAResult(t *testing.T) {
	laid := laidDemo(t)
	v := &pocket.Variation{Case: "demo", Path: "skin.lateral", Unit: "mm", Side: units.Left}
	for _, value := range []float64{1, 2, 3} {
		row := laid.Row(value)
		row.Peak += value
		v.Rows = append(v.Rows, row)
	}
	v.Rows = append(v.Rows, pocket.VariationRow{Value: 4, Problem: "does not fit"})
	p, err := report.PocketVariation(v)
	require.NoError(t, err)
	assert.Equal(t, "pocket-vary", p.Name)
	for _, c := range []color.RGBA{{R: 0, G: 158, B: 115}, {R: 204, G: 121, B: 167}, {R: 150, G: 150, B: 150}} {
		assert.Greater(t, countNear(p, c), 150, "a curve in %v", c)
	}
	_, err = report.PocketVariation(&pocket.Variation{Path: "skin.lateral", Rows: v.Rows[3:]})
	require.ErrorContains(t, err, "no value of skin.lateral")
}

// Where bolsters are laid, sections show them in a colour of their own.
func TestSectionsShowBolsters(t *testing.T) {
	for bolsters, shown := range map[string]bool{"": false, "{where: rim}": true} {
		plan := demotest.Plan(t, "side: left\n", "side: left\npocket: {bolsters: ["+bolsters+"]}\n")
		laid, err := pocket.Check(context.Background(), plan, pocket.Options{Step: 0.8, NoAdvice: true})
		require.NoError(t, err)
		pictures, err := report.PocketPictures(context.Background(), laid)
		require.NoError(t, err)
		for _, p := range pictures {
			if p.Name == "pocket-section" {
				assert.Equal(t, shown, countNear(p, color.RGBA{R: 238, G: 232, B: 213}) > 1000)
			}
		}
	}
}
