package sheet

import (
	"fmt"
	"strconv"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/units"
)

// column is one column of a table.
type column struct {
	title string
	share float64 // of the table's width
	of    func(i int, u *units.Unit) string
}

// unitColumns is the table of units; numbers are millimetres.
var unitColumns = []column{
	{"", 0.035, func(i int, _ *units.Unit) string { return strconv.Itoa(i + 1) }},
	{"Unit", 0.215, func(_ int, u *units.Unit) string { return u.Label }},
	{"Thick", 0.075, func(_ int, u *units.Unit) string { return decimal(u.Thickness) }},
	{"Rise", 0.11, func(_ int, u *units.Unit) string { low, high := riseRange(u); return spanned(low, high) }},
	{"Top at", 0.11, func(_ int, u *units.Unit) string {
		low, high := riseRange(u)
		return spanned(low+u.Thickness, high+u.Thickness)
	}},
	{"Cut from", 0.13, func(_ int, u *units.Unit) string { return ribWords(u) }},
	{"Edges lateral, medial", 0.155, func(_ int, u *units.Unit) string {
		return rounded(u.EdgeTop) + ", " +
			"" + rounded(u.EdgeBottom)
	}},
	{"Recesses", 0.17, recessWords},
}

func recessWords(_ int, u *units.Unit) string {
	words := ""
	for i, r := range u.Recesses {
		if i > 0 {
			words += "; "
		}
		words += fmt.Sprintf("%s %s deep", r.Name, decimal(r.Depth))
	}
	return words
}

func spanned(low, high float64) string {
	if low == high {
		return decimal(low)
	}
	return fmt.Sprintf("%s to %s", decimal(low), decimal(high))
}

func rounded(radius float64) string {
	if radius == 0 {
		return "square"
	}
	return "r " + decimal(radius)
}

// unitTable draws the table of units and returns its height. What is too wide
// for its column goes on over more lines.
func (s *session) unitTable(x, y, width float64) float64 {
	top := y
	const air = 1.6 // between columns
	row := func(set style, text func(c column) string) {
		height := 0.0
		at := x
		for _, c := range unitColumns {
			lines := s.page.fonts.wrap(text(c), set, c.share*width-air)
			height = max(height, s.page.writeLines(at, y+0.7, lines))
			at += c.share * width
		}
		y += height + 1.2
	}
	bold := style{points: s.body.points, bold: true}
	row(bold, func(c column) string { return c.title })
	s.page.line(framePen, mgl64.Vec2{x, y}, mgl64.Vec2{x + width, y})
	for i, u := range units.InAssembly(s.in.Plan.Units) {
		if i > 0 {
			s.page.line(pen{width: 0.25, colour: pale}, mgl64.Vec2{x, y}, mgl64.Vec2{x + width, y})
		}
		row(s.body, func(c column) string { return c.of(i, u) })
	}
	s.page.line(framePen, mgl64.Vec2{x, y}, mgl64.Vec2{x + width, y})
	return y - top
}
