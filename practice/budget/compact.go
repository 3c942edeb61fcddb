package budget

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Compaction: what is laid in a remainder is moved toward an end of it, by
// compactStep mm at a time as long as it keeps compactSpare mm to spare, at most
// compactSteps times.
const (
	compactStep  = 0.5
	compactSpare = 0.2
	compactSteps = 400
)

// compacted returns copies of the piece in which the units that no rib is named
// for are moved toward one end or the other: they were laid where they have most
// room, which is mostly the middle of it. There are none if nothing can be moved.
func (t *table) compacted(p *piece) ([]*piece, error) {
	if !slices.ContainsFunc(p.laid, func(l laid) bool { return len(l.unit.Ribs) == 0 && !l.along }) {
		return nil, nil
	}
	sin, cos := math.Sincos(p.shape.axis)
	var variants []*piece
	for _, to := range [...]mgl64.Vec2{{cos, sin}, {-cos, -sin}} {
		q := p.copied()
		for k, l := range q.laid {
			if len(l.unit.Ribs) > 0 || l.along {
				continue
			}
			moved, err := t.compact(q, l, slices.Delete(slices.Clone(q.laid), k, k+1), to)
			if err != nil {
				return nil, err
			}
			q.laid[k] = moved
		}
		variants = append(variants, q)
	}
	return variants, nil
}

// compact moves an item in the direction, or aslant where that is blocked.
func (t *table) compact(p *piece, l laid, others []laid, to mgl64.Vec2) (laid, error) {
	r, err := t.room(p, l.height, others)
	if err != nil {
		return laid{}, err
	}
	w := newSearch(l.shape, r, best())
	aside := mgl64.Vec2{-to[1], to[0]}
	at, spare := l.at, l.spare
	for range compactSteps {
		moved := false
		for _, by := range [...]mgl64.Vec2{to, to.Add(aside), to.Sub(aside)} {
			next := pose{at.x + by[0]*compactStep, at.y + by[1]*compactStep, at.turn}
			if s, _ := w.look(next, pose{}, compactSpare); s > compactSpare {
				at, spare, moved = next, s, true
				break
			}
		}
		if !moved {
			break
		}
	}
	l, err = t.lies(l.item, l.shape, at, spare, spare)
	l.proven = false
	return l, err
}
