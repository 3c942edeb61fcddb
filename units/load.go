package units

import (
	"math"

	"earframe/template"
)

// Load reads the case file at path and the template it names, and plans the
// framework. Faults of the case come as CaseErrors, those of the drawing as
// template.Faults.
func Load(path string) (*Plan, error) {
	c, err := ReadCase(path)
	if err != nil {
		return nil, err
	}
	sheet, err := template.Read(c.TemplateFile(), c.TemplateOptions())
	if err != nil {
		return nil, err
	}
	return c.Plan(sheet)
}

// TemplateOptions returns how the case says that its template is to be read.
func (c *Case) TemplateOptions() template.Options {
	given := c.root.field("template")
	options := template.Options{Names: c.names()}
	if length := given.field("ear_length"); length != nil {
		options.EarLength = length.number
	}
	if mirror := given.field("mirror"); mirror != nil {
		options.Mirror = mirror.flag
	}
	return options
}

// Plan makes the plan of a case from its template. Faults of the case that only show with the template are
// returned at once as CaseErrors; what can be built but should be looked at is
// among the plan's findings.
func (c *Case) Plan(sheet *template.Sheet) (*Plan, error) {
	p := newPlanner(c)
	p.Sheet, p.Outlines = sheet, sheet.Outlines
	drawn := sheet.Outlines
	if p.Drawn == DrawnSkin {
		if err := p.takeOffSkin(drawn); err != nil {
			return nil, err
		}
	}
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
