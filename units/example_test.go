package units_test

import (
	"context"
	"fmt"
	"strings"

	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"
)

// A template alone is enough: what the case does not give is a default, and
// says so.
func ExampleNewPlan() {
	c, err := casefile.Parse("case.yaml", []byte("case: plate\ntemplate: {drawn: frame}\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := units.NewPlan(context.Background(), c, &template.Sheet{Outlines: []template.Outline{
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
