package budget

import (
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/units"
)

// Check lays the plan's units in the pieces, each in the one of its ribs, and
// says what comes out and what does not. Units that no rib is named for take
// what remains: the tragus first, out of the largest remainder, the conchal
// vault what is left, in two parts if it must. For what does not come out,
// alternatives are tried, and the best that works is laid.
//
// The error joins everything that is wrong with the pieces or the plan's
// cartilage numbers; what a piece is too small for is a finding, no error.
func Check(ctx context.Context, plan *units.Plan, stocks []Stock) (*Budget, error) {
	if err := checkInput(plan, stocks); err != nil {
		return nil, err
	}
	c := &checker{ctx: ctx, plan: plan, cartilage: plan.Practice.Cartilage}
	c.table.margin, c.table.kerf = c.cartilage.Margin, c.cartilage.Kerf
	for i, s := range stocks {
		p, err := newPiece(s, i)
		if err != nil {
			return nil, err
		}
		c.table.pieces = append(c.table.pieces, p)
	}
	for _, u := range inOrder(plan.Units) {
		if err := c.unit(u); err != nil {
			return nil, err
		}
	}
	return c.finish()
}

// checker is a budget in the making.
type checker struct {
	ctx       context.Context
	plan      *units.Plan
	cartilage units.Cartilage
	table     table
	done      []done
	cuts      map[*shape][]cutting
	worth     []piecing // of the unit that is looked at: see inPieces
}

// done is a unit with where it is laid: whole, or by the alternative taken.
type done struct {
	unit   *units.Unit
	result Unit
	placed []placed
	taken  *tried
}

// inOrder returns the units in the order in which they are laid: those with a
// rib named for them by falling area, so that of several in one piece the
// largest is first; then the tragus, the conchal vault and the others.
func inOrder(all []*units.Unit) []*units.Unit {
	rank := func(u *units.Unit) float64 {
		switch {
		case len(u.Ribs) > 0:
			area := 0.0
			for _, o := range u.Outlines {
				area += o.Area()
			}
			return -area
		case u.Part == units.Tragus:
			return 1
		case u.Part == units.Concha:
			return 2
		}
		return 3
	}
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b *units.Unit) int {
		switch ra, rb := rank(a), rank(b); {
		case ra < rb:
			return -1
		case ra > rb:
			return 1
		}
		return 0
	})
	return sorted
}

// items returns what is to be laid for a unit: each of its outlines, or the
// strip that it is bent from.
func (c *checker) items(u *units.Unit, bend *Bend) ([]item, error) {
	if bent(u) {
		i, err := c.strip(u, bend, "", [2]float64{0, 1})
		return []item{i}, err
	}
	var items []item
	for k, o := range u.Outlines {
		i := item{unit: u, height: u.Thickness}
		if len(u.Outlines) > 1 {
			i.part = fmt.Sprintf("%d of %d", k+1, len(u.Outlines))
		}
		var err error
		if i.shape, err = newShape(o); err != nil {
			return nil, fmt.Errorf("unit %s: %w", u.Name, err)
		}
		items = append(items, i)
	}
	return items, nil
}

// strip returns a strip to be bent to a share of the unit's centreline.
func (c *checker) strip(u *units.Unit, bend *Bend, part string, share [2]float64) (item, error) {
	length, width := (share[1]-share[0])*bend.Length+bend.Reserve, bend.Width
	s, err := newShape(straightStrip(u.Name, length, width))
	if err != nil {
		return item{}, fmt.Errorf("unit %s: %w", u.Name, err)
	}
	return item{
		unit: u, part: part, shape: s, height: u.Thickness, strip: true, length: length, width: width, share: share,
	}, nil
}

// unit finds what becomes of one unit, and lays it.
func (c *checker) unit(u *units.Unit) error {
	result := Unit{Unit: u.Name, Label: u.Label, Ribs: u.Ribs, Height: u.Thickness, Taken: -1, Verdict: NoPiece}
	w, err := newBow(u, c.cartilage)
	if err != nil {
		return err
	}
	if w != nil {
		result.Bend = w.bend(nil, c.cartilage.HelixReserve)
	}
	items, err := c.items(u, result.Bend)
	if err != nil {
		return err
	}
	offers, err := c.offers(u)
	if err != nil {
		return err
	}
	var whole layout
	switch {
	case u.Pieces > 1:
		result.Verdict = Short
	case len(offers) > 0:
		if whole, err = c.named(&result, items, offers); err != nil {
			return err
		}
	}
	d := done{unit: u, result: result, placed: whole.placed}
	if result.Verdict == Short || result.Verdict == NoPiece {
		all, err := c.alternatives(u, items, offers, result.Bend)
		if err != nil {
			return err
		}
		if err := c.choose(&d, all); err != nil {
			return err
		}
	}
	if d.taken == nil {
		// What is short still takes its place, so that nothing is promised twice,
		// but not from what was laid before.
		d.result.Drawn = d.result.Verdict == Short && slices.ContainsFunc(whole.placed,
			func(l placed) bool { return len(l.piece.laid) > len(whole.placed) })
		if !d.result.Drawn {
			c.take(whole)
		}
	}
	c.done = append(c.done, d)
	return nil
}

// offers returns the pieces that the unit should come from: those of its ribs,
// the one with most of them first; without a rib all pieces, the largest
// remainder first.
func (c *checker) offers(u *units.Unit) ([]offer, error) {
	var offers []offer
	rank := make([]float64, len(c.table.pieces))
	for _, p := range c.table.pieces {
		if len(u.Ribs) > 0 {
			if p.stock.serves(u) {
				offers = append(offers, offer{piece: p})
				for _, rib := range p.stock.Ribs {
					if slices.Contains(u.Ribs, rib) {
						rank[p.index]--
					}
				}
			}
			continue
		}
		r, err := c.table.room(p, u.Thickness, p.laid)
		if err != nil {
			return nil, err
		}
		rank[p.index] = -r.measure().largest
		offers = append(offers, offer{piece: p})
	}
	slices.SortStableFunc(offers, func(a, b offer) int {
		switch ra, rb := rank[a.piece.index], rank[b.piece.index]; {
		case ra < rb:
			return -1
		case ra > rb:
			return 1
		}
		return 0
	})
	return offers, nil
}

// named lays the whole unit in the pieces named for it, and judges it there.
func (c *checker) named(result *Unit, items []item, offers []offer) (layout, error) {
	whole, err := c.table.lay(c.ctx, items, offers, best(), math.Inf(-1))
	if err != nil {
		return layout{}, err
	}
	if whole.spare < 0 {
		if whole, err = c.makeRoom(whole); err != nil {
			return layout{}, err
		}
	}
	worst := whole.placed[0]
	for _, p := range whole.placed {
		if p.spare < worst.spare {
			worst = p
		}
	}
	result.Piece, result.Spare, result.Gap = worst.piece.stock.Name, worst.spare, worst.gap
	result.Proven = worst.proven
	if result.HeightSpare, err = c.table.heightSpare(worst.piece, worst.height); err != nil {
		return layout{}, err
	}
	switch {
	case whole.spare < 0:
		result.Verdict = Short
	default:
		result.Verdict = Fits
	}
	if worst.strip {
		c.judgeStrip(result, worst)
	} else if err := c.judgeTurn(result, worst); err != nil {
		return layout{}, err
	}
	return whole, nil
}

// judgeTurn tells how the unit is turned from lying along its piece, and how it
// would do lying so.
func (c *checker) judgeTurn(result *Unit, l placed) error {
	along := l.piece.shape.axis - l.shape.axis
	result.Slant = math.Remainder(l.at.turn-along, math.Pi) * 180 / math.Pi
	var others []laid
	for _, other := range l.piece.laid {
		if other.shape != l.shape {
			others = append(others, other)
		}
	}
	q := best()
	q.boxes = alongBoxes
	q.turns = [][2]float64{{along, along}, {along + math.Pi, along + math.Pi}}
	laidAlong, err := c.table.try(c.ctx, l.item, l.piece, others, q)
	if err != nil {
		return err
	}
	result.AlongSpare = laidAlong.spare
	if result.Verdict == Fits && laidAlong.spare < 0 && len(result.Ribs) > 0 {
		result.Verdict = FitsTurned
	}
	return nil
}

// alongBoxes is enough for two turns: most of them end far sooner.
const alongBoxes = 4000

// judgeStrip tells how the strip does in its piece.
func (c *checker) judgeStrip(result *Unit, l placed) {
	b := result.Bend
	b.Available = l.piece.stock.length() - 2*c.table.margin
	b.LengthSpare = b.Available - l.length
	b.Straight = l.straight
	result.AlongSpare = l.spare
}

// makeRoom moves what is laid with an item that lacks room, if the item would fit
// were nothing else in the piece. A layout that still lacks room is left as it
// was, so that what was laid before keeps its place.
func (c *checker) makeRoom(l layout) (layout, error) {
	last := l.placed[len(l.placed)-1]
	if len(l.placed) != 1 || last.behind || len(last.piece.laid) < 2 {
		return l, nil
	}
	alone, err := c.table.try(c.ctx, last.item, last.piece, nil, decide())
	if err != nil || alone.spare < 0 {
		return l, err
	}
	settled, err := c.table.settle(c.ctx, last.piece)
	if err != nil || settled.least() < 0 {
		return l, err
	}
	moved := layout{spare: settled.least()}
	for _, p := range l.pieces {
		if p == last.piece {
			p = settled
		}
		moved.pieces = append(moved.pieces, p)
	}
	moved.placed = []placed{{settled.laid[len(settled.laid)-1], settled, false}}
	return moved, nil
}

// take puts the layout's pieces on the table, and further casts of which
// something is used beside them.
func (c *checker) take(l layout) {
	for _, p := range l.pieces {
		switch {
		case p.index >= 0:
			c.table.pieces[p.index] = p
		case len(p.laid) > 0:
			p.index = len(c.table.pieces)
			c.table.pieces = append(c.table.pieces, p)
		}
	}
}
