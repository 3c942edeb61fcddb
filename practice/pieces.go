package practice

import (
	"context"
	"slices"

	"earframe/practice/budget"
	"earframe/units"
)

// settle finds out of what cartilage the units come and in what pieces, and cuts them
// so. The first that asks works it out, the others wait for it.
func (m *maker) settle(ctx context.Context) (err error) {
	m.settling.Lock()
	defer m.settling.Unlock()
	if m.Carved != nil {
		return nil
	}
	if m.Budget, err = budget.Check(ctx, m.plan, stocks(m.Blanks)); err != nil {
		return err
	}
	m.cuttings = cuttings(m.Budget)
	m.Carved, err = m.Framework.InPieces(ctx, m.cuttings)
	return err
}

// cuttings returns how units are cut so that they come out of the cartilage.
func cuttings(b *budget.Budget) []units.Cutting {
	var all []units.Cutting
	for _, u := range b.Units {
		if len(u.Parts) == 0 {
			continue
		}
		c := units.Cutting{Unit: u.Unit, Cuts: u.Cuts}
		for _, part := range u.Parts {
			c.Pieces = append(c.Pieces, units.Piece{Label: part.Name, Outline: part.Outline, Ribs: ribsOf(b, u, part.Name)})
		}
		all = append(all, c)
	}
	return all
}

// ribsOf returns the ribs that a part of a unit, or a whole one, is laid in.
func ribsOf(b *budget.Budget, u budget.Unit, part string) []int {
	var ribs []int
	for _, p := range u.Placements {
		for _, piece := range slices.Concat(b.Pieces, b.Casts) {
			if piece.Name == p.Piece && (part == "" || p.Part == part) {
				ribs = append(ribs, piece.Ribs...)
			}
		}
	}
	slices.Sort(ribs)
	return slices.Compact(ribs)
}
