package sheet

import (
	"fmt"
	"math"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// layout lays carving sheets out.
type layout struct {
	in    Input
	paper paper
	fonts *typefaces
	area  rectangle // of the drawing on every page
	pages []*Page
	parts map[*units.Unit][]part // as far as they were asked for
}

func newLayout(in Input) (*layout, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	size, err := paperOf(in.Plan.Practice.Sheets.Paper)
	if err != nil {
		return nil, err
	}
	fonts, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	at := size.printable()
	return &layout{
		in: in, paper: size, fonts: fonts, parts: map[*units.Unit][]part{},
		area: rectangle{at.left + rulerWidth, at.top + headHeight + 2, at.right, at.bottom - footHeight},
	}, nil
}

func (l *layout) page(title string) *Page {
	p := &Page{Title: title, fonts: l.fonts, paper: l.paper}
	l.pages = append(l.pages, p)
	return p
}

// Sizes of a cell: a figure with its caption beneath.
const (
	cellWidth  = 56 // at least: three columns on A4
	cellGap    = 5
	rowGap     = 8
	captionGap = 3
)

// cell is a figure with its caption, measured.
type cell struct {
	figure        figure
	lo, hi        mgl64.Vec2
	caption       []styled
	width         float64
	captionHeight float64
}

func (l *layout) measure(f figure) cell {
	c := cell{figure: f}
	c.lo, c.hi = f.bounds(l.fonts)
	c.width = max(cellWidth, c.hi[0]-c.lo[0])
	c.caption = l.captionLines(f, c.width)
	for _, line := range c.caption {
		c.captionHeight += line.style.leading()
	}
	return c
}

func (l *layout) captionLines(f figure, width float64) []styled {
	var lines []styled
	for i, words := range f.caption {
		s, room := small, width
		if i == 0 {
			s = strong
			if f.badge != "" {
				room -= badgeSize + 2
			}
		}
		lines = append(lines, l.fonts.wrap(words, s, room)...)
	}
	return lines
}

// badgeSize is that of the box with the side's letter beside a heading, mm.
const badgeSize = 5

func (c *cell) height() float64 { return c.hi[1] - c.lo[1] }

// pack lays figures out in rows, in their order, and begins a page when one is
// full. A figure that fits no page goes on several sheets of its own.
func (l *layout) pack(title string, figures []figure) {
	var row []cell
	var page *Page
	y := math.Inf(1)
	flush := func() {
		if len(row) == 0 {
			return
		}
		tallest, captions := rowHeights(row)
		if y+tallest+captionGap+captions > l.area.bottom {
			page, y = l.page(title), l.area.top
		}
		l.placeRow(page, row, y)
		y += tallest + captionGap + captions + rowGap
		row = nil
	}
	used := 0.0
	for _, f := range figures {
		c := l.measure(f)
		if c.width > l.area.width() || c.height()+captionGap+c.captionHeight > l.area.height() {
			flush()
			l.tile(title, c)
			y = math.Inf(1)
			continue
		}
		if len(row) > 0 && used+cellGap+c.width > l.area.width() {
			flush()
		}
		if len(row) == 0 {
			used = -cellGap
		}
		used += cellGap + c.width
		row = append(row, c)
	}
	flush()
}

func rowHeights(row []cell) (tallest, captions float64) {
	for _, c := range row {
		tallest, captions = max(tallest, c.height()), max(captions, c.captionHeight)
	}
	return tallest, captions
}

// placeRow draws a row of figures standing on one line, their captions beneath.
func (l *layout) placeRow(page *Page, row []cell, y float64) {
	tallest, _ := rowHeights(row)
	x := l.area.left
	for _, c := range row {
		lift := mgl64.Vec2{x + (c.width-(c.hi[0]-c.lo[0]))/2, y + tallest}
		c.figure.drawOn(page, c.lo, lift, rectangle{x, y, x + c.width, y + tallest})
		l.caption(page, c, x, y+tallest+captionGap)
		x += c.width + cellGap
	}
}

func (l *layout) caption(page *Page, c cell, x, y float64) {
	page.writeLines(x, y, c.caption)
	if c.figure.badge != "" {
		right := x + c.width
		const lift = 0.8 // off the second line of the caption
		page.badge(rectangle{right - badgeSize, y - lift, right, y - lift + badgeSize}, c.figure.badge, strong)
	}
}

// finish numbers the pages and puts the furniture around them.
func (l *layout) finish(title string) *Document {
	d := &Document{Title: title, paper: l.paper}
	for i, p := range l.pages {
		note := "true size 1:1   ·   seen from the side, lateral side up"
		if p.view == inThePiece {
			note = "true size 1:1   ·   units lie lateral side up"
		} else {
			p.compass(l.in.Plan.Side)
		}
		p.head(head{caseID: l.in.Plan.ID, side: l.in.Plan.Side, title: p.Title, note: note, number: i + 1,
			many: len(l.pages)})
		p.bars()
		p.advice()
		p.foot()
		d.Pages = append(d.Pages, *p)
	}
	return d
}

// Carving draws the carving sheets: the units, the heights of the assembled
// frame, and the pieces of cartilage with what is cut from them.
func Carving(in Input) (*Document, error) {
	l, err := newLayout(in)
	if err != nil {
		return nil, err
	}
	if err := l.unitPages(); err != nil {
		return nil, err
	}
	l.wiringPages()
	if err := l.contourPage(); err != nil {
		return nil, err
	}
	l.stockPages()
	return l.finish(fmt.Sprintf("Carving sheets, case %s, %s ear", in.Plan.ID, in.Plan.Side)), nil
}

func (l *layout) unitPages() error {
	first := len(l.pages)
	var figures []figure
	for _, u := range l.in.Plan.Units {
		f, err := l.unitFigure(u)
		if err != nil {
			return err
		}
		figures = append(figures, f)
	}
	l.pack("Carving sheet: units", figures)
	samples := []sample{
		{pen: outlinePen, words: "outline: carve to its middle"},
		{pen: recessPen, words: "edge of a recess, at the top"},
		{pen: abovePen, words: "a neighbour lies on it"},
		{pen: beneathPen, words: "a neighbour lies beneath it"},
		{pen: dotPen, shape: aDot, words: "fixation; numbers: “Wiring”"},
		{pen: finePen, shape: anArrow, words: "grain: along the rib"},
	}
	if l.anyParts() {
		samples = append(samples, sample{pen: cutPen, words: "cut between two parts"})
	}
	l.explain(first, samples, "Lengths in mm. Rise: underside over the base frame’s underside.")
	return nil
}

// explain puts a legend on the pages from first on.
func (l *layout) explain(first int, samples []sample, notes ...string) {
	for _, p := range l.pages[first:] {
		p.legend(samples, notes...)
	}
}
