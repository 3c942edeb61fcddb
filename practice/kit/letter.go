package kit

import (
	"fmt"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// letter carves the side and the order of assembly into each piece's underside:
// L1 is what is laid down first of a left ear.
func (k *Kit) letter(plan *units.Plan) error {
	depth := plan.Engrave.Depth
	if depth < plan.Printer.EngraveDepth {
		depth = plan.Printer.EngraveDepth
	}
	for i := range k.Pieces {
		p := &k.Pieces[i]
		text := fmt.Sprintf("%s%d", plan.Side.Letter(), p.Order)
		// With a space between them, a narrow strip takes them one under the other.
		apart := fmt.Sprintf("%s %d", plan.Side.Letter(), p.Order)
		taken, err := k.takenOf(p, plan)
		if err != nil {
			return err
		}
		engraving, err := p.Unit.Inscribe(units.Inscription{Text: apart, Depth: depth, Taken: taken}, plan.Printer)
		if err != nil {
			k.Findings = append(k.Findings, units.Finding{
				Severity: units.Note, Unit: p.Unit.Name,
				Message: fmt.Sprintf("%q is not engraved in its print: %v", text, err),
				Advice:  "Mark it by hand when it comes off the plate, or choose a finer printer.",
			})
			continue
		}
		if p.letters, err = engraving.Solid(); err != nil {
			return err
		}
		p.Letter = text
		p.Solid = field.Difference(p.plain, p.letters)
	}
	return nil
}

// takenOf returns where no letter may stand on a piece's underside: over the
// text that the base frame has already, and where a recess, a notch or another
// unit's seat takes material away there.
func (k *Kit) takenOf(p *Piece, plan *units.Plan) ([]*field.Region, error) {
	var taken []*field.Region
	if e := plan.Engraving; e != nil && p.Unit == plan.Unit(string(units.Base)) {
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
			region, err := field.NewRegion(o.Outer)
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
func (p *Piece) below(neighbour *units.Unit) bool {
	under, err := neighbour.Underside()
	if err != nil {
		return true
	}
	bounds := p.plain.Bounds()
	low, _ := under.Span(bounds.Min.Vec2(), bounds.Max.Vec2())
	return low < p.Unit.Rise.Height+p.Unit.Thickness/2
}
