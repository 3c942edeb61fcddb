package kit

import (
	"context"
	"fmt"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// cutAsCarved cuts the prints of units that are carved in pieces along the same cuts,
// with a dovetail across each where it is broad enough: the pieces are laid into one
// another from above and glued.
func (k *Kit) cutAsCarved(ctx context.Context, plan *units.Plan, cuttings []units.Cutting) error {
	var all []Print
	for _, whole := range k.Pieces {
		i := slices.IndexFunc(cuttings, func(c units.Cutting) bool { return c.Unit == whole.Unit.Name })
		if i < 0 {
			all = append(all, whole)
			continue
		}
		pieces, err := k.pieces(ctx, plan, whole.bare(), cuttings[i])
		if err != nil {
			return fmt.Errorf("kit: %s: %w", whole.Name, err)
		}
		all = append(all, pieces...)
	}
	k.Pieces = all
	return nil
}

// pieces returns the pieces of a print. Each keeps the clearance to those before it.
func (k *Kit) pieces(ctx context.Context, plan *units.Plan, whole Print, c units.Cutting) ([]Print, error) {
	outlines, keys, err := keyedPieces(c, plan.Printer.Wall)
	if err != nil {
		return nil, err
	}
	pieces := make([]Print, len(outlines))
	var before []field.Field
	for i, o := range outlines {
		curtain, err := units.Curtain(whole.Solid, o)
		if err != nil {
			return nil, err
		}
		p := whole
		p.Name = whole.Name + ", " + c.Pieces[i].Label
		p.part, p.Cut = string(rune('A'+i)), &Cut{Keys: keys}
		p.Solid = field.Intersection(p.Solid, curtain)
		if len(before) > 0 {
			p.Solid = field.Difference(p.Solid, field.Offset(field.Union(before...), k.Clearance))
			p.left = crumbs{} // the first has them
		}
		p.plain, p.drill = p.Solid, nil // its holes are in it
		others, err := beyondRing(o.Outer)
		if err != nil {
			return nil, err
		}
		p.outside = []*field.Region{others}
		before, pieces[i] = append(before, curtain), p
	}
	return pieces, workers.Each(ctx, "", len(pieces), func(i int) error {
		if err := pieces[i].print(ctx, plan); err != nil {
			return err
		}
		return pieces[i].letterPart(ctx, plan)
	})
}

// keyedPieces returns the outlines of the pieces with dovetails across the cuts, and how
// many there are.
func keyedPieces(c units.Cutting, wall float64) (outlines []template.Outline, keys int, err error) {
	for _, piece := range c.Pieces {
		outlines = append(outlines, piece.Outline)
	}
	for _, cut := range c.Cuts {
		at := longest(cut)
		from, to := cut[at-1], cut[at]
		gives, takes := beside(outlines, from, to), beside(outlines, to, from)
		if gives < 0 || takes < 0 {
			continue // another cut ends on it
		}
		region, err := template.Region(outlines[gives])
		if err != nil {
			return nil, 0, err
		}
		key := dovetail(region, from, to, wall)
		if key == nil {
			continue
		}
		outlines[gives].Outer = inserted(outlines[gives].Outer, from, to, key)
		slices.Reverse(key)
		outlines[takes].Outer = inserted(outlines[takes].Outer, to, from, key)
		keys++
	}
	return outlines, keys, nil
}

// longest returns the index of the point at which the longest straight part of a cut
// ends.
func longest(cut []mgl64.Vec2) int {
	best := 1
	for i := 2; i < len(cut); i++ {
		if cut[i].Sub(cut[i-1]).Len() > cut[best].Sub(cut[best-1]).Len() {
			best = i
		}
	}
	return best
}

// beside returns the index of the outline that has the edge, -1 if none has.
func beside(outlines []template.Outline, from, to mgl64.Vec2) int {
	return slices.IndexFunc(outlines, func(o template.Outline) bool { return edgeOf(o.Outer, from, to) >= 0 })
}

func edgeOf(ring template.Ring, from, to mgl64.Vec2) int {
	for i, p := range ring {
		if p == from && ring[(i+1)%len(ring)] == to {
			return i
		}
	}
	return -1
}

func inserted(ring template.Ring, from, to mgl64.Vec2, points []mgl64.Vec2) template.Ring {
	return slices.Insert(slices.Clone(ring), edgeOf(ring, from, to)+1, points...)
}

// dovetail returns a dovetail to the left of the middle of a cut's edge, which the
// region on that side gives up, if its neck is at least as thick as the thinnest wall
// that prints and as much is left around it; else nil.
func dovetail(region *field.Region, from, to mgl64.Vec2, wall float64) []mgl64.Vec2 {
	along := to.Sub(from)
	aside := mgl64.Vec2{-along[1], along[0]}
	place := func(share, reach float64) mgl64.Vec2 {
		return from.Add(along.Mul(0.5 + share)).Add(aside.Mul(reach))
	}
	head := []mgl64.Vec2{place(-headShare/2, keyShare), place(headShare/2, keyShare)}
	for _, q := range head {
		if region.Distance(q) > -wall || neckShare*along.Len() < wall {
			return nil
		}
	}
	return []mgl64.Vec2{place(-neckShare/2, 0), head[0], head[1], place(neckShare/2, 0)}
}
