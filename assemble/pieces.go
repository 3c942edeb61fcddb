package assemble

import (
	"context"
	"fmt"
	"slices"

	"earframe/internal/workers"
	"earframe/units"
)

// InPieces returns the framework with cut units in pieces, unjoined; what is whole is
// shared with it, contacts among it included. It is the framework itself if no unit
// is cut. The contacts of pieces are exact enough to tell which touch, and where.
func (f *Framework) InPieces(ctx context.Context, cuttings []units.Cutting) (*Framework, error) {
	if len(cuttings) == 0 {
		return f, nil
	}
	plan, err := f.Plan.InPieces(ctx, cuttings)
	if err != nil {
		return nil, err
	}
	solids, err := plan.Solids(ctx)
	if err != nil {
		return nil, err
	}
	cut := &Framework{Plan: plan, Pieces: make([]Piece, len(solids)), Findings: f.Findings}
	wholes, err := f.Plan.Solids(ctx)
	if err != nil {
		return nil, err
	}
	var fresh []*Piece
	for i, s := range solids {
		// A neighbour of cut units is fitted to their names; its solid stays.
		k := slices.IndexFunc(wholes, func(w units.Solid) bool { return w.Key == s.Key && w.Unit.Name == s.Unit.Name })
		if k >= 0 {
			cut.Pieces[i] = f.Pieces[k]
			cut.Pieces[i].Unit, cut.Pieces[i].surface = s.Unit, f.Pieces[k].Mesh
			continue
		}
		cut.Pieces[i] = Piece{Unit: s.Unit, Solid: s.Field, key: s.Key, plain: s}
		fresh = append(fresh, &cut.Pieces[i])
	}
	err = workers.Each(ctx, "pieces of units", len(fresh), func(i int) error {
		if err := fresh[i].shape(ctx, plan.Step, plan.Tolerance); err != nil {
			return fmt.Errorf("%s: %w", fresh[i].Name(), err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if err := cut.measureContacts(ctx, Options{Step: plan.Step}); err != nil {
		return nil, err
	}
	for i, c := range cut.Contacts {
		k := slices.IndexFunc(f.Contacts, func(w Contact) bool { return w.A == c.A && w.B == c.B })
		if k >= 0 {
			cut.Contacts[i] = f.Contacts[k]
		}
	}
	for i := range cut.Pieces {
		cut.Pieces[i].surface = nil
	}
	return cut, nil
}
