package budget

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// layout is items laid in pieces: copies of the table's, which they replace if
// the layout is taken.
type layout struct {
	pieces []*piece
	placed []placed
	spare  float64 // the least of the items laid, and of those moved for them
}

// placed says where an item of a layout is.
type placed struct {
	laid
	piece  *piece
	behind bool
}

// offer is a piece, or the leaf behind what is carved from it, that items may be
// laid in.
type offer struct {
	piece  *piece
	behind bool
}

// decide returns the goal for any place with room. If there is none, that is
// mostly proven; a search that finds none in decideBoxes is given up, and a unit
// is then taken to be short by what the best place found lacks.
func decide() goal {
	return goal{floor: -spareTolerance, enough: 0, rough: true, boxes: decideBoxes}
}

// decideBoxes is how many boxes are looked at for any place with room: without
// one, most searches end after some hundred.
const decideBoxes = 1200

// lay lays the items, the largest first, each in the first offer that has room
// for it, or in the one where it lacks least. The offers' pieces are not
// changed. Once an item has no more spare than the worst that is of interest,
// the rest is not laid any more.
func (t *table) lay(ctx context.Context, items []item, offers []offer, q goal, worst float64) (layout, error) {
	l := layout{spare: math.Inf(1)}
	offers = slices.Clone(offers)
	copies := map[*piece]*piece{}
	for i := range offers {
		p := offers[i].piece
		if copies[p] == nil {
			copies[p] = p.copied()
			l.pieces = append(l.pieces, copies[p])
		}
		offers[i].piece = copies[p]
	}
	items = slices.Clone(items)
	slices.SortStableFunc(items, func(a, b item) int { return cmp.Compare(b.area(), a.area()) })
	for _, i := range items {
		best, where, err := t.choose(ctx, i, offers, q)
		if err != nil {
			return layout{}, err
		}
		if where == nil {
			return layout{spare: math.Inf(-1)}, nil
		}
		if where.behind {
			where.piece.behind = append(where.piece.behind, best)
		} else {
			where.piece.laid = append(where.piece.laid, best)
		}
		l.placed = append(l.placed, placed{best, where.piece, where.behind})
		if l.spare = math.Min(l.spare, best.spare); l.spare <= worst {
			break
		}
	}
	return l, nil
}

// longestElsewhere reports whether the longest piece of a strip comes from another rib
// than is named for it.
func (l layout) longestElsewhere() bool {
	first := l.placed[0] // the largest is laid first
	return first.strip && len(first.unit.Ribs) > 0 && !first.piece.stock.serves(first.unit)
}

// pushed moves what lies in one piece with an item that lacks room there, if that gives
// all of it some; the layout itself if not.
func (t *table) pushed(ctx context.Context, l layout) (layout, error) {
	moved := l
	moved.pieces, moved.placed = slices.Clone(l.pieces), slices.Clone(l.placed)
	for k, p := range l.pieces {
		last := len(p.laid) - 1
		if last < 1 || len(p.behind) > 0 || p.laid[last].spare >= 0 {
			continue
		}
		settled, err := t.settle(ctx, p)
		if err != nil || settled.least() < 0 {
			return l, err
		}
		moved.pieces[k] = settled
		for i := range moved.placed {
			if at := &moved.placed[i]; at.piece == p {
				at.piece = settled
				at.laid = settled.laid[slices.IndexFunc(settled.laid, func(o laid) bool { return o.shape == at.shape })]
			}
		}
	}
	moved.spare = math.Inf(1)
	for _, p := range moved.placed {
		moved.spare = math.Min(moved.spare, p.spare)
	}
	return moved, nil
}

// choose finds the first offer with room for the item, or the one where it lacks
// least, and its place there; nil if there is no offer. Where the best place is
// looked for, the first offer stands for what has no room anywhere.
func (t *table) choose(ctx context.Context, i item, offers []offer, q goal) (best laid, where *offer, err error) {
	for k := range offers {
		found, err := t.tryOffer(ctx, i, offers[k], decide())
		if err != nil {
			return laid{}, nil, err
		}
		if where == nil || found.spare > best.spare {
			best, where = found, &offers[k]
		}
		if found.spare >= 0 {
			break
		}
	}
	if where == nil || best.spare >= q.enough || q.enough == 0 {
		return best, where, nil
	}
	if best.spare < 0 && where != &offers[0] {
		where = &offers[0]
		best, err = t.tryOffer(ctx, i, *where, decide())
		if err != nil {
			return laid{}, nil, err
		}
	}
	q.from = &best.at
	if len(where.piece.laid)+len(where.piece.behind) > 0 {
		q.boxes = besideBoxes
	}
	found, err := t.tryOffer(ctx, i, *where, q)
	return found, where, err
}

// besideBoxes is how long the best place beside others is looked for: their
// layout is not the best anyway, and it takes long where much is equally tight.
const besideBoxes = 12_000

// area returns the area of the item in mm².
func (i item) area() float64 {
	if i.strip {
		return i.length * i.width
	}
	return i.shape.outline.Area()
}

// tryOffer finds the best place of the item in the offer.
func (t *table) tryOffer(ctx context.Context, i item, o offer, q goal) (laid, error) {
	if !o.behind {
		return t.try(ctx, i, o.piece, o.piece.laid, q)
	}
	// Both leaves together are sawn from the middle of the thickness.
	both := i.height + t.kerf
	front := 0.0
	for _, l := range o.piece.laid {
		front = math.Max(front, l.height)
	}
	both += front
	for _, l := range o.piece.behind {
		both = math.Max(both, front+t.kerf+l.height)
	}
	thick := i
	thick.height = both
	found, err := t.try(ctx, thick, o.piece, o.piece.behind, q)
	if err != nil {
		return laid{}, err
	}
	found.height = i.height
	for _, l := range o.piece.laid {
		r, err := t.room(o.piece, both, nil)
		if err != nil {
			return laid{}, err
		}
		spare, _ := newSearch(l.shape, r, best()).look(l.at, pose{}, math.Inf(-1))
		found.spare = math.Min(found.spare, spare)
	}
	return found, nil
}

// measure gives each item laid in the piece the spare that it has beside the
// others as they now lie.
func (t *table) measure(p *piece) error {
	for k := range p.laid {
		others := slices.Delete(slices.Clone(p.laid), k, k+1)
		r, err := t.room(p, p.laid[k].height, others)
		if err != nil {
			return err
		}
		w := newSearch(p.laid[k].shape, r, best())
		p.laid[k].spare, _ = w.look(p.laid[k].at, pose{}, math.Inf(-1))
		p.laid[k].gap, p.laid[k].proven = 0, false // of a layout of several nothing is proven
		p.laid[k] = p.laid[k].inThickness(p)
	}
	return nil
}

// least returns the least spare of what is laid in the piece.
func (p *piece) least() float64 {
	least := math.Inf(1)
	for _, l := range p.laid {
		least = math.Min(least, l.spare)
	}
	return least
}
