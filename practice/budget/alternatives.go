package budget

import (
	"cmp"
	"math"
	"slices"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// tried is an alternative with its layout.
type tried struct {
	Alternative
	layout layout
	parts  []Part
	cuts   [][]mgl64.Vec2
	rank   int
}

// alternatives tries other ways to a unit that does not come out of its piece
// and returns them, the best first: those that work, the cheapest first, then
// those that lack least.
func (c *checker) alternatives(u *units.Unit, items []item, named []offer, bend *Bend) ([]tried, error) {
	var all []tried
	works := func(a tried) bool { return a.Works }
	for _, way := range []struct {
		try  func(*units.Unit, []item, []offer, *Bend) ([]tried, error)
		cuts bool // whether the unit is cut
		last bool // tried only if nothing else works
	}{
		{c.otherPieces, false, false}, {c.leaves, false, false}, {c.piecesAtHand, true, true},
		{c.furtherCasts, false, false}, {c.castsInPieces, true, true},
	} {
		if u.Pieces > 1 && !way.cuts || way.last && slices.ContainsFunc(all, works) {
			continue
		}
		found, err := way.try(u, items, named, bend)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	slices.SortStableFunc(all, func(a, b tried) int {
		switch {
		case a.Works != b.Works && a.Works:
			return -1
		case a.Works != b.Works:
			return 1
		case a.Works && a.rank != b.rank:
			return cmp.Compare(a.rank, b.rank)
		}
		return cmp.Compare(b.Spare, a.Spare)
	})
	return all, nil
}

// choose enters the alternatives, and takes the first if it works.
func (c *checker) choose(d *done, all []tried) error {
	for i := range all {
		all[i].describe(c)
		d.result.Alternatives = append(d.result.Alternatives, all[i].Alternative)
	}
	if d.unit.Pieces > 1 && len(all) > 0 {
		d.result.Spare = all[0].Spare
	}
	if len(all) == 0 || !all[0].Works {
		return nil
	}
	first := &all[0]
	for _, p := range first.layout.pieces {
		if slices.ContainsFunc(first.layout.placed, func(l placed) bool { return l.piece == p && !l.behind }) {
			// It was found by looking for any place that has room.
			if err := c.table.perfect(c.ctx, p); err != nil {
				return err
			}
		}
	}
	d.result.Taken, d.taken, d.placed = 0, first, first.layout.placed
	switch {
	case first.ExtraCasts > 0: // it stays short
	case first.Seams > 0:
		d.result.Verdict = FitsInPieces
	default:
		d.result.Verdict = FitsElsewhere
	}
	d.result.Parts, d.result.Cuts = first.parts, first.cuts
	c.take(first.layout)
	return nil
}

// settleUp renews what is said of a unit from how its parts lie in the end:
// units laid after it may have moved them.
func (c *checker) settleUp(d *done) error {
	spare := math.Inf(1)
	for k := range d.placed {
		l := &d.placed[k]
		if !d.result.Drawn {
			l.piece = c.table.pieces[l.piece.index]
		}
		for _, now := range append(slices.Clone(l.piece.laid), l.piece.behind...) {
			if now.shape == l.shape {
				l.laid = now
			}
		}
		spare = math.Min(spare, l.spare)
	}
	switch {
	case d.taken != nil:
		a := d.taken
		a.Spare, a.Placements = spare, nil
		for _, l := range d.placed {
			a.Placements = append(a.Placements, l.placement(l.piece, l.behind))
		}
		a.describe(c)
		d.result.Alternatives[0] = a.Alternative
	case len(d.placed) > 0 && d.result.Verdict != Short:
		d.result.Spare, d.result.Proven = spare, d.placed[0].proven
	}
	for _, l := range d.placed {
		d.result.Placements = append(d.result.Placements, l.placement(l.piece, l.behind))
	}
	if err := c.settleBend(d); err != nil {
		return err
	}
	d.result.Text = c.words(&d.result, d.unit)
	return nil
}

// ranks of the ways, from the cheapest to the dearest: cartilage at hand before
// more of it, whole before cut.
var ranks = map[Way]int{OtherPiece: 1, BehindUnits: 2, InPieces: 3, FurtherCast: 4, CastInPieces: 5}

// attempt turns a layout into an alternative.
func (c *checker) attempt(way Way, l layout, cut piecing) tried {
	a := tried{layout: l, rank: ranks[way]}
	a.Way, a.Spare, a.Works, a.Length = way, l.spare, l.spare >= 0, lengthOf(cut.cuts)
	a.cuts = cut.cuts
	for i, part := range cut.parts {
		a.Seams = i
		a.parts = append(a.parts, Part{Name: cut.items[i].part, Outline: part})
	}
	for _, p := range l.placed {
		a.Placements = append(a.Placements, p.placement(p.piece, p.behind))
	}
	for _, p := range l.pieces {
		if p.index < 0 && len(p.laid) > 0 {
			a.ExtraCasts++
		}
	}
	return a
}

// otherPieces tries every piece that was not named for the unit.
func (c *checker) otherPieces(_ *units.Unit, items []item, named []offer, _ *Bend) ([]tried, error) {
	var all []tried
	for _, p := range c.table.pieces {
		if slices.ContainsFunc(named, func(o offer) bool { return o.piece == p }) {
			continue
		}
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p}}, decide(), math.Inf(-1))
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(OtherPiece, l, piecing{}))
	}
	return all, nil
}

// leaves tries the leaf behind what is carved from each piece.
func (c *checker) leaves(_ *units.Unit, items []item, _ []offer, _ *Bend) ([]tried, error) {
	var all []tried
	for _, p := range c.table.pieces {
		if len(p.laid) == 0 || c.table.leafHeight(p) < items[0].height {
			continue
		}
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p, behind: true}}, decide(), math.Inf(-1))
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(BehindUnits, l, piecing{}))
	}
	return all, nil
}

// leafHeight returns how thick a leaf is left behind what is laid in the piece.
func (t *table) leafHeight(p *piece) float64 {
	front := 0.0
	for _, l := range p.laid {
		front = math.Max(front, l.height)
	}
	return p.stock.Thickness - front - t.kerf
}

// furtherCasts tries one more cast of each piece.
func (c *checker) furtherCasts(_ *units.Unit, items []item, _ []offer, _ *Bend) ([]tried, error) {
	var all []tried
	for _, p := range c.table.pieces {
		if len(p.laid) == 0 || p.further {
			continue // an empty piece of this kind was tried already, or will be
		}
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p.fresh()}}, decide(), math.Inf(-1))
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(FurtherCast, l, piecing{}))
	}
	return all, nil
}

// castsInPieces tries the cuts that came to nothing with what is at hand out of that
// and one more cast of each piece.
func (c *checker) castsInPieces(u *units.Unit, items []item, named []offer, _ *Bend) ([]tried, error) {
	if !mayBeCut(u, items) {
		return nil, nil
	}
	var all []tried
	for _, p := range c.table.pieces {
		if p.further {
			continue
		}
		offers := append([]offer{{piece: p.fresh()}}, c.atHand(named)...)
		found, err := c.layPieces(CastInPieces, c.worth, offers, nil, 0)
		if err != nil {
			return nil, err
		}
		if found != nil && found.ExtraCasts > 0 {
			all = append(all, *found)
		}
		if found != nil && found.Works {
			break
		}
	}
	return all, nil
}

// mayBeCut reports whether a unit is one outline that the case lets be cut.
func mayBeCut(u *units.Unit, items []item) bool { return len(items) == 1 && u.Pieces != 1 }

// atHand returns all pieces on the table, the named ones first.
func (c *checker) atHand(named []offer) []offer {
	offers := slices.Clone(named)
	for _, p := range c.table.pieces {
		if !slices.ContainsFunc(offers, func(o offer) bool { return o.piece == p }) {
			offers = append(offers, offer{piece: p})
		}
	}
	return offers
}

// piecesAtHand tries the unit in pieces out of what is at hand.
func (c *checker) piecesAtHand(u *units.Unit, items []item, named []offer, bend *Bend) ([]tried, error) {
	if !mayBeCut(u, items) {
		return nil, nil
	}
	best, err := c.inPieces(u, items[0], c.atHand(named), bend)
	if err != nil || best == nil {
		return nil, err
	}
	return []tried{*best}, nil
}
