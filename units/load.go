package units

import (
	"math"

	"earframe/template"
)

// Plan makes the plan of a case from the outlines of its template, as they
// stand on the sheet. Faults of the case that only show with the template are
// returned at once as CaseErrors; what can be built but should be looked at is
// among the plan's findings.
func (c *Case) Plan(drawn []template.Outline) (*Plan, error) {
	p := newPlanner(c)
	p.Outlines = drawn
	p.planUnits(drawn)
	if err := p.faults.faults.sorted(); err != nil {
		return nil, err
	}
	p.checkSide(drawn)
	p.planEngraving()
	return p.Plan, nil
}

// checkSide adds a finding if the tragus lies behind the middle of its ear: the
// drawing then shows the other side.
func (p *planner) checkSide(drawn []template.Outline) {
	around := outlinesOf(drawn, "ear")
	if len(around) == 0 {
		around = outlinesOf(drawn, string(Base))
	}
	tragus := outlinesOf(drawn, string(Tragus))
	if len(around) == 0 || len(tragus) == 0 {
		return
	}
	behind := middleX(tragus) - middleX(around)
	if p.Side == Right {
		behind = -behind
	}
	if behind > 0 {
		p.Findings = append(p.Findings, Finding{
			Severity: Warning, Unit: string(Tragus), Value: behind, Measure: "mm",
			Message: "the tragus lies behind the middle of the ear, so the template seems to show the other side than " + string(p.Side),
			Advice:  "Set template.mirror if it was traced from the other ear, or correct side",
		})
	}
}

func middleX(outlines []template.Outline) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, o := range outlines {
		for _, p := range o.Outer {
			lo, hi = math.Min(lo, p[0]), math.Max(hi, p[0])
		}
	}
	return (lo + hi) / 2
}
