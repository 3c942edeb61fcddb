package casefile_test

import (
	"fmt"
	"strings"

	"earframe/units/casefile"
)

// All faults of a case file come at once, each with its place.
func ExampleParse() {
	_, err := casefile.Parse("case.yaml", []byte(strings.Join([]string{
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
