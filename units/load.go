package units

import (
	"context"
	"errors"
	"io/fs"
	"math"

	"earframe/internal/kept"
	"earframe/template"
	"earframe/units/casefile"
)

// Load reads the case file at path and the template it names, and plans the
// framework. Faults of the case come as casefile.Errors, those of the drawing as
// template.Faults; ctx ends the work early with its error.
func Load(ctx context.Context, path string) (*Plan, error) {
	c, err := casefile.Read(path)
	if err != nil {
		return nil, err
	}
	sheet, err := ReadSheet(ctx, c)
	if err != nil {
		return nil, err
	}
	return NewPlan(ctx, c, sheet)
}

// ReadSheet reads the template of a case. One that is not there is a fault of the
// case, which asked for it.
func ReadSheet(ctx context.Context, c *casefile.Case) (*template.Sheet, error) {
	sheet, err := template.Read(ctx, c.TemplateFile(), c.TemplateOptions())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, c.WithoutTemplate(err)
	}
	return sheet, err
}

// NewPlan makes the plan of a case from its template. Faults of the case that only
// show with the template are returned at once as casefile.Errors, a size that no ear
// has as template.Faults; what can be built but should be looked at is among
// the plan's findings. ctx ends the work early with its error.
func NewPlan(ctx context.Context, c *casefile.Case, sheet *template.Sheet) (*Plan, error) {
	return NewPlanKept(ctx, c, sheet, nil)
}

// NewPlanKept is NewPlan with a store for what takes long and hangs on outlines
// alone, for those who plan a case again and again.
func NewPlanKept(ctx context.Context, c *casefile.Case, sheet *template.Sheet, store *kept.Store) (*Plan, error) {
	if err := checkSize(sheet); err != nil {
		return nil, err
	}
	p := newPlanner(c)
	p.kept = store
	p.Sheet = sheet
	p.recordSheet()
	p.checkIgnored()
	p.checkLeftOut()
	p.checkHealed()
	drawn := sheet.Outlines
	pieces, err := p.joinPieces(ctx, drawn)
	if err != nil {
		return nil, err
	}
	p.Outlines = pieces
	if p.Drawn == DrawnSkin {
		if err := p.takeOffSkin(ctx, pieces); err != nil {
			return nil, err
		}
	}
	if err := p.planUnits(ctx, drawn); err != nil {
		return nil, err
	}
	p.readBolsters()
	if err := p.Err(); err != nil {
		return nil, err
	}
	p.checkBase(drawn)
	p.checkSide(drawn)
	p.checkLetter()
	p.Plan.Values = p.Reading.Values
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
			Rule: "template-shows-other-side", Severity: Warning, Unit: string(Tragus), Value: behind, Measure: "mm",
			Message: "the tragus lies behind the middle of the ear, so the template seems to show the other side " +
				"than " + string(p.Side),
			Advice: "Set template.mirror if it was traced from the other ear, or correct side",
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
