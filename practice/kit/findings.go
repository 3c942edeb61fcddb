package kit

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh/contour"
	"earframe/units"
)

// inspect measures what room was made and adds what is to be minded about it.
func (k *Kit) inspect(ctx context.Context, f *assemble.Framework) error {
	solids, err := f.Plan.Solids(ctx)
	if err != nil {
		return err
	}
	found := make([][]units.Finding, len(k.Pieces))
	err = workers.Each(ctx, "", len(k.Pieces), func(i int) error {
		p := &k.Pieces[i]
		if pieces := len(p.Verdict.Shells) - p.Verdict.Cavities; pieces > len(p.Unit.Outlines) {
			apart, err := k.fallsApart(ctx, f.Plan, p, pieces)
			if err != nil {
				return err
			}
			found[i] = append(found[i], apart)
		}
		if p.room == nil {
			return nil
		}
		if err := measureRoom(ctx, f, p); err != nil {
			return err
		}
		s := solids[slices.IndexFunc(solids, func(s units.Solid) bool { return s.Unit == p.Unit })]
		thin, err := k.thinWall(ctx, f, p, s.Field)
		found[i] = append(found[i], thin...)
		return err
	})
	k.Findings = append(k.Findings, slices.Concat(found...)...)
	return err
}

// fallsApart says that a unit's print is in more pieces than the unit as drawn:
// for the holes, if without them it is not, else for the room.
func (k *Kit) fallsApart(
	ctx context.Context, plan *units.Plan, p *Print, pieces int,
) (found units.Finding, err error) {
	drawn, were := len(p.Unit.Outlines), "were"
	if drawn == 1 {
		were = "was"
	}
	by, advice := fmt.Sprintf("room of %g mm around its neighbours", k.Clearance),
		lessRoom
	if p.drill != nil {
		verdict, err := p.undrilled(ctx, plan)
		if err != nil {
			return found, err
		}
		if len(verdict.Shells)-verdict.Cavities <= drawn {
			by = "the holes drilled through it"
			if advice, err = p.narrowerHoles(ctx, plan, drawn); err != nil {
				return found, err
			}
		}
	}
	return units.Finding{
		Rule: "print-in-pieces", Severity: units.Error, Unit: p.Unit.Name,
		Message: fmt.Sprintf("with %s its print falls into %d pieces where %d %s drawn", by, pieces, drawn, were),
		Value:   float64(pieces), Limit: float64(drawn), Measure: "pieces",
		Advice: strings.ToUpper(advice[:1]) + advice[1:] + ".",
	}, nil
}

// measureRoom works out how much was taken from a unit as drawn to make room.
func measureRoom(ctx context.Context, f *assemble.Framework, p *Print) error {
	p.Removed = drawnPiece(f, p).Verdict.Volume - p.Verdict.Volume
	for _, other := range []field.Field{p.letters, p.drill} {
		if other == nil {
			continue
		}
		m, err := contour.Of(ctx, field.Intersection(other, p.plain), contour.Options{Step: f.Plan.Step})
		if err != nil {
			return err
		}
		p.Removed -= m.Volume()
	}
	return nil
}

// drawnPiece returns the framework's piece that a print is made from.
func drawnPiece(f *assemble.Framework, p *Print) *assemble.Piece {
	return &f.Pieces[slices.IndexFunc(f.Pieces, func(q assemble.Piece) bool { return q.Unit == p.Unit })]
}

// inspectPoses says what needs supports.
func (k *Kit) inspectPoses() {
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if !p.Pose.Supports {
			continue
		}
		k.Findings = append(k.Findings, units.Finding{
			Rule: "print-needs-supports", Severity: units.Note, Unit: p.Unit.Name,
			Message: fmt.Sprintf("the print of %s (%s) hangs over by more than %d degrees over %.0f mm²",
				p.Name, p.Pose.Text, overhangDegrees, p.Pose.Overhang),
			Value: p.Pose.Overhang, Limit: leastSupport, Measure: "mm²",
			Advice: "Print it with supports there.",
		})
	}
}
