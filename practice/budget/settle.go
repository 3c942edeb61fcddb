package budget

import (
	"context"
	"math"
	"slices"
)

// settle moves what is laid in the piece, one after another, to where it leaves
// the others most room, until all have some, no move helps or roundsMost rounds
// are done. It starts from the larger items pushed to an end or a side of the
// piece; what does not soon do better than the best so far is given up. The piece itself is not changed.
func (t *table) settle(ctx context.Context, p *piece) (*piece, error) {
	best := p.copied()
	if err := t.measure(best); err != nil {
		return nil, err
	}
	starts, err := t.starts(best)
	if err != nil {
		return nil, err
	}
	for _, start := range starts {
		now := p.copied()
		now.laid = start
		for range roundsMost {
			better, err := t.moveAll(ctx, now, best.least())
			if err != nil {
				return nil, err
			}
			if better {
				best = now.copied()
			}
			if !better || best.least() >= 0 {
				break
			}
		}
		if best.least() >= 0 {
			break
		}
	}
	if err := t.perfect(ctx, best); err != nil {
		return nil, err
	}
	return best, nil
}

// perfect moves each item but strips along the piece once more, to its best place beside the
// others as they lie, until that helps none or roundsMost rounds are done.
func (t *table) perfect(ctx context.Context, p *piece) error {
	if err := t.measure(p); err != nil {
		return err
	}
	for range roundsMost {
		before := p.least()
		for k, l := range p.laid {
			if l.along || l.spare > p.least()+perfectGain {
				continue // others have less
			}
			others := slices.Delete(slices.Clone(p.laid), k, k+1)
			q := best()
			q.from, q.boxes = &l.at, perfectBoxes
			found, err := t.try(ctx, l.item, p, others, q)
			if err != nil {
				return err
			}
			if found.spare > l.spare {
				p.laid[k] = found
				if err := t.measure(p); err != nil {
					return err
				}
			}
		}
		if p.least() < before+perfectGain {
			break
		}
	}
	return nil
}

// moveAll moves each item but strips along the piece, the last laid first, to where it has more
// room than the least asked for, and reports whether all have that in the end.
// The others were pushed aside for the last one: if that did not help it, the
// rest is left.
func (t *table) moveAll(ctx context.Context, p *piece, least float64) (bool, error) {
	last := len(p.laid) - 1
	for k := last; k >= 0; k-- {
		l := p.laid[k]
		if l.along {
			continue
		}
		others := slices.Delete(slices.Clone(p.laid), k, k+1)
		found, err := t.try(ctx, l.item, p, others, goal{floor: least, enough: 0, rough: true, boxes: settleBoxes})
		if err != nil {
			return false, err
		}
		if k == last && found.spare <= least+spareTolerance {
			return false, nil
		}
		p.laid[k] = found
	}
	if err := t.measure(p); err != nil {
		return false, err
	}
	return p.least() > least+spareTolerance, nil
}

// How long items of a piece are moved about.
const (
	roundsMost   = 4
	settleBoxes  = 800
	perfectBoxes = 2000
	perfectGain  = 0.1 // mm of spare that another round is worth
)

// starts returns the layouts that settle starts from: all but the last item
// pushed to either end of the piece, or to either side.
func (t *table) starts(p *piece) ([][]laid, error) {
	var starts [][]laid
	sin, cos := math.Sincos(p.shape.axis)
	for _, to := range [...][2]float64{{cos, sin}, {-cos, -sin}, {-sin, cos}, {sin, -cos}} {
		start := slices.Clone(p.laid)
		for k, l := range start[:len(start)-1] {
			if l.along {
				continue
			}
			l.at.x += to[0] * pushed
			l.at.y += to[1] * pushed
			moved, err := t.lies(l.item, l.shape, l.at, l.spare, l.spare)
			if err != nil {
				return nil, err
			}
			start[k] = moved
		}
		starts = append(starts, start)
	}
	return starts, nil
}

// pushed is how far in mm items are pushed aside to make room.
const pushed = 8.0
