package kit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/field"
	"earframe/mesh"
	"earframe/units"
)

// crumbShare is the share of a unit's print below which a part that hangs on
// nothing is a crumb, left over beside a seat, and not a part of the unit.
const crumbShare = 0.01

// crumbs is what was left out of a print.
type crumbs struct {
	count  int
	volume float64 // mm³
}

// surface makes the piece's mesh from a solid without crumbs: of the parts that
// hang together the largest are kept, as many as are drawn (one of a unit that
// was cut), and the others unless they are less than crumbShare of the whole
// unit. Shells are left out whole, with any hollow that lies in them, so that
// the mesh stays closed.
func (p *Print) surface(ctx context.Context, solid field.Field, plan *units.Plan) (*mesh.Mesh, mesh.Verdict, error) {
	p.left = crumbs{}
	m, verdict, err := surface(ctx, solid, p.step(plan), plan.Tolerance)
	if p.whole == 0 {
		p.whole = verdict.Volume
	}
	if err != nil || len(verdict.Shells) < 2 {
		return m, verdict, err
	}
	keep := len(p.Unit.Outlines)
	if p.Cut != nil {
		keep = 1
	}
	parts := shells(m)
	slices.SortStableFunc(parts, func(a, b *mesh.Mesh) int { return cmp.Compare(b.Volume(), a.Volume()) })
	var boxes []field.Box // of the crumbs
	kept := &mesh.Mesh{}
	for i, part := range parts {
		volume := part.Volume()
		lo, hi := part.Bounds()
		box := field.Box{Min: lo, Max: hi}
		hollow := volume < 0 && slices.ContainsFunc(boxes, func(b field.Box) bool { return b.Join(box) == b })
		if !hollow && (i < keep || volume < 0 || volume >= crumbShare*p.whole) {
			join(kept, part)
			continue
		}
		if !hollow {
			boxes = append(boxes, box)
			p.left.count++
		}
		p.left.volume += volume
	}
	if p.left.count == 0 {
		return m, verdict, nil
	}
	if verdict, err = mesh.JudgeContext(ctx, kept); err == nil && !verdict.Sound() {
		err = fmt.Errorf("without its crumbs: %w", verdict.Err())
	}
	return kept, verdict, err
}

// join adds a mesh's triangles to another's.
func join(to, part *mesh.Mesh) {
	first := int32(len(to.Vertices))
	to.Vertices = append(to.Vertices, part.Vertices...)
	for _, t := range part.Triangles {
		to.Triangles = append(to.Triangles, [3]int32{t[0] + first, t[1] + first, t[2] + first})
	}
}

// inspectCrumbs says what was left out of the prints of each unit.
func (k *Kit) inspectCrumbs() {
	var seen []*units.Unit
	for i := range k.Pieces {
		unit := k.Pieces[i].Unit
		if slices.Contains(seen, unit) {
			continue
		}
		seen = append(seen, unit)
		var all crumbs
		for j := range k.Pieces {
			if p := &k.Pieces[j]; p.Unit == unit {
				all.count += p.left.count
				all.volume += p.left.volume
			}
		}
		if all.count == 0 {
			continue
		}
		by, less := fmt.Sprintf("room of %g mm around its neighbours", k.Clearance), "a smaller kit.clearance"
		if k.Pieces[i].drill != nil {
			by += ", with the holes drilled through it,"
			less += " or fixation.hole"
		}
		crumb := "crumbs"
		if all.count == 1 {
			crumb = "crumb"
		}
		k.Findings = append(k.Findings, units.Finding{
			Rule: "crumbs-left-out", Severity: units.Note, Unit: unit.Name,
			Message: fmt.Sprintf("%s leaves %d loose %s of %.1f mm³ in all; the print is made without", by, all.count,
				crumb, math.Max(all.volume, 0)),
			Value: all.volume, Limit: crumbShare * k.Pieces[i].whole, Measure: "mm³",
			Advice: "Nothing is to be done, unless the unit was to reach there: then give " + less + ".",
		})
	}
}
