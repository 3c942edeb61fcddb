package units

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"

	"earframe/template"
)

// Load reads the case file at path and the template it names, and plans the
// framework. Faults of the case come as CaseErrors, those of the drawing as
// template.Faults; ctx ends the work early with its error.
func Load(ctx context.Context, path string) (*Plan, error) {
	c, err := ReadCase(path)
	if err != nil {
		return nil, err
	}
	sheet, err := template.Read(ctx, c.TemplateFile(), c.TemplateOptions())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, c.withoutTemplate(err)
	}
	if err != nil {
		return nil, err
	}
	return c.Plan(ctx, sheet)
}

// withoutTemplate says what asked for a template that is not there, and where it
// was looked for.
func (c *Case) withoutTemplate(cause error) error {
	looked := c.TemplateFile()
	if full, err := filepath.Abs(looked); err == nil {
		looked = full
	}
	fault := &CaseError{
		File: c.File, Key: "template.file", Cause: cause,
		Problem: "no such file: template.svg, which is looked for where nothing else is given; looked for " + looked,
		Advice:  "Put the drawing there, or give its name under template.file, from the case file's folder",
	}
	if given := c.root.field("template").field("file"); given != nil {
		fault.Line, fault.Column = given.line, given.column
		fault.Problem = fmt.Sprintf("no such file: %s; looked for %s", given.text, looked)
		fault.Advice = "Put the drawing there, or correct the name; it is taken from the case file's folder"
	}
	return CaseErrors{fault}
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

// Plan makes the plan of a case from its template. Faults of the case that only
// show with the template are returned at once as CaseErrors, a size that no ear
// has as template.Faults; what can be built but should be looked at is among
// the plan's findings. ctx ends the work early with its error.
func (c *Case) Plan(ctx context.Context, sheet *template.Sheet) (*Plan, error) {
	if err := checkSize(sheet); err != nil {
		return nil, err
	}
	p := newPlanner(c)
	p.Sheet = sheet
	p.recordSheet()
	p.checkIgnored()
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
	p.planUnits(drawn)
	if err := p.faults.faults.sorted(); err != nil {
		return nil, err
	}
	p.checkBase(drawn)
	p.checkSide(drawn)
	p.checkLetter()
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
