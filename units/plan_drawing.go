package units

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
)

// shownIgnored is how many shapes without a name are listed.
const shownIgnored = 12

// checkIgnored adds a finding that lists the drawing's shapes that are no part:
// a name misspelt must not leave a part out without a word.
func (p *planner) checkIgnored() {
	ignored := p.Sheet.Ignored
	if len(ignored) == 0 {
		return
	}
	p.Findings = append(p.Findings, Finding{
		Rule: "shape-not-used", Severity: Warning, Message: notUsed(ignored),
		Advice: fmt.Sprintf("Name them in the case file, such as template: {names: {%s: %s}}, or leave them out on "+
			"purpose: {%[1]s: []}. Known: %[3]s",
			ignored[0].ID, cmp.Or(ignored[0].Guess, string(Base)), strings.Join(outlineNames(), ", ")),
	})
}

// notUsed lists shapes without a name, with what they may have been meant to be.
func notUsed(ignored []template.Ignored) string {
	var shown []string
	for _, shape := range ignored[:min(len(ignored), shownIgnored)] {
		text := shape.ID
		if shape.Label != "" {
			text += fmt.Sprintf(" (%.60s)", shape.Label)
		}
		if shape.Guess != "" {
			text += fmt.Sprintf(" (did you mean %s?)", shape.Guess)
		}
		shown = append(shown, text)
	}
	if more := len(ignored) - len(shown); more > 0 {
		shown = append(shown, fmt.Sprintf("and %d more", more))
	}
	message := fmt.Sprintf("%d shapes of the drawing were not used: ", len(ignored))
	if len(ignored) == 1 {
		message = "a shape of the drawing was not used: "
	}
	return message + strings.Join(shown, ", ")
}

// checkLeftOut adds findings of what is named after a part and yet not drawn: a
// part that is hidden or written must not be missed without a word. It is a note
// for words and pictures beside an outline of the part, which may be its caption.
func (p *planner) checkLeftOut() {
	leftOut := p.Sheet.LeftOut
	for i, left := range leftOut {
		if i == shownIgnored {
			p.Findings = append(p.Findings, Finding{Rule: "named-shape-not-drawn", Severity: Warning,
				Message: fmt.Sprintf("%d more things named after parts were not drawn", len(leftOut)-i)})
			return
		}
		severity := Warning
		if left.Shows && !slices.ContainsFunc(left.Parts, func(part string) bool { return len(p.Sheet.Part(part)) == 0 }) {
			severity = Note
		}
		p.Findings = append(p.Findings, Finding{
			Rule: "named-shape-not-drawn", Severity: severity,
			Message: fmt.Sprintf("%s (line %d of the drawing) was not built as %s: it "+
				"%s", left.ID, left.Line, strings.Join(left.Parts, " and "), left.Why),
			Advice: fmt.Sprintf("Show it in the drawing program, or leave it out on purpose in the case file: template: "+
				"{names: {%s: []}}", left.ID),
		})
	}
}

// checkHealed adds notes of what was too small to be meant and was taken out of
// outlines.
func (p *planner) checkHealed() {
	for _, h := range p.Sheet.Healed {
		var done []string
		if h.Hooks > 0 {
			done = append(done, fmt.Sprintf("%d hooks of up to %.2g mm, where the outline met itself, were taken out",
				h.Hooks, h.Reach))
		}
		if h.Crumbs > 0 {
			done = append(done, fmt.Sprintf("%d pieces that enclose nothing were left out", h.Crumbs))
		}
		p.Findings = append(p.Findings, Finding{
			Rule: "outline-healed", Severity: Note,
			Message: fmt.Sprintf("%s (line %d of the drawing): %s", h.ID, h.Line, strings.Join(done, "; ")),
		})
	}
}

// checkBase adds a finding if there is no base frame, which all else stands on.
func (p *planner) checkBase(drawn []template.Outline) {
	if p.firstOf(Base) != nil {
		return
	}
	leftOut := p.leftOut()[Base]
	if !leftOut && len(outlinesOf(drawn, string(Base))) == 0 {
		p.Findings = append(p.Findings, Finding{
			Rule: "no-base-frame", Severity: Error, Unit: string(Base),
			Message: "no base frame is drawn: the other units have nothing to stand on",
			Advice:  "Name its outline base in the drawing or under template.names, or say leave_out: base if it is meant so",
		})
	}
	if p.Engrave.On {
		p.Findings = append(p.Findings, Finding{
			Rule: "engraving-without-base", Severity: Note,
			Message: fmt.Sprintf("%q is not engraved: there is no base frame to carve it into", p.Engrave.Text),
		})
	}
}

// Sizes of a drawing that can be an ear, mm: those that template.ear_length
// takes, and how far outlines may lie from the sheet's origin, the middle of
// the ear. They bound what a framework costs in time and memory.
const (
	shortestEar   = 20
	longestEar    = 120
	farthestReach = 250
)

// mostTurn is the turn in degrees that a drawing of an upright ear can need (our
// choice, no source).
const mostTurn = 30

// scaleUnit is the unit of a drawing's scale; where the drawing states its size,
// its unit is a millimetre of that.
const scaleUnit = "mm per unit of the drawing"

// earIs begins what is said of the ear's own outline.
const earIs = "the ear is"

// checkSize returns faults of a drawing that is too large or too small to be an
// ear, or whose outlines lie far away from it.
func checkSize(sheet *template.Sheet) error {
	if len(sheet.Outlines) == 0 {
		return nil // there is nothing to build, which is another fault
	}
	lo, hi, what := extent(sheet)
	length := math.Max(hi[0]-lo[0], hi[1]-lo[1])
	var faults template.Faults
	if !(length >= shortestEar*(1-1e-9) && length <= longestEar*(1+1e-9)) {
		faults = append(faults, &template.Fault{Kind: template.BadSize, File: sheet.File,
			Found: fmt.Sprintf("%s %s mm long, %d to %d mm is expected", what, figures(length), shortestEar, longestEar),
			Advice: "is the drawing in cm, or its scale wrong? Give width and height their true size in mm, or state the " +
				"ear's length under template.ear_length"})
		return faults // how far the outlines reach follows from that
	}
	for _, o := range sheet.Outlines {
		lo, hi := o.Bounds()
		reach := math.Max(math.Max(-lo[0], -lo[1]), math.Max(hi[0], hi[1]))
		if !(reach <= farthestReach) {
			faults = append(faults, &template.Fault{Kind: template.BadSize, File: sheet.File, ID: o.ID,
				Found: fmt.Sprintf("reaches %s mm from the middle of the ear, at most %d mm is "+
					"expected", figures(reach), farthestReach),
				Advice: "move it to where it belongs, or leave it out under template.names"})
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return faults
}

// extent returns the bounds of the ear's outline, or without one of all
// outlines, and what they are the bounds of.
func extent(sheet *template.Sheet) (lo, hi mgl64.Vec2, what string) {
	what = earIs
	around := sheet.Part("ear")
	if len(around) == 0 {
		around, what = sheet.Outlines, "all outlines together are"
	}
	for i, o := range around {
		low, high := o.Bounds()
		if i == 0 {
			lo, hi = low, high
		}
		for k := range lo {
			lo[k], hi[k] = math.Min(lo[k], low[k]), math.Max(hi[k], high[k])
		}
	}
	return lo, hi, what
}

// figures writes a length in mm as it is read.
func figures(x float64) string {
	if x >= 100 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.3g", x)
}

// recordSheet takes down what the drawing gave: where its scale comes from, how
// it was turned, and how large the ear is. A large turn is a finding.
func (p *planner) recordSheet() {
	s := p.Sheet
	note := "measured on " + filepath.Base(s.File)
	add := func(name string, value any, unit string) {
		p.Reading.Values = append(p.Reading.Values, Value{Path: "template." + name, Value: value, Unit: unit, Origin: FromTemplate, Note: note})
	}
	hundredths := func(x float64) float64 { return math.Round(x*100)/100 + 0 } // no -0
	lo, hi, what := extent(s)
	if what != earIs {
		note += ", all outlines together"
	}
	add("scale_from", string(s.ScaleSource), "")
	add("scale", s.Scale, scaleUnit)
	degrees := s.Turned * 180 / math.Pi
	add("turned", hundredths(degrees), "degrees")
	add("ear_length_measured", hundredths(hi[1]-lo[1]), "mm")
	add("ear_breadth_measured", hundredths(hi[0]-lo[0]), "mm")
	if math.Abs(degrees) > mostTurn {
		p.Findings = append(p.Findings, Finding{
			Rule: "drawing-turned-far", Severity: Warning, Value: math.Abs(degrees), Limit: mostTurn, Measure: "degrees",
			Message: fmt.Sprintf("the drawing is turned by %.0f degrees to bring the frankfort mark level", math.Abs(degrees)),
			Advice:  "See that the mark runs along the Frankfort horizontal and that the ear stands upright in the drawing",
		})
	}
}
