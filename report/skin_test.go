package report_test

import (
	"context"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/report"
	"earframe/units"
)

// The healed skin is neutral grey in all its pictures; where the framework stands
// beside it, its units keep their colours, to the left of the skin and clear of it.
func TestSkinViewsShowTheHealedSkinInGrey(t *testing.T) {
	laid := laidDemo(t)
	skin, err := laid.SkinModel(context.Background())
	require.NoError(t, err)
	options := report.ViewOptions{CaseID: "case 7", Side: units.Left}
	alone, err := report.SkinViews(context.Background(), skin, nil, options)
	require.NoError(t, err)
	require.Len(t, alone, 2)
	both, err := report.SkinViews(context.Background(), skin, stack(), options)
	require.NoError(t, err)
	require.Len(t, both, 3)
	for i, name := range []string{"skin-lateral", "skin-oblique", "framework-and-skin"} {
		assert.Equal(t, name, both[i].Name)
		_, share := inked(both[i])
		assert.Greater(t, share, 0.25, name)
	}
	for i := range both {
		assert.Equal(t, both[0].PixelsPerMillimetre, both[i].PixelsPerMillimetre, "one scale")
	}
	for i := range alone {
		assert.Equal(t, alone[0].PixelsPerMillimetre, alone[i].PixelsPerMillimetre)
		assert.Equal(t, 0, coloured(both[i]), "neutral")
		assert.Equal(t, 0, coloured(alone[i]), "neutral")
	}
	assert.Greater(t, coloured(both[2]), 10_000)
	for _, object := range stack() {
		count, x, _ := where(both[2], object.Color)
		assert.Greater(t, count, 100, object.Name)
		assert.Less(t, x, float64(drawing.Min.X+drawing.Dx()/2), "left of the skin")
	}
	_, err = report.SkinViews(context.Background(), skin, nil, report.ViewOptions{Side: "middle"})
	require.ErrorContains(t, err, "middle")
}

// coloured counts pixels of the drawing that are clearly of a hue.
func coloured(p report.Picture) int {
	count := 0
	for v := drawing.Min.Y; v < drawing.Max.Y; v++ {
		for u := drawing.Min.X; u < drawing.Max.X; u++ {
			c := color.RGBAModel.Convert(p.Image.At(u, v)).(color.RGBA)
			if max(c.R, c.G, c.B)-min(c.R, c.G, c.B) > 24 {
				count++
			}
		}
	}
	return count
}
