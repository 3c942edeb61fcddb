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

// decide returns the quest for any place with room, that proves it if there is
// none; what is short is then short of by no more than found.
func decide() quest { return quest{floor: -spareTolerance, enough: 0} }

// lay lays the items, the largest first, each in the first offer that has room
// for it, or in the one where it lacks least. The offers' pieces are not
// changed.
func (t *table) lay(ctx context.Context, items []item, offers []offer, q quest) (layout, error) {
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
		var best laid
		var where *offer
		for k := range offers {
			o := &offers[k]
			found, err := t.tryOffer(ctx, i, *o, q)
			if err != nil {
				return layout{}, err
			}
			if where == nil || found.spare > best.spare {
				best, where = found, o
			}
			if found.spare >= 0 {
				break
			}
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
		l.spare = math.Min(l.spare, best.spare)
	}
	return l, nil
}

// area returns the area of the item in mm².
func (i item) area() float64 {
	if i.strip {
		return i.length * i.width
	}
	return i.shape.outline.Area()
}

// tryOffer finds the best place of the item in the offer.
func (t *table) tryOffer(ctx context.Context, i item, o offer, q quest) (laid, error) {
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
		less := l.spare + o.piece.stock.inset(l.height) - o.piece.stock.inset(both)
		found.spare = math.Min(found.spare, less)
	}
	return found, nil
}

// settle moves what is laid in the piece, one after another, to where it leaves
// the others most room, until no move helps or roundsMost rounds are done. It
// starts from the items as they lie and from each of them pushed to an end of
// the piece.
func (t *table) settle(ctx context.Context, p *piece) (*piece, error) {
	best := p
	for _, start := range t.starts(p) {
		now := p.copied()
		now.laid = start
		for range roundsMost {
			before := now.least()
			for k := range now.laid {
				if now.laid[k].strip {
					continue
				}
				others := slices.Delete(slices.Clone(now.laid), k, k+1)
				q := quest{floor: math.Inf(-1), enough: 0, boxes: settleBoxes}
				found, err := t.try(ctx, now.laid[k].item, now, others, q)
				if err != nil {
					return nil, err
				}
				now.laid[k] = found
			}
			if err := t.measure(now); err != nil {
				return nil, err
			}
			if now.least() <= before+spareTolerance {
				break
			}
		}
		if now.least() > best.least() {
			best = now
		}
		if best.least() >= 0 {
			break
		}
	}
	return best, nil
}

// How long items of a piece are moved about.
const (
	roundsMost  = 3
	settleBoxes = 4000
)

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
		p.laid[k].gap = 0 // of a layout of several nothing is proven
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

// starts returns the layouts that settle starts from: as the items lie, and
// with the larger ones pushed to either end of the piece, or to either side.
func (t *table) starts(p *piece) [][]laid {
	starts := [][]laid{slices.Clone(p.laid)}
	sin, cos := math.Sincos(p.shape.axis)
	for _, to := range [...][2]float64{{cos, sin}, {-cos, -sin}, {-sin, cos}, {sin, -cos}} {
		start := slices.Clone(p.laid)
		for k := range start[:len(start)-1] {
			if !start[k].strip {
				start[k].at.x += to[0] * pushed
				start[k].at.y += to[1] * pushed
			}
		}
		starts = append(starts, start)
	}
	return starts
}

// pushed is how far in mm items are pushed aside to make room.
const pushed = 8.0
