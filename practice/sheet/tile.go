package sheet

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// tileOverlap is shared by neighbouring sheets, mm: enough to glue.
const tileOverlap = 10

// tiling cuts a figure that is too large for one sheet.
type tiling struct {
	rows, columns int
	window        rectangle  // on the page
	from          mgl64.Vec2 // upper left corner of the whole, in the figure
}

func newTiling(lo, hi mgl64.Vec2, window rectangle) tiling {
	count := func(length, room float64) int {
		if length <= room {
			return 1
		}
		return 1 + int(math.Ceil((length-room)/(room-tileOverlap)))
	}
	return tiling{
		rows: count(hi[1]-lo[1], window.height()), columns: count(hi[0]-lo[0], window.width()),
		window: window, from: mgl64.Vec2{lo[0], hi[1]},
	}
}

// corner returns the place in the figure that lies in the upper left corner of a
// sheet's window.
func (t tiling) corner(row, column int) mgl64.Vec2 {
	return t.from.Add(mgl64.Vec2{
		float64(column) * (t.window.width() - tileOverlap),
		-float64(row) * (t.window.height() - tileOverlap),
	})
}

// tile draws a figure on as many sheets as it takes.
func (l *layout) tile(title string, c cell) {
	caption := l.captionLines(c.figure, l.area.width())
	height := 0.0
	for _, line := range caption {
		height += line.style.leading()
	}
	window := l.area
	window.top += height + small.leading() + 2*captionGap
	t := newTiling(c.lo, c.hi, window)
	for row := range t.rows {
		for column := range t.columns {
			page := l.page(title)
			wide := c
			wide.caption, wide.width = caption, l.area.width()
			l.caption(page, wide, l.area.left, l.area.top)
			words := fmt.Sprintf("%s: sheet %d of %d, row %d column %d", c.figure.title, row*t.columns+column+1,
				t.rows*t.columns, row+1, column+1)
			if t.rows*t.columns > 1 {
				words += ". Lay the crop marks of neighbouring sheets on one another; they overlap by 10 mm."
			}
			page.write(mgl64.Vec2{l.area.left, l.area.top + height + captionGap + small.ascent()}, words, smallBold, 0)
			c.figure.drawOn(page, t.corner(row, column), mgl64.Vec2{window.left, window.top}, window)
			page.cropMarks(t, row, column)
		}
	}
}

// cropMarks marks the middle of each strip that a sheet shares with a
// neighbour, at both of the strip's ends, just outside of the drawing and just
// within it. The same mark on the neighbour is the same place of the figure.
func (p *Page) cropMarks(t tiling, row, column int) {
	const arm = 3.0
	in := t.window
	for _, x := range []struct {
		at    float64
		drawn bool
	}{{in.left + tileOverlap/2, column > 0}, {in.right - tileOverlap/2, column+1 < t.columns}} {
		if x.drawn {
			for _, y := range []float64{in.top, in.bottom} {
				p.line(finePen, mgl64.Vec2{x.at, y - arm/2}, mgl64.Vec2{x.at, y + arm/2})
				p.line(finePen, mgl64.Vec2{x.at - arm/2, y}, mgl64.Vec2{x.at + arm/2, y})
			}
		}
	}
	for _, y := range []struct {
		at    float64
		drawn bool
	}{{in.top + tileOverlap/2, row > 0}, {in.bottom - tileOverlap/2, row+1 < t.rows}} {
		if y.drawn {
			for _, x := range []float64{in.left, in.right} {
				p.line(finePen, mgl64.Vec2{x - arm/2, y.at}, mgl64.Vec2{x + arm/2, y.at})
				p.line(finePen, mgl64.Vec2{x, y.at - arm/2}, mgl64.Vec2{x, y.at + arm/2})
			}
		}
	}
}
