package kit

import (
	"context"
	"fmt"
	"slices"

	"earframe/assemble"
	"earframe/field"
	"earframe/mesh/contour"
	"earframe/units"
)

// inspect measures what room was made and adds what is to be minded about it.
func (k *Kit) inspect(ctx context.Context, f *assemble.Framework) error {
	solids, err := f.Plan.Solids(ctx)
	if err != nil {
		return err
	}
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if got, drawn := len(p.Verdict.Shells)-p.Verdict.Cavities, len(p.Unit.Outlines); got > drawn {
			were := "were"
			if drawn == 1 {
				were = "was"
			}
			k.Findings = append(k.Findings, units.Finding{
				Severity: units.Error, Unit: p.Unit.Name,
				Message: fmt.Sprintf("with room of %g mm around its neighbours its print falls into %d pieces where %d %s drawn", k.Clearance, got, drawn, were),
				Value:   float64(got), Limit: float64(drawn), Measure: "pieces",
				Advice: "Give a smaller kit.clearance, or a thicker unit.",
			})
		}
		if p.room == nil {
			continue
		}
		if err := k.measureRoom(ctx, f, p); err != nil {
			return err
		}
		s := solids[slices.IndexFunc(solids, func(s units.Solid) bool { return s.Unit == p.Unit })]
		if err := k.thinWall(ctx, f, p, s.Field); err != nil {
			return err
		}
	}
	return nil
}

// measureRoom works out how much was taken from a unit as drawn to make room.
func (k *Kit) measureRoom(ctx context.Context, f *assemble.Framework, p *Piece) error {
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
func drawnPiece(f *assemble.Framework, p *Piece) *assemble.Piece {
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
			Severity: units.Note, Unit: p.Unit.Name,
			Message: fmt.Sprintf("the print of %s (%s) hangs over by more than %d degrees over %.0f mm²", p.Name, p.Pose.Text, overhangDegrees, p.Pose.Overhang),
			Value:   p.Pose.Overhang, Limit: leastSupport, Measure: "mm²",
			Advice: "Print it with supports there.",
		})
	}
}
