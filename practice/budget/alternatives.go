package budget

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"earframe/units"
)

// tried is an alternative with its layout.
type tried struct {
	Alternative
	layout layout
	rank   int
}

// alternatives tries other ways to a unit that does not come out of its piece,
// ranks them and lays the best that works; if none does, the unit is laid where
// it lacks least.
func (c *checker) alternatives(result *Unit, u *units.Unit, items []item, named []offer, whole layout) error {
	var all []tried
	for _, way := range []func(*units.Unit, []item, []offer, *Bend) ([]tried, error){
		c.otherPieces, c.leaves, c.inTwo, c.furtherCasts,
	} {
		found, err := way(u, items, named, result.Bend)
		if err != nil {
			return err
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
	for i := range all {
		all[i].describe(c)
		result.Alternatives = append(result.Alternatives, all[i].Alternative)
	}
	if len(all) == 0 || !all[0].Works {
		if len(whole.placed) > 0 {
			c.take(whole)
		}
		return nil
	}
	result.Taken = 0
	if all[0].Way == InTwo && len(u.Ribs) == 0 {
		result.Verdict = FitsInTwo // what remains may be pieced together
	}
	c.take(all[0].layout)
	return nil
}

// ranks of the ways, from the cheapest to the dearest: cartilage at hand before
// more of it, whole before cut.
var ranks = map[Way]int{OtherPiece: 1, BehindUnits: 2, InTwo: 3, FurtherCast: 4, CastInTwo: 5}

// attempt turns a layout into an alternative.
func (c *checker) attempt(way Way, l layout, seams int, seamLength float64) tried {
	a := tried{layout: l, rank: ranks[way]}
	a.Way, a.Spare, a.Works, a.Seams, a.Length = way, l.spare, l.spare >= 0, seams, seamLength
	for _, p := range l.placed {
		a.Placements = append(a.Placements, p.placement(p.piece, p.behind))
	}
	for _, p := range l.pieces {
		if p.further && len(p.laid) > 0 && !slices.Contains(c.casts, p) {
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
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p}}, decide())
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(OtherPiece, l, 0, 0))
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
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p, behind: true}}, decide())
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(BehindUnits, l, 0, 0))
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

// furtherCasts tries one more cast of each piece, for the whole unit and for the
// unit in two parts beside what is at hand.
func (c *checker) furtherCasts(u *units.Unit, items []item, named []offer, bend *Bend) ([]tried, error) {
	var all []tried
	for _, p := range c.table.pieces {
		if len(p.laid) == 0 {
			continue // an empty piece of this kind was tried already
		}
		l, err := c.table.lay(c.ctx, items, []offer{{piece: p.fresh()}}, decide())
		if err != nil {
			return nil, err
		}
		all = append(all, c.attempt(FurtherCast, l, 0, 0))
	}
	if slices.ContainsFunc(all, func(a tried) bool { return a.Works }) {
		return all, nil
	}
	for _, p := range c.table.pieces {
		offers := append([]offer{{piece: p.fresh()}}, c.atHand(named)...)
		found, err := c.cutInTwo(CastInTwo, u, items, offers, bend)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

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

// inTwo tries the unit in two parts out of what is at hand.
func (c *checker) inTwo(u *units.Unit, items []item, named []offer, bend *Bend) ([]tried, error) {
	return c.cutInTwo(InTwo, u, items, c.atHand(named), bend)
}

// cutInTwo tries a list of cuts and returns the best of them, none if the unit
// is in several outlines already.
func (c *checker) cutInTwo(way Way, u *units.Unit, items []item, offers []offer, bend *Bend) ([]tried, error) {
	if len(items) != 1 {
		return nil, nil
	}
	var list []twoParts
	var err error
	if bent(u) {
		list, err = c.stripCuts(u, offers, bend)
	} else {
		list, err = c.planeCuts(u, items[0])
	}
	if err != nil {
		return nil, err
	}
	var best *tried
	for _, parts := range list {
		l, err := c.table.lay(c.ctx, parts.items, offers, decide())
		if err != nil {
			return nil, err
		}
		a := c.attempt(way, l, 1, parts.length)
		if best == nil || a.Spare > best.Spare {
			best = &a
		}
		if best.Works {
			break // the cuts are in the order of preference
		}
	}
	if best == nil {
		return nil, nil
	}
	return []tried{*best}, nil
}

// twoParts is a unit cut in two.
type twoParts struct {
	items  []item
	length float64 // of the cut, mm
}

// planeCuts returns the cuts tried of a unit: straight ones across it, then
// along it, then slanting, each near the middle first.
func (c *checker) planeCuts(u *units.Unit, whole item) ([]twoParts, error) {
	var list []twoParts
	for _, slant := range []float64{math.Pi / 2, 0, math.Pi / 4, -math.Pi / 4} {
		for _, share := range cutShares {
			l := whole.shape.cutLine(whole.shape.axis+slant, share)
			left, right, length := cut(whole.shape.outline, l)
			if len(left) != 1 || len(right) != 1 {
				continue // it falls into more than two
			}
			parts := twoParts{length: length}
			names := c.sides(left[0].Outer, right[0].Outer)
			for k, half := range [...]int{0, 1} {
				o := left[0]
				if half == 1 {
					o = right[0]
				}
				i := whole
				i.part = names[k]
				var err error
				if i.shape, err = newShape(o); err != nil {
					return nil, fmt.Errorf("unit %s, %s part: %w", u.Name, i.part, err)
				}
				parts.items = append(parts.items, i)
			}
			list = append(list, parts)
		}
	}
	return list, nil
}

// cutShares is where a unit is cut, as shares of its extent across the cut.
var cutShares = []float64{0.5, 0.42, 0.58, 0.34, 0.66}
