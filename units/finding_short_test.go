package units_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"earframe/units"
)

// A line of what to do says the finding's own numbers, and the advice's first
// sentence where the rule asks for it.
func TestAFindingInOneLine(t *testing.T) {
	for want, f := range map[string]units.Finding{
		"a wall of 0.82 mm, the printer makes 0.90 mm: widen or thicken it there": {
			Rule: "wall-too-thin", Value: 0.824, Limit: 0.9, Measure: "mm", Advice: "Choose a finer printer.",
		},
		"it stands 10.0 mm high, the pocket takes 8.5 mm: take 1.5 mm off helix": {
			Rule: "pocket-too-shallow", Value: 10, Limit: 8.5, Measure: "mm", Advice: "Take 1.5 mm off helix. Or not.",
		},
		"only 14 % shows: make it wider": {
			Rule: "relief-lost", Value: 14.4, Limit: 50, Measure: "%", Advice: "Make it wider.",
		},
		// Short by 0.01 mm is short.
		"it is 0.10 mm too large for the cartilage: draw it smaller": {
			Rule: "unit-too-large-for-rib", Value: -0.01, Measure: "mm", Advice: "Draw it smaller",
		},
		// What has been worked out to a tenth is not rounded up to the next.
		"it is 4.4 mm too large for the cartilage: draw it smaller": {
			Rule: "unit-too-large-for-rib", Value: -4.4, Measure: "mm", Advice: "Draw it smaller",
		},
		"the skin is stretched 1.28 times": {Rule: "skin-too-tight", Value: 1.283, Measure: "times"},
		"take it off":                      {Rule: "of no kind", Message: "it is there", Advice: "Take it off."},
		"it is there":                      {Rule: "of no kind", Message: "it is there"},
	} {
		assert.Equal(t, want, f.Short())
	}
	assert.Equal(t, "scapha", units.Finding{Unit: "base", Place: "scapha"}.Where())
	assert.Equal(t, "base", units.Finding{Unit: "base"}.Where())
}
