package sheet

import (
	"fmt"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// caution stands on every page.
const caution = "For practice and teaching only. Not a cutting guide for a patient, not sterile, not for patients, " +
	"not for food. " +
	"Silicone and resin per their data sheets. The licensed surgeon and local rules decide."

// barLength is the length of the check bars, mm.
const barLength = 100

// barAdvice says what to do with the check bars. The worked number is theirs:
// 97 mm for 100 mm is 3 % too small.
var barAdvice = []string{
	"Measure both bars before use: each is 100 mm long.",
	"If one is not: print again at 100 %, “actual size”, not “fit to page”. If it measures 97 mm the sheet is 3 % " +
		"too small: do not carve from it.",
}

// Heights of what stands around the drawing, mm.
const (
	headHeight   = 16 // title and side
	footHeight   = 41 // legend, check bar, advice and caution
	rulerWidth   = 10 // the upright check bar
	compassWidth = 26
)

// head is what a page says of itself.
type head struct {
	caseID       string
	side         units.Side
	title        string
	note         string // under the title
	number, many int    // page number of many
}

func (p *Page) head(h head) {
	at := p.paper.printable()
	p.write(mgl64.Vec2{at.left, at.top + heading.capitals()}, h.title, heading, 0)
	p.write(mgl64.Vec2{at.left, at.top + 11}, fmt.Sprintf("Case %s   ·   %s", h.caseID, h.note), plain, 0)
	badge := rectangle{at.right - 10, at.top, at.right, at.top + 10}
	p.badge(badge, h.side.Letter(), heading)
	p.write(mgl64.Vec2{badge.left - 3, at.top + strong.capitals()}, sideWords(h.side), strong, 1)
	p.write(mgl64.Vec2{badge.left - 3, at.top + 9}, fmt.Sprintf("page %d of %d", h.number, h.many), plain, 1)
	p.line(framePen, mgl64.Vec2{at.left, at.top + headHeight - 2}, mgl64.Vec2{at.right, at.top + headHeight - 2})
}

// badge writes a letter in a black box.
func (p *Page) badge(in rectangle, letter string, s style) {
	p.box(outlinePen, in)
	p.write(mgl64.Vec2{(in.left + in.right) / 2, (in.top+in.bottom)/2 + s.capitals()/2}, letter, s, 0.5)
}

func sideWords(side units.Side) string {
	if side == units.Left {
		return "Left ear"
	}
	return "Right ear"
}

// foot writes the caution at the bottom of a page.
func (p *Page) foot() {
	at := p.paper.printable()
	lines := p.fonts.wrap(caution, small, at.width())
	p.writeLines(at.left, at.bottom-float64(len(lines))*small.leading(), lines)
}

// footTop returns where the caution begins.
func (p *Page) footTop() float64 {
	at := p.paper.printable()
	return at.bottom - float64(len(p.fonts.wrap(caution, small, at.width())))*small.leading() - 1.5
}

// bars draws the check bars: along the bottom from the lower left corner, and
// upward from it.
func (p *Page) bars() {
	at := p.paper.printable()
	corner := mgl64.Vec2{at.left + 4, p.footTop() - 5}
	for axis, along := range [2]mgl64.Vec2{{1, 0}, {0, -1}} {
		across := mgl64.Vec2{along[1], along[0]} // away from the drawing: down, or left
		if axis == 0 {
			across = mgl64.Vec2{0, 1}
		}
		end := corner.Add(along.Mul(barLength))
		p.line(framePen, corner, end)
		for tick := 0; tick <= barLength; tick += 5 {
			length := 1.0
			switch {
			case tick%50 == 0:
				length = 3
			case tick%10 == 0:
				length = 2
			}
			foot := corner.Add(along.Mul(float64(tick)))
			p.line(finePen, foot, foot.Sub(across.Mul(length)))
		}
	}
	low := corner[1] + small.capitals() + 1.2
	p.write(mgl64.Vec2{corner[0], low}, "0", small, 0.5)
	p.write(mgl64.Vec2{corner[0] + barLength/2, low}, "50", small, 0.5)
	p.write(mgl64.Vec2{corner[0] + barLength, low}, "100 mm", small, 0.5)
	top := corner[1] - barLength - 1.2
	p.write(mgl64.Vec2{at.left, top - small.leading()}, "100", small, 0)
	p.write(mgl64.Vec2{at.left, top}, "mm", small, 0)
}

// advice draws the box beside the check bar.
func (p *Page) advice() {
	at := p.paper.printable()
	in := rectangle{at.left + 4 + barLength + 9, 0, at.right - compassWidth, p.footTop() - 1}
	var lines []styled
	for i, words := range barAdvice {
		s := small
		if i == 0 {
			s = smallBold
		}
		lines = append(lines, p.fonts.wrap(words, s, in.width()-3)...)
	}
	in.top = in.bottom - float64(len(lines))*small.leading() - 3
	p.box(framePen, in)
	p.writeLines(in.left+2, in.top+1.5, lines)
}

// compass says which way is which on the ear.
func (p *Page) compass(side units.Side) {
	at := p.paper.printable()
	centre := mgl64.Vec2{at.right - compassWidth/2 + 1, (at.bottom - footHeight + p.footTop()) / 2}
	const arm = 6
	left, right := "ant.", "post."
	if side == units.Right {
		left, right = right, left
	}
	p.draw(path{lines: arrow(centre.Sub(mgl64.Vec2{arm - 2, 0}), centre.Add(mgl64.Vec2{arm - 2, 0})), pen: finePen})
	p.draw(path{lines: arrow(centre.Sub(mgl64.Vec2{0, arm}), centre.Add(mgl64.Vec2{0, arm})), pen: finePen})
	p.write(centre.Add(mgl64.Vec2{0, -arm - 1}), "superior", small, 0.5)
	p.write(centre.Add(mgl64.Vec2{0, arm + 1 + small.capitals()}), "inferior", small, 0.5)
	p.write(centre.Add(mgl64.Vec2{-arm + 1, small.capitals() / 2}), left, small, 1)
	p.write(centre.Add(mgl64.Vec2{arm - 1, small.capitals() / 2}), right, small, 0)
}

// sample is an entry of a legend: how something is drawn, and what it means.
type sample struct {
	pen   pen
	shape shape
	words string
}

type shape int

const (
	aLine shape = iota
	aDot
	aCross
	anArrow
)

// legend explains lines, in two columns above the lower check bar, and says a
// word more beneath.
func (p *Page) legend(samples []sample, notes ...string) {
	at := p.paper.printable()
	const width, length = 52, 9
	pitch := small.leading() * 1.05
	rows := (len(samples) + 1) / 2
	top := at.bottom - footHeight + 4
	for i, s := range samples {
		x, y := at.left+rulerWidth+float64(i/rows)*width, top+float64(i%rows)*pitch
		a, b := mgl64.Vec2{x, y}, mgl64.Vec2{x + length, y}
		middle := a.Add(b).Mul(0.5)
		switch s.shape {
		case aDot:
			p.draw(path{lines: [][]mgl64.Vec2{dot(middle)}, closed: true, pen: s.pen})
		case aCross:
			p.draw(path{lines: cross(middle), pen: s.pen})
		case anArrow:
			p.draw(path{lines: arrow(a, b), pen: s.pen})
		default:
			p.line(s.pen, a, b)
		}
		p.write(mgl64.Vec2{b[0] + 2, y + small.capitals()/2}, s.words, small, 0)
	}
	for i, words := range notes {
		p.write(mgl64.Vec2{at.left + rulerWidth, top + float64(rows+i)*pitch + small.capitals()/2}, words, small, 0)
	}
}

// dot marks a fixation.
func dot(at mgl64.Vec2) []mgl64.Vec2 { return circle(at, 0.4) }

// crossArm is half the size of the cross that marks the highest place, mm.
const crossArm = 1

func cross(at mgl64.Vec2) [][]mgl64.Vec2 {
	return [][]mgl64.Vec2{
		{at.Add(mgl64.Vec2{-crossArm, 0}), at.Add(mgl64.Vec2{crossArm, 0})},
		{at.Add(mgl64.Vec2{0, -crossArm}), at.Add(mgl64.Vec2{0, crossArm})},
	}
}

// arrow is a straight line with a head at both ends: grain has no sense.
func arrow(a, b mgl64.Vec2) [][]mgl64.Vec2 {
	along := b.Sub(a).Normalize()
	across := mgl64.Vec2{-along[1], along[0]}
	const long, wide = 1.4, 0.6
	tip := func(end mgl64.Vec2, back mgl64.Vec2) []mgl64.Vec2 {
		foot := end.Add(back.Mul(long))
		return []mgl64.Vec2{foot.Add(across.Mul(wide)), end, foot.Sub(across.Mul(wide))}
	}
	return [][]mgl64.Vec2{{a, b}, tip(a, along), tip(b, along.Mul(-1))}
}
