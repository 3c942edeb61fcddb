package units

import (
	"context"
	"fmt"
	"strings"

	"earframe/field"
	"earframe/units/lettering"
)

// Engraving is the text as it is carved into the underside of the base frame: in
// capitals, since at the size that fits there the strokes of small letters
// would run together.
type Engraving struct {
	lettering.Text
	Depth float64 // mm
	unit  *Unit
}

// engraving finds the place of the text; where it cannot be carved it returns a
// finding that says why.
func (p *Plan) engraving(ctx context.Context) (engraving *Engraving, findings []Finding, err error) {
	base := p.firstOf(Base)
	if !p.Engrave.On || base == nil {
		return nil, nil, nil
	}
	refuse := func(message string, value, limit float64, advice string) {
		findings = append(findings, Finding{
			Rule: "engraving-left-out", Severity: Warning, Unit: base.Name,
			Message: fmt.Sprintf("%q is not engraved: %s", p.Engrave.Text, message),
			Value:   value, Limit: limit, Measure: "mm", Advice: advice,
		})
	}
	if left := base.Thickness - p.Engrave.Depth; left < p.Printer.Wall {
		refuse(fmt.Sprintf("%.1f mm would be left of the base frame, %s printing needs %.1f "+
			"mm", left, p.Printer.Name, p.Printer.Wall),
			left, p.Printer.Wall, "Engrave less deep, or make the base frame thicker")
		return nil, findings, nil
	}
	if p.Engrave.Depth < p.Printer.EngraveDepth {
		refuse(fmt.Sprintf("%.2f mm deep, %s printing needs %.2f "+
			"mm", p.Engrave.Depth, p.Printer.Name, p.Printer.EngraveDepth),
			p.Engrave.Depth, p.Printer.EngraveDepth, "Engrave deeper")
		return nil, findings, nil
	}
	text, err := p.freeUnderside(base).Largest(ctx, strings.ToUpper(p.Engrave.Text), p.Printer.EngraveWidth)
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case err != nil:
		refuse(err.Error(), 0, 0, "Give another text under engrave.text, or engrave.on: false")
	case text == nil:
		refuse("the underside of the base frame has no free place for it", 0, 0, "Give a shorter text under engrave.text, "+
			"or engrave.on: false")
	case !text.Wide(p.Printer.EngraveWidth):
		refuse(fmt.Sprintf("where it has room its strokes would be %.2f mm wide, %s printing needs %.2f "+
			"mm", text.Stroke, p.Printer.Name, p.Printer.EngraveWidth),
			text.Stroke, p.Printer.EngraveWidth, "Give a shorter text under engrave.text, or engrave.on: false")
	default:
		engraving = &Engraving{*text, p.Engrave.Depth, base}
	}
	return engraving, findings, nil
}

// checkLetter adds a finding if a text of the user's own begins with the letter
// of the other side.
func (p *Plan) checkLetter() {
	other := Left
	if p.Side == Left {
		other = Right
	}
	first, _, _ := strings.Cut(strings.TrimSpace(p.Engrave.Text), " ")
	if p.Engrave.On && strings.EqualFold(first, other.Letter()) {
		p.Findings = append(p.Findings, Finding{
			Rule: "engraving-names-other-side", Severity: Note,
			Message: fmt.Sprintf("the text %q begins with the letter of the other side; this is a %s ear",
				p.Engrave.Text, p.Side),
			Advice: fmt.Sprintf("Correct engrave.text or side if it should read %s", p.Side.Letter()),
		})
	}
}

func (p *Plan) firstOf(part Part) *Unit {
	for _, u := range p.Units {
		if u.Part == part {
			return u
		}
	}
	return nil
}

// Solid returns the material that the letters take away.
func (e *Engraving) Solid() (field.Field, error) {
	region, err := e.Region()
	if err != nil {
		return nil, fmt.Errorf("engraving: %w", err)
	}
	under, err := e.unit.Underside()
	if err != nil {
		return nil, err
	}
	below := field.Surface(field.Stack(under, field.Level(-engraveBelow)))
	if level, ok := under.(field.Level); ok {
		below = level - engraveBelow
	}
	wider := lettering.Widening * e.Em
	letters, err := field.NewPrism(field.Prism{Region: region, Underside: below,
		Thickness: field.Level(engraveBelow + e.Depth - wider)})
	if err != nil {
		return nil, fmt.Errorf("engraving: %w", err)
	}
	return field.Offset(letters, wider), nil
}

// engraveBelow is how far, in mm, the cut reaches beneath the underside, so
// that no skin is left on it.
const engraveBelow = 1
