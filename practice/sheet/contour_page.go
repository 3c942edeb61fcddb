package sheet

import (
	"cmp"
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	"earframe/assemble"
	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
)

// mostLevels bounds how many contour lines are drawn: a framework is some 12 mm
// high, and lines lie 0.1 mm apart at the closest.
const mostLevels = 1000

// shortestLine is the shortest piece of a contour line drawn, mm: shorter ones
// are specks of the lattice.
const shortestLine = 0.6

var (
	indexPen   = pen{width: 0.4, colour: black}
	contourPen = pen{width: 0.25, colour: grey}
)

// contourPage shows the heights of the assembled frame.
func (l *layout) contourPage() error {
	if l.in.Heights == nil {
		return nil
	}
	f, err := l.contourFigure()
	if err != nil {
		return err
	}
	first := len(l.pages)
	l.pack("Heights of the assembled frame", []figure{f})
	l.explain(first, []sample{
		{pen: outlinePen, words: "edge of the frame"},
		{pen: indexPen, words: "every whole millimetre"},
		{pen: contourPen, words: "every " + decimal(l.in.Plan.Practice.Sheets.Contour) + " mm"},
		{pen: finePen, shape: aCross, words: "highest place"},
	}, "Heights in mm over the bed that the frame lies on; paler is higher.", "Lines that run together are an "+
		"upright wall.")
	return nil
}

func (l *layout) contourFigure() (figure, error) {
	m := l.in.Heights
	step := l.in.Plan.Practice.Sheets.Contour
	highest, at := m.Highest()
	f := figure{title: "Heights", badge: l.in.Plan.Side.Letter()}
	f.shade(m, highest)
	var levels []level
	for k := 1; float64(k)*step <= highest && k <= mostLevels; k++ {
		height := float64(k) * step
		lines := slices.DeleteFunc(contourAt(m, height),
			func(line []mgl64.Vec2) bool { return centreline.LengthOf(line, false) < shortestLine })
		whole := math.Abs(height-math.Round(height)) < levelSlack
		levels = append(levels, level{height, whole, lines})
		if whole {
			f.add(indexPen, false, lines...)
		} else {
			f.add(contourPen, false, lines...)
		}
	}
	f.add(outlinePen, true, l.silhouette()...)
	f.add(framePen, false, cross(at)...)
	words, err := l.unitHeights(&f)
	if err != nil {
		return figure{}, err
	}
	f.callOut(append(indexWords(levels), words...), l.fonts)
	f.spotHeights(m, l.fonts)
	f.caption = []string{
		"Heights over the bed",
		fmt.Sprintf("Contour lines every %s mm. The highest place is %s mm over the bed.", decimal(step),
			decimal(highest)),
	}
	return f, nil
}

// ownTop is by how much the frame's top may differ from a unit's own to be that
// unit's, mm: less than the least step between units that lie on one another.
const ownTop = 0.1

// unitHeights names each unit that is seen from the side, with the greatest
// height of its own top, where that has most room.
func (l *layout) unitHeights(f *figure) ([]callout, error) {
	near := newCrowd(obstacles(f))
	var words []callout
	for _, u := range l.in.Plan.Units {
		own, highest, err := l.ownTops(u)
		if err != nil {
			return nil, err
		}
		best, most := -1, 0.0
		for _, k := range own {
			if l.in.Heights.Top[k] < highest-levelSlack {
				continue
			}
			if room := near.room(l.in.Heights.Place(k), mgl64.Vec2{}); room > most {
				best, most = k, room
			}
		}
		if best >= 0 {
			words = append(words, callout{fmt.Sprintf("%s %.1f", u.Label, highest), l.in.Heights.Place(best)})
		}
	}
	return words, nil
}

// ownTops returns the values of the map where the frame's top is that of a unit,
// and the highest of them.
func (l *layout) ownTops(u *units.Unit) (own []int, highest float64, err error) {
	m := l.in.Heights
	underside, err := u.Underside()
	if err != nil {
		return nil, 0, fmt.Errorf("sheet: unit %s: %w", u.Name, err)
	}
	for _, k := range searched(m) {
		p, top := m.Place(k), m.Top[k]
		if !contains(u.Outlines, p) {
			continue
		}
		if z, _, _ := underside.Height(p[0], p[1]); math.Abs(z+u.Thickness-m.Bed-top) <= ownTop {
			own, highest = append(own, k), max(highest, top)
		}
	}
	return own, highest, nil
}

// silhouette returns the rings of all units together.
func (l *layout) silhouette() [][]mgl64.Vec2 {
	var all []template.Outline
	for _, u := range l.in.Plan.Units {
		all = append(all, u.Outlines...)
	}
	if joined, err := template.Join(context.Background(), all); err == nil {
		return rings(joined)
	}
	return rings(all)
}

// Greys of the lowest and the highest heights: pale enough for black lines.
const (
	lowestGrey  = 205
	highestGrey = 255
)

// shade fills what is higher than each whole millimetre in a paler grey than
// what is lower.
func (f *figure) shade(m *assemble.DepthMap, highest float64) {
	closed := *m
	closed.Top = slices.Clone(m.Top)
	for k, v := range closed.Top {
		if math.IsNaN(v) {
			closed.Top[k] = -1 // below the bed, so that every area closes at the frame's edge
		}
	}
	steps := math.Floor(highest)
	for k := 0.0; k <= steps && k < mostLevels; k++ {
		share := k / max(1, steps)
		value := uint8(math.Round(lowestGrey + share*(highestGrey-lowestGrey)))
		f.add(pen{colour: color.RGBA{value, value, value, 255}}, true, contourAt(&closed, max(k, 2*levelSlack))...)
	}
}

// level is a height with its contour lines.
type level struct {
	height float64
	whole  bool
	lines  [][]mgl64.Vec2
}

// indexSample is how far apart places for the word of a contour line are tried,
// mm.
const indexSample = 0.8

// indexWords names the contour lines of whole millimetres where they are
// farthest from lines of other heights.
func indexWords(levels []level) []callout {
	sampled := make([][]mgl64.Vec2, len(levels))
	for i, l := range levels {
		for _, line := range l.lines {
			since := indexSample
			for k, p := range line {
				if k > 0 {
					since += p.Sub(line[k-1]).Len()
				}
				if since >= indexSample {
					sampled[i], since = append(sampled[i], p), 0
				}
			}
		}
	}
	var words []callout
	for i, l := range levels {
		if !l.whole || len(sampled[i]) == 0 {
			continue
		}
		var others [][]mgl64.Vec2
		for k := range levels {
			if k != i {
				others = append(others, levels[k].lines...)
			}
		}
		near := newCrowd(others)
		best, most := sampled[i][0], -1.0
		for _, p := range sampled[i] {
			if room := near.room(p, mgl64.Vec2{}); room > most {
				best, most = p, room
			}
		}
		words = append(words, callout{decimal(math.Round(l.height)), best})
	}
	return words
}

// searched returns the values of a map with framework, about searchStep apart:
// where places for writing are looked for.
func searched(m *assemble.DepthMap) []int {
	var values []int
	stride := max(1, int(searchStep/m.Step))
	for row := 0; row < m.Rows; row += stride {
		for column := 0; column < m.Columns; column += stride {
			if k := row*m.Columns + column; !math.IsNaN(m.Top[k]) {
				values = append(values, k)
			}
		}
	}
	return values
}

// Spot heights: apart from one another, mm, and how many at most.
const (
	spotApart = 9
	sameApart = 22 // of one height
	mostSpots = 24
)

// spotHeights writes heights on the flats: where no line is near.
func (f *figure) spotHeights(m *assemble.DepthMap, fonts *typefaces) {
	near := newCrowd(obstacles(f))
	half := mgl64.Vec2{fonts.width("0.0", small) / 2, small.capitals() / 2}
	type spot struct {
		at   mgl64.Vec2
		room float64
		top  float64
	}
	var spots []spot
	for _, k := range searched(m) {
		const air = 0.25
		at := m.Place(k)
		if room := near.room(at, half); room >= air {
			spots = append(spots, spot{at, room, m.Top[k]})
		}
	}
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(b.room, a.room) })
	var taken []spot
	for _, s := range spots {
		near := slices.ContainsFunc(taken, func(t spot) bool {
			apart := t.at.Sub(s.at).Len()
			return apart < spotApart || apart < sameApart && math.Abs(t.top-s.top) < levelSlack
		})
		if near || len(taken) == mostSpots {
			continue
		}
		taken = append(taken, s)
		f.labels = append(f.labels, label{at: s.at, words: strconv.FormatFloat(s.top, 'f', 1, 64), style: small})
	}
}
