package kit

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"earframe/assemble"
	"earframe/field"
	"earframe/mesh"
	"earframe/units"
)

// inspect measures what room was made and adds what is to be minded about it.
func (k *Kit) inspect(ctx context.Context, f *assemble.Framework) error {
	solids, err := f.Plan.Solids()
	if err != nil {
		return err
	}
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if got, drawn := len(p.Verdict.Shells)-p.Verdict.Cavities, len(p.Unit.Outlines); got > drawn {
			k.Findings = append(k.Findings, units.Finding{
				Severity: units.Error, Unit: p.Unit.Name,
				Message: fmt.Sprintf("with room of %g mm around its neighbours its print falls into %d pieces where %d were drawn", k.Clearance, got, drawn),
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
		if err := k.thinWall(ctx, f, p, field.Difference(s.Plain, p.room)); err != nil {
			return err
		}
	}
	return nil
}

// measureRoom works out how much was taken from a unit as drawn to make room.
func (k *Kit) measureRoom(ctx context.Context, f *assemble.Framework, p *Piece) error {
	p.Removed = drawn(f, p).Verdict.Volume - p.Verdict.Volume
	for _, other := range []field.Field{p.letters, p.drill} {
		if other == nil {
			continue
		}
		m, err := mesh.Contour(ctx, field.Intersection(other, p.plain), mesh.ContourOptions{Step: f.Plan.Step})
		if err != nil {
			return err
		}
		p.Removed -= m.Volume()
	}
	return nil
}

// drawn returns the framework's piece that a print is made from.
func drawn(f *assemble.Framework, p *Piece) *assemble.Piece {
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

// wallSteps is how many times coarser than the meshes walls are measured: rooms
// only make them thinner by a clearance, which shows at that step too.
const wallSteps = 2

// thinWall adds a finding if the room made for its neighbours leaves a wall that
// does not print where the unit as drawn has none. The solid is without letters:
// ridges between them are no walls.
func (k *Kit) thinWall(ctx context.Context, f *assemble.Framework, p *Piece, solid field.Field) error {
	m, err := mesh.Contour(ctx, solid, mesh.ContourOptions{Step: wallSteps * f.Plan.Step})
	if err != nil {
		return err
	}
	wall, err := mesh.ThinnestWall(ctx, m)
	if errors.Is(err, mesh.ErrNoWall) {
		return nil
	} else if err != nil {
		return err
	}
	limit := f.Plan.Printer.Wall
	before := drawn(f, p).Thinnest
	if wall.Thickness >= limit || before != nil && before.Thickness < limit {
		return nil
	}
	at := wall.At
	k.Findings = append(k.Findings, units.Finding{
		Severity: units.Warning, Unit: p.Unit.Name, At: &at,
		Message: fmt.Sprintf("room for %s leaves its print a wall of %.2f mm; a %s printer makes %.2f mm and more",
			strings.Join(p.GivesWay, ", "), wall.Thickness, f.Plan.Printer.Name, limit),
		Value: wall.Thickness, Limit: limit, Measure: "mm",
		Advice: fmt.Sprintf("Give kit.clearance less than %g mm, or make the unit thicker there.", k.Clearance),
	})
	return nil
}
