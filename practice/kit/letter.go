package kit

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/field"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// letter carves the side and the order of assembly into the piece's underside:
// L1 is what is laid down first of a left ear, L1A the first part of it where it
// was cut. What has no room for that carries the order alone, or else, unless it
// is a part, as many dimples.
func (p *Print) letter(ctx context.Context, plan *units.Plan, part string) error {
	p.Letter, p.letters, p.refused = "", nil, nil
	depth := math.Max(plan.Engrave.Depth, plan.Printer.EngraveDepth)
	taken, err := p.takenOf(ctx, plan)
	if err != nil {
		return err
	}
	order := fmt.Sprintf("%d%s", p.Order, part)
	for _, side := range []string{plan.Side.Letter(), ""} {
		// With a space between them, a narrow strip takes them one under the other.
		text := strings.TrimSpace(side + " " + order)
		engraving, err := p.Unit.Inscribe(ctx, units.Inscription{Text: text, Depth: depth, Taken: taken}, plan.Printer)
		if err != nil {
			if p.refused == nil { // with the side: what was wanted first
				p.refused = err
			}
			continue
		}
		solid, err := engraving.Solid()
		if err != nil {
			return err
		}
		p.mark(side+order, solid)
		return nil
	}
	if part != "" {
		return nil // dimples would not tell the parts from one another
	}
	pits, err := dimple(p.Unit, p.Order, depth, taken, plan.Printer)
	if err != nil || pits == nil {
		return err
	}
	solid, err := pits.solid()
	if err != nil {
		return err
	}
	p.mark(pits.text(), solid)
	return nil
}

// mark carves what a piece carries out of it.
func (p *Print) mark(text string, solid field.Field) {
	p.Letter, p.letters, p.refused = text, solid, nil
	p.Solid = field.Difference(p.Solid, solid)
}

// inspectLetters says which prints carry nothing.
func (k *Kit) inspectLetters(plan *units.Plan) {
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if p.refused == nil {
			continue
		}
		k.Findings = append(k.Findings, units.Finding{
			Rule: "print-without-letter", Severity: units.Note, Unit: p.Unit.Name,
			Message: fmt.Sprintf("%q is not engraved in the print of %s, and neither is the number alone: %v",
				fmt.Sprintf("%s%d%s", plan.Side.Letter(), p.Order, p.part), p.Name, p.refused),
			Advice: "Mark it by hand when it comes off the plate, or choose a finer printer.",
		})
	}
}

// takenOf returns where no letter may stand on a piece's underside: over the
// text that the base frame has already, and where a recess, a notch or another
// unit's seat takes material away there, or where another part of it was cut off.
func (p *Print) takenOf(ctx context.Context, plan *units.Plan) ([]*field.Region, error) {
	taken := slices.Clone(p.outside)
	lettered, err := plan.Lettered(ctx)
	if err != nil {
		return nil, err
	}
	if e := lettered.Engraving; e != nil && p.Unit == plan.Unit(string(units.Base)) {
		region, err := e.Region()
		if err != nil {
			return nil, err
		}
		lo, hi := region.Bounds()
		box, err := field.NewRegion([]mgl64.Vec2{lo, {hi[0], lo[1]}, hi, {lo[0], hi[1]}})
		if err != nil {
			return nil, err
		}
		taken = append(taken, box)
	}
	for _, name := range p.GivesWay {
		for _, o := range plan.Unit(name).Outlines {
			region, err := template.Region(o.Filled())
			if err != nil {
				return nil, fmt.Errorf("unit %s: %w", name, err)
			}
			if p.below(plan.Unit(name)) {
				taken = append(taken, region)
			}
		}
	}
	return taken, nil
}

// below reports whether a neighbour reaches lower than the middle of the piece,
// so that its seat may meet letters in the underside.
func (p *Print) below(neighbour *units.Unit) bool {
	under, err := neighbour.Underside()
	if err != nil {
		return true
	}
	bounds := p.plain.Bounds()
	low, _ := under.Span(bounds.Min.Vec2(), bounds.Max.Vec2())
	return low < p.Unit.Rise.Height+p.Unit.Thickness/2
}
