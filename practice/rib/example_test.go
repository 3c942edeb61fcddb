package rib_test

import (
	"fmt"

	"earframe/practice/rib"
	"earframe/units"
)

// An 8th rib cartilage was measured; the others are taken as published of
// children.
func ExampleBlanks() {
	plan := &units.Plan{Practice: units.Practice{Cartilage: units.Cartilage{
		Age:      units.ChildAge,
		Measured: []units.RibMeasure{{Rib: 8, Length: 82, Height: 11}},
	}}}
	blanks, _, err := rib.Blanks(plan)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range blanks {
		fmt.Printf("%s: %g mm long, %g mm high, %.1f to %.1f mm thick, silhouette %.0f mm²\n",
			b.Name, b.Length, b.Height, b.Thickness, b.ThicknessMost, b.Outline.Area())
	}
	for _, v := range blanks[1].Values {
		fmt.Printf("%s = %v (%s)\n", v.Path, v.Value, v.Origin)
	}
	// Output:
	// ribs-6-7: 102.6 mm long, 28.66 mm high, 6.4 to 8.8 mm thick, silhouette 2320 mm²
	// rib-8: 82 mm long, 11 mm high, 4.2 to 7.0 mm thick, silhouette 888 mm²
	// rib-9: 51.1 mm long, 9.69 mm high, 3.2 to 6.5 mm thick, silhouette 366 mm²
	// cartilage.ribs[8].length = 82 (given)
	// cartilage.ribs[8].height = 11 (given)
	// cartilage.ribs[8].thickness = 7 (unsourced default)
	// cartilage.ribs[8].radius = 80 (unsourced default)
	// cartilage.ribs[8].taper = 0.6 (unsourced default)
	// cartilage.ribs[8].height_taper = 1 (unsourced default)
}
