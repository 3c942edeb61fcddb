package units_test

import (
	"testing"

	"earframe/internal/demotest"
	"earframe/units"

	"github.com/stretchr/testify/assert"
)

func TestWhatIsOddInACaseIsFoundUnderItsRule(t *testing.T) {
	for name, c := range map[string]struct {
		replace []string
		want    map[string]units.Severity
	}{
		"as it is": {nil, map[string]units.Severity{}},
		"of the other side": {
			[]string{"side: left", "side: right"},
			map[string]units.Severity{"template-shows-other-side": units.Warning},
		},
		"text of the other side": {
			[]string{"case: demo-01\n", "case: demo-01\nengrave: {text: R 1}\n"},
			map[string]units.Severity{"engraving-names-other-side": units.Note},
		},
		"a shape misspelt": {
			[]string{`<line id="frankfort"`, `<rect id="helix2" width="9" height="9"/><line id="frankfort"`},
			map[string]units.Severity{"shape-not-used": units.Warning},
		},
		"a shape hidden": {
			[]string{`<line id="frankfort"`,
				`<g display="none"><rect id="tragus-2" width="9" height="9"/></g><line id="frankfort"`},
			map[string]units.Severity{"named-shape-not-drawn": units.Warning},
		},
		"a mark far aslant": {
			[]string{`x2="77" y2="33.8"`, `x2="77" y2="78"`},
			map[string]units.Severity{"drawing-turned-far": units.Warning},
		},
		"drawn at skin level": {
			[]string{"drawn: frame", "drawn: skin"},
			map[string]units.Severity{"outline-lost-to-skin": units.Error, "hole-wall-lost-to-skin": units.Error},
		},
	} {
		t.Run(name, func(t *testing.T) {
			plan := demotest.Plan(t, c.replace...)
			assert.Equal(t, c.want, demotest.Kinds(t, plan.Findings), "%v", plan.Findings)
		})
	}
}
