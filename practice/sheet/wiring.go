package sheet

import (
	"fmt"

	"earframe/units"
)

// wiringPages show the fixations with their numbers, one figure for each two
// units that are wired together: on one unit alone they would stand too close.
func (l *layout) wiringPages() {
	type pair struct{ upper, lower string }
	var pairs []pair
	of := map[pair][]Fixation{}
	for _, f := range l.in.Fixations {
		p := pair{f.Upper, f.Lower}
		if of[p] == nil {
			pairs = append(pairs, p)
		}
		of[p] = append(of[p], f)
	}
	if len(pairs) == 0 {
		return
	}
	first := len(l.pages)
	var figures []figure
	for _, p := range pairs {
		figures = append(figures, l.wiringFigure(l.in.Plan.Unit(p.upper), l.in.Plan.Unit(p.lower), of[p]))
	}
	l.pack("Wiring, seam by seam", figures)
	l.explain(first, []sample{
		{pen: framePen, words: "the unit on the outer side"},
		{pen: beneathPen, words: "the unit toward the head"},
		{pen: dotPen, shape: aDot, words: "fixation, numbered"},
	})
}

// wiringFigure draws two units as they lie on one another, and the fixations
// between them.
func (l *layout) wiringFigure(upper, lower *units.Unit, fixations []Fixation) figure {
	numbers := make([]int, len(fixations))
	for i, f := range fixations {
		numbers[i] = f.Number
	}
	title := upper.Label + " on " + lowered(lower.Label)
	f := figure{
		title: title, badge: l.in.Plan.Side.Letter(),
		caption: []string{title, fmt.Sprintf("%s: %s", counted(len(numbers), "fixation"), spans(numbers))},
	}
	f.add(pen{colour: tint(upper.Part)}, true, rings(upper.Outlines)...)
	f.add(beneathPen, true, rings(lower.Outlines)...)
	f.add(framePen, true, rings(upper.Outlines)...)
	for _, fixation := range fixations {
		f.add(dotPen, true, dot(fixation.At.Vec2()))
	}
	l.placeNumbers(&f, fixations)
	return f
}

func counted(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
