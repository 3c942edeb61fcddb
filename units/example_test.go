package units_test

import (
	"context"
	"fmt"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units"
)

// All faults of a case file come at once, each with its place.
func ExampleParseCase() {
	_, err := units.ParseCase("case.yaml", []byte(strings.Join([]string{
		"case: demo-02",
		"sied: left",
		"units:",
		"  - part: helix",
		"    thickness: 3,5",
	}, "\n")))
	fmt.Println(err)
	// Output:
	// case.yaml:2:1: sied: unknown key. Did you mean side? Known here: case, side, template, skin, printer, engrave, step, tolerance, fillet, leave_out, units, pocket, cartilage, casting, kit, fixation, sheets
	// case.yaml:5:16: units[helix].thickness: found "3,5", expected a number from 0.2 to 30 mm. Write a decimal point instead of the comma
}

// A template alone is enough: what the case does not give is a default, and
// says so.
func ExampleCase_Plan() {
	c, err := units.ParseCase("case.yaml", []byte("case: plate\ntemplate: {drawn: frame}\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := c.Plan(context.Background(), &template.Sheet{Outlines: []template.Outline{
		{ID: "base", Part: "base", Outer: template.Ring{{-15, -25}, {15, -25}, {15, 25}, {-15, 25}}},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range plan.Values {
		if strings.HasPrefix(v.Path, "units[base]") {
			fmt.Printf("%s: %v (%s)\n", v.Path, v.Value, v.Origin)
		}
	}
	// Output:
	// units[base].outlines: [base] (from template)
	// units[base].thickness: 3 (unsourced default)
	// units[base].edge.top: 0.6 (default)
	// units[base].edge.bottom: 0 (default)
	// units[base].rise: 0 (default)
	// units[base].ribs: [6 7] (default)
}

// The developed length of a strip says how long a rib must be.
func ExampleNewCentreline() {
	strip := template.Outline{ID: "helix", Outer: template.Ring{{0, 0}, {40, 0}, {40, 5}, {0, 5}}}
	line, err := units.NewCentreline(strip)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f mm long, %.1f mm wide, passes %.0f\n", line.Length(), line.WidthAt(0.5), line.At(0.5).Sub(mgl64.Vec2{}))
	// Output: 40.0 mm long, 5.0 mm wide, passes [20 2]
}
