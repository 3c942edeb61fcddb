package sheet

import (
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// stockPages show the pieces of cartilage with the units that are cut from them.
func (l *layout) stockPages() {
	if len(l.in.Nestings) == 0 {
		return
	}
	first := len(l.pages)
	var figures []figure
	for _, n := range l.in.Nestings {
		figures = append(figures, l.stockFigure(n))
	}
	l.pack("Cartilage: what is cut from which piece", figures)
	for _, p := range l.pages[first:] {
		p.view = inThePiece
	}
	l.explain(first, []sample{
		{pen: framePen, words: "the piece of cartilage"},
		{pen: outlinePen, words: "a unit cut from it"},
		{pen: finePen, shape: anArrow, words: "grain: along the rib"},
	}, "A strip is bent to its outline after cutting.")
}

// nameAir is how far a unit's name keeps from lines, mm.
const nameAir = 0.4

func (l *layout) stockFigure(n Nesting) figure {
	f := figure{title: n.Name, badge: l.in.Plan.Side.Letter(), caption: append([]string{n.Name}, n.Notes...)}
	for _, placed := range n.Placed {
		if u := l.in.Plan.Unit(placed.Name); u != nil {
			f.add(pen{colour: tint(u.Part)}, true, rings(placed.Outlines)...)
		}
	}
	f.add(framePen, true, rings(n.Stock)...) // over the tints, to show where a unit sticks out
	for _, placed := range n.Placed {
		f.add(outlinePen, true, rings(placed.Outlines)...)
	}
	near := newCrowd(obstacles(&f))
	var loose []callout // units too narrow for their names
	for i, placed := range n.Placed {
		var others []template.Outline
		for k, other := range n.Placed {
			if k != i {
				others = append(others, other.Outlines...)
			}
		}
		words := placed.Name
		if u := l.in.Plan.Unit(placed.Name); u != nil {
			words = u.Label
		}
		if placed.Words != "" {
			words += ", " + placed.Words
		}
		words = l.fonts.clean(words + "  " + l.in.Plan.Side.Letter())
		half := mgl64.Vec2{l.fonts.width(words, small) / 2, small.capitals() / 2}
		if at, room := roomiest(placed.Outlines, near, half, others...); room > nameAir {
			f.labels = append(f.labels, label{at: at, words: words, style: small})
			continue
		}
		at, room := roomiest(placed.Outlines, near, mgl64.Vec2{}, others...)
		if room < 0 { // wholly under others
			at, _ = roomiest(placed.Outlines, near, mgl64.Vec2{})
		}
		loose = append(loose, callout{words, at})
	}
	f.listBeneath(loose, l.fonts)
	lo, hi := f.bounds(l.fonts)
	middle := mgl64.Vec2{(lo[0] + hi[0]) / 2, hi[1] + 3}
	f.add(finePen, false, arrow(middle.Sub(mgl64.Vec2{9, 0}), middle.Add(mgl64.Vec2{9, 0}))...)
	return f
}
