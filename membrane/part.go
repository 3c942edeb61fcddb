package membrane

import (
	"context"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// A part of a drape. Where a groove is carved a little otherwise, the skin lies
// otherwise near by and as it lay further off, so that it is laid again within a
// window only: its nodes near the window's edge keep their heights.
//
//	┌─────────────┐
//	│ · · · · · · │   ·  heights kept, keptNodes deep
//	│ · • • • • · │   •  heights looked for
//	│ · · · · · · │
//	└─────────────┘
const (
	// partMargin is how far, mm, the window reaches beyond what is carved. Skin
	// that rests on one side of a groove hardly feels the other one: what shows of
	// a groove is the same to a hundredth of a millimetre.
	partMargin = 5
	// keptNodes is how deep the frame of kept nodes is: the outermost ones carry no
	// height, and the cells of those inside them are whole.
	keptNodes = 3
	// partCells is what a window's sides are multiples of, so that multigrid can
	// halve them.
	partCells = 8
)

// part is a window on a drape.
type part struct {
	whole  *Drape
	within nodes
	now    *Drape // in the window, as it was laid last; nil before
}

// newPart opens a window that reaches partMargin beyond a rectangle, mm.
func (d *Drape) newPart(lo, hi mgl64.Vec2) *part {
	g := d.Grid
	margin := mgl64.Vec2{partMargin, partMargin}
	low, high := lo.Sub(margin).Sub(g.Origin).Mul(1/g.Step), hi.Add(margin).Sub(g.Origin).Mul(1/g.Step)
	i0, columns := evenSpan(clampIndex(low[0], g.Columns), clampIndex(high[0]+1, g.Columns), g.Columns)
	j0, rows := evenSpan(clampIndex(low[1], g.Rows), clampIndex(high[1]+1, g.Rows), g.Rows)
	return &part{whole: d, within: nodes{i0, j0, columns, rows}}
}

// evenSpan widens the nodes from first to last to a multiple of partCells cells,
// or to all of them.
func evenSpan(first, last, all int) (from, count int) {
	cells := (last - first + partCells - 1) / partCells * partCells
	if cells >= all-1 {
		return 0, all
	}
	return max(0, min(first, all-1-cells)), cells + 1
}

// lay lays the skin in the window over a frame that is nowhere higher than the
// whole drape's, and returns the whole with what has changed; only what the
// skin's outside depends on is filled in.
func (p *part) lay(ctx context.Context, frame Frame) (*Drape, error) {
	d, before := p.whole, p.now
	if before == nil {
		before = d
	}
	l := d.l.part(p.within)
	if err := l.fill(ctx, frame, d.rolls, expected{before.l, before.u}); err != nil {
		return nil, err
	}
	start := l.refine(ctx, before.l, before.u)
	for k, moves := range l.moves {
		if l.free[k] && !moves {
			start[k] = d.l.heightAt(l.at(k), d.u)
		}
	}
	answer, err := l.settle(ctx, start, d.pull, l.limits(d.options))
	if err != nil {
		return nil, err
	}
	p.now = &Drape{frame: frame, pocket: d.pocket}
	p.now.measure(ctx, l, answer.u)
	p.now.note(answer)
	p.now.finish(ctx, answer)
	return p.joined(), ctx.Err()
}

// part returns the nodes of a window as a lattice of their own, not filled yet.
func (l *lattice) part(within nodes) *lattice {
	p := &lattice{
		step: l.step, origin: l.place(l.index(within.i0, within.j0)), columns: within.columns, rows: within.rows,
		whole: l,
	}
	for j := range within.rows {
		from := l.index(within.i0, within.j0+j)
		p.distance = append(p.distance, l.distance[from:from+within.columns]...)
		p.free = append(p.free, l.free[from:from+within.columns]...)
	}
	p.moves = make([]bool, len(p.free))
	for k := range p.free {
		i, j := k%p.columns, k/p.columns
		edge := min(i, j, p.columns-1-i, p.rows-1-j)
		p.free[k] = p.free[k] && edge > 0
		p.moves[k] = p.free[k] && edge >= keptNodes
	}
	return p
}

// joined returns the whole drape with the window's heights in it.
func (p *part) joined() *Drape {
	d, g := p.whole, p.whole.Grid
	whole := &Drape{Grid: g, Inside: d.Inside, Heights: slices.Clone(d.Heights)}
	w := p.within
	inner := nodes{w.i0 + keptNodes, w.j0 + keptNodes, w.columns - 2*keptNodes, w.rows - 2*keptNodes}
	for j := inner.j0; j < inner.j0+inner.rows; j++ {
		from := (j-w.j0)*w.columns + keptNodes
		copy(whole.Heights[j*g.Columns+inner.i0:], p.now.Heights[from:from+inner.columns])
	}
	for _, place := range d.between {
		if !inner.hold(g, place.Vec2()) {
			whole.between = append(whole.between, place)
		}
	}
	for _, place := range p.now.between {
		if inner.hold(g, place.Vec2()) {
			whole.between = append(whole.between, place)
		}
	}
	return whole
}

// hold reports whether a place, mm, lies among the nodes.
func (n nodes) hold(g Grid, p mgl64.Vec2) bool {
	x, y := (p[0]-g.Origin[0])/g.Step-float64(n.i0), (p[1]-g.Origin[1])/g.Step-float64(n.j0)
	return x >= 0 && y >= 0 && x <= float64(n.columns-1) && y <= float64(n.rows-1)
}
