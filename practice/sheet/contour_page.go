package sheet

import (
	"fmt"
	"math"
	"slices"

	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// mostLevels bounds how many contour lines are drawn: a framework is some 12 mm
// high, and lines lie 0.1 mm apart at the closest.
const mostLevels = 1000

// shortestLine is the shortest piece of a contour line drawn, mm: shorter ones
// are specks of the lattice.
const shortestLine = 0.6

// contourPage shows the heights of the assembled frame.
func (l *layout) contourPage() {
	if l.in.Heights == nil {
		return
	}
	first := len(l.pages)
	l.pack("Heights of the assembled frame", []figure{l.contourFigure()})
	every := decimal(l.in.Plan.Practice.Sheets.Contour)
	l.explain(first, []sample{
		{pen: outlinePen, words: "edge of the frame"},
		{pen: indexPen, words: "every whole millimetre, labelled"},
		{pen: contourPen, words: "every " + every + " mm"},
		{pen: beneathPen, words: "edge of a unit"},
		{shape: aNote, words: "Heights are over the bed that the frame lies on."},
		{shape: aNote, words: "Lines that run together are an upright wall."},
	})
}

var (
	indexPen   = pen{width: 0.4, colour: black}
	contourPen = pen{width: 0.25, colour: grey}
)

func (l *layout) contourFigure() figure {
	m := l.in.Heights
	step := l.in.Plan.Practice.Sheets.Contour
	f := figure{title: "Heights", badge: l.in.Plan.Side.Letter()}
	var all []template.Outline
	for _, u := range l.in.Plan.Units {
		all = append(all, u.Outlines...)
	}
	for _, u := range l.in.Plan.Units {
		f.add(beneathPen, true, rings(u.Outlines)...)
	}
	var index []callout
	highest, at := m.Highest()
	for k := 1; float64(k)*step <= highest && k <= mostLevels; k++ {
		height := float64(k) * step
		lines := slices.DeleteFunc(contourAt(m, height), func(line []mgl64.Vec2) bool { return lengthOf(line) < shortestLine })
		if whole := math.Round(height); math.Abs(height-whole) < levelSlack {
			f.add(indexPen, false, lines...)
			index = append(index, callout{words: decimal(whole), lines: lines})
		} else {
			f.add(contourPen, false, lines...)
		}
	}
	if silhouette, err := template.Join(all); err == nil {
		f.add(outlinePen, true, rings(silhouette)...)
	} else {
		f.add(outlinePen, true, rings(all)...)
	}
	f.add(framePen, false, cross(at)...)
	index = append(index, callout{words: "highest " + decimal(highest) + " mm", lines: [][]mgl64.Vec2{{at}}})
	f.callOut(index, l.fonts)
	f.caption = []string{
		"Heights over the bed",
		fmt.Sprintf("Contour lines every %s mm; figures in millimetres. The highest place, at the cross, is %s mm over the bed.", decimal(step), decimal(highest)),
	}
	return f
}

// callout is a word for some lines, written beside the figure.
type callout struct {
	words string
	lines [][]mgl64.Vec2
}

// calloutGap is how far from the figure callouts stand, mm.
const calloutGap = 8

// callOut writes words in two columns beside the figure, in the order of the
// places they point at, so that no two leaders of a column cross.
func (f *figure) callOut(words []callout, fonts *typefaces) {
	lo, hi := f.bounds(fonts)
	middle := (lo[0] + hi[0]) / 2
	type target struct {
		words string
		at    mgl64.Vec2
	}
	var sides [2][]target // left and right
	for i, c := range words {
		side := i % 2
		at, ok := outermost(c.lines, side, middle)
		if !ok {
			continue
		}
		sides[side] = append(sides[side], target{c.words, at})
	}
	for side, targets := range sides {
		slices.SortStableFunc(targets, func(a, b target) int {
			switch {
			case a.at[1] > b.at[1]:
				return -1
			case a.at[1] < b.at[1]:
				return 1
			}
			return 0
		})
		pitch := small.leading() * 1.5
		y := (lo[1]+hi[1])/2 + pitch*float64(len(targets)-1)/2
		for _, t := range targets {
			half := fonts.width(t.words, small) / 2
			x, end := lo[0]-calloutGap-half, lo[0]-calloutGap+0.8
			if side == 1 {
				x, end = hi[0]+calloutGap+half, hi[0]+calloutGap-0.8
			}
			f.labels = append(f.labels, label{at: mgl64.Vec2{x, y}, words: t.words, style: small})
			f.add(greyPen, false, []mgl64.Vec2{{end, y}, t.at})
			y -= pitch
		}
	}
}

// outermost returns the point of lines that is farthest to the left for side 0,
// to the right for side 1.
func outermost(lines [][]mgl64.Vec2, side int, middle float64) (mgl64.Vec2, bool) {
	best, found := mgl64.Vec2{}, false
	for _, line := range lines {
		for _, p := range line {
			if !found || side == 0 && p[0] < best[0] || side == 1 && p[0] > best[0] {
				best, found = p, true
			}
		}
	}
	return best, found
}
