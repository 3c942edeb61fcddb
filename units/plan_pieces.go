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
	var pieces []template.Outline
	for _, g := range order {
		joined := groups[g]
		if len(joined) > 1 {
			var err error
			if joined, err = template.Join(ctx, joined); err != nil {
				return nil, fmt.Errorf("joining the outlines of %s: %w", g.part, err)
			}
		}
		pieces = append(pieces, joined...)
	}
	return pieces, nil
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
