package units

import (
	"context"
	"fmt"

	"earframe/template"
	"earframe/units/parts"
)

// joinPieces joins the outlines of a unit, or of a recess, that touch: else the
// skin would be taken off along the seam, and both sides of it be rounded. What
// is drawn for different units stays apart, and so do the ear's and the pocket's
// outlines.
func (p *planner) joinPieces(ctx context.Context, drawn []template.Outline) ([]template.Outline, error) {
	owners := p.owners()
	type group struct {
		part  string
		owner string
	}
	var order []group
	groups := map[group][]template.Outline{}
	for i, o := range drawn {
		g := group{o.Part, owners[claim{Part(o.Part), o.ID}]}
		if !parts.Known(o.Part) && o.Part != Scapha && o.Part != Fossa {
			g.owner = fmt.Sprint(i)
		}
		if groups[g] == nil {
			order = append(order, g)
		}
		groups[g] = append(groups[g], o)
	}
	if err := p.checkOverlaps(owners); err != nil {
		return nil, err
	}
	var pieces []template.Outline
	for _, g := range order {
		joined := groups[g]
		if len(joined) > 1 {
			var err error
			if joined, err = p.join(ctx, joined); err != nil {
				return nil, fmt.Errorf("joining the outlines of %s: %w", g.part, err)
			}
		}
		pieces = append(pieces, joined...)
	}
	return pieces, nil
}

// checkOverlaps says which outlines of one unit are drawn over one another, and so
// become one. It is a fault if one lies in the other whole. Outlines of two units
// stay as they are drawn: how the units fit is judged when they are stacked.
func (p *planner) checkOverlaps(owners map[claim]string) error {
	var faults template.Faults
	leftOut := p.leftOut()
	for _, over := range p.Sheet.Overlaps {
		part := Part(over.Part)
		switch {
		case leftOut[part] || owners[claim{part, over.ID}] != owners[claim{part, over.Over}]:
		case over.Inside != nil:
			faults = append(faults, over.Inside)
		default:
			p.Findings = append(p.Findings, Finding{
				Rule: "outlines-joined", Severity: Note, Unit: over.Part, Value: over.Depth, Measure: "mm",
				Message: fmt.Sprintf("%s is drawn over %s, by up to %.1f mm: the two are joined", over.ID, over.Over, over.Depth),
			})
		}
	}
	if len(faults) > 0 {
		return faults
	}
	return nil
}

// owners returns which unit or recess the case gives an outline to, for those
// that it names; the others are of one unit or recess.
func (p *planner) owners() map[claim]string {
	owners := map[claim]string{}
	given := p.Case.Root().Field("units")
	if given == nil {
		return owners
	}
	for _, unit := range given.Items {
		part := Part(unit.Field("part").Text)
		if outlines := unit.Field("outlines"); outlines != nil {
			for _, id := range outlines.Items {
				owners[claim{part, id.Text}] = unit.Path
			}
		}
		recesses := unit.Field("recesses")
		if recesses == nil {
			continue
		}
		for _, recess := range recesses.Items {
			if name := recess.Field("outline").Text; name != Scapha && name != Fossa {
				owners[claim{Scapha, name}], owners[claim{Fossa, name}] = recess.Path, recess.Path
			}
		}
	}
	return owners
}
