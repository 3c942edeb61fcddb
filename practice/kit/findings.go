package kit

import (
	"fmt"

	"earframe/assemble"
	"earframe/units"
)

// inspect adds what is to be minded about the pieces.
func (k *Kit) inspect(f *assemble.Framework) {
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if got, drawn := len(p.Verdict.Shells)-p.Verdict.Cavities, len(p.Unit.Outlines); got > drawn {
			k.Findings = append(k.Findings, units.Finding{
				Severity: units.Error, Unit: p.Unit.Name,
				Message: fmt.Sprintf("with room of %g mm around its neighbours its print falls into %d pieces where %d were drawn", k.Clearance, got, drawn),
				Value:   float64(got), Limit: float64(drawn), Measure: "pieces",
				Advice: "Give a smaller kit.clearance, or a thicker unit.",
			})
		}
		if p.Pose.Supports {
			k.Findings = append(k.Findings, units.Finding{
				Severity: units.Note, Unit: p.Unit.Name,
				Message: fmt.Sprintf("its print (%s) hangs over by more than %d degrees over %.0f mm²", p.Pose.Text, overhangDegrees, p.Pose.Overhang),
				Value:   p.Pose.Overhang, Limit: leastSupport, Measure: "mm²",
				Advice: "Print it with supports there.",
			})
		}
	}
}
