package report_test

import (
	"context"
	"fmt"
	"image/color"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report"
	"earframe/units"
)

func ExampleViews() {
	plate := box(mgl64.Vec3{-15, -25, 0}, mgl64.Vec3{15, 25, 3})
	pictures, err := report.Views(context.Background(), []report.Object{
		{Name: "base", Label: "Base frame", Color: color.RGBA{R: 0x56, G: 0xB4, B: 0xE9, A: 255}, Mesh: plate},
	}, report.ViewOptions{CaseID: "demo", Side: units.Left})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range pictures {
		fmt.Println(p.Name, p.Image.Bounds().Size())
	}
	// Output:
	// lateral (1200,1000)
	// anterior (1200,1000)
	// posterior (1200,1000)
	// oblique (1200,1000)
	// exploded (1200,1000)
}

func ExampleHeatMap() {
	grid := report.Grid{Origin: mgl64.Vec2{0, 0}, Spacing: 10, Columns: 3, Rows: 2, Values: []float64{0, 4, 1, 2, 8, 3}}
	picture, err := report.HeatMap(grid, report.MapOptions{
		Name: "pocket-depth", CaseID: "demo", Subtitle: "Left ear, depth of the pocket",
		Quantity: "Depth", Unit: "mm", Side: units.Left,
		Markers: []report.Marker{{At: mgl64.Vec2{10, 10}, Label: "deepest, 8 mm"}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s at %.1f pixels a millimetre\n", picture.Name, picture.PixelsPerMillimetre)
	// Output: pocket-depth at 39.4 pixels a millimetre
}

func ExampleSections() {
	picture, err := report.Sections([]report.Section{{
		Label: "20 mm below the superior end",
		Shapes: []report.Shape{{Label: "Base frame", Color: color.RGBA{R: 0x56, G: 0xB4, B: 0xE9, A: 255},
			Rings: [][]mgl64.Vec2{{{0, 0}, {30, 0}, {30, 3}, {0, 3}}}}},
	}}, report.SectionOptions{Name: "sections", CaseID: "demo", Ground: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s at %.1f pixels a millimetre\n", picture.Name, picture.PixelsPerMillimetre)
	// Output: sections at 28.4 pixels a millimetre
}
