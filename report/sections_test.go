package report_test

import (
	"image/color"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/report"
)

func rectangle(x0, y0, x1, y1 float64) []mgl64.Vec2 {
	return []mgl64.Vec2{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func TestSectionsAreTrueToScale(t *testing.T) {
	// A bar of 30 × 6 mm with a hole of 10 × 2: by hue it must cover 160 mm²,
	// but for its drawn outline.
	one := report.Section{Label: "a bar", Shapes: []report.Shape{
		{Label: "Bar", Color: orange, Rings: [][]mgl64.Vec2{rectangle(-15, 0, 15, 6), rectangle(-5, 2, 5, 4)}}}}
	for _, count := range []int{1, 2, 5, 12} {
		var sections []report.Section
		for range count {
			sections = append(sections, one)
		}
		p, err := report.Sections(sections, report.SectionOptions{Name: "cuts", Ground: true})
		require.NoError(t, err)
		pixels, _, _ := where(p, orange)
		area := float64(pixels) / (p.PixelsPerMillimetre * p.PixelsPerMillimetre)
		outline := 1.8 / p.PixelsPerMillimetre * (72 + 24) // half its width in, half out
		assert.InDelta(t, 160*float64(count), area, outline*float64(count), "%d sections", count)
		assert.Less(t, len(p.PNG), 700_000)
	}
}

func TestSectionsShowEveryShapeAndLine(t *testing.T) {
	red := color.RGBA{R: 255, A: 255}
	p, err := report.Sections([]report.Section{{
		Shapes: []report.Shape{
			{Label: "Base", Color: skyBlue, Rings: [][]mgl64.Vec2{rectangle(-15, 0, 15, 3)}},
			{Label: "Antihelix", Color: bluishGreen, Rings: [][]mgl64.Vec2{rectangle(-3, 3, 3, 6)}},
		},
		Lines: []report.Line{{Label: "Skin", Color: red, Points: []mgl64.Vec2{{-16, 0}, {0, 9}, {16, 0}}}},
	}}, report.SectionOptions{})
	require.NoError(t, err)
	for _, c := range []color.RGBA{skyBlue, bluishGreen, red} {
		count, _, _ := where(p, c)
		assert.Greater(t, count, 500, "%v", c)
	}
	_, _, base := where(p, skyBlue)
	_, _, upper := where(p, bluishGreen)
	assert.Less(t, upper, base, "the second coordinate points up")
}

func TestSectionsThatCannotBeDrawnAreRefused(t *testing.T) {
	square := report.Shape{Label: "Bar", Color: orange, Rings: [][]mgl64.Vec2{rectangle(0, 0, 1, 1)}}
	cases := []struct {
		name     string
		sections []report.Section
		says     string
	}{
		{"none", nil, "no sections"},
		{"empty", []report.Section{{Shapes: []report.Shape{square}}, {Label: "second"}}, "section 2 (second): there is " +
			"nothing in it"},
		{"NaN", []report.Section{{Shapes: []report.Shape{{Label: "Bar", Rings: [][]mgl64.Vec2{{{0, 0}, {math.NaN(), 1}, {1, 1}}}}}}}, "Bar: point 1"},
		{"far off", []report.Section{{Lines: []report.Line{{Label: "Skin", Points: []mgl64.Vec2{{0, -1e9}}}}}}, "Skin: " +
			"point 0"},
		{"too many", make500(square), "do not fit"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := report.Sections(c.sections, report.SectionOptions{})
			require.ErrorContains(t, err, c.says)
		})
	}
}

func make500(shape report.Shape) []report.Section {
	var sections []report.Section
	for range 500 {
		sections = append(sections, report.Section{Shapes: []report.Shape{shape}})
	}
	return sections
}
