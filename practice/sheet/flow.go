package sheet

import (
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// block is a titled list.
type block struct {
	title string
	lines []string
}

func (s *session) title() style { return style{points: s.body.points + 1, bold: true} }

// list writes a title and lines under it, and returns the height taken.
func (s *session) list(title string, x, y, width float64, lines []string) float64 {
	height := 0.0
	for _, p := range s.paragraphs(block{title, lines}, width) {
		p.write(s.page, x, y+height)
		height += p.height()
	}
	return height
}

// paragraph is what is kept together when lists flow over columns.
type paragraph struct {
	lead  float64  // empty room before it, mm
	hang  string   // stands at the left of the first line
	hung  float64  // indent of its lines, mm
	lines []styled //
	body  style
}

func (p *paragraph) height() float64 {
	height := p.lead + 0.4
	for _, l := range p.lines {
		height += l.style.leading()
	}
	return height
}

func (p *paragraph) write(page *Page, x, y float64) {
	page.write(mgl64.Vec2{x, y + p.lead + p.body.ascent()}, p.hang, p.body, 0)
	page.writeLines(x+p.hung, y+p.lead, p.lines)
}

// paragraphs breaks a list for a column. What stands before a tab hangs at the
// left of its line. The title is one with the first line.
func (s *session) paragraphs(b block, width float64) []paragraph {
	var all []paragraph
	for _, line := range b.lines {
		p := paragraph{body: s.body}
		hang, words, hangs := strings.Cut(line, "\t")
		if hangs {
			p.hang, p.hung = hang, 1.6*s.body.size()
		} else {
			words = hang
		}
		p.lines = s.page.fonts.wrap(words, s.body, width-p.hung)
		all = append(all, p)
	}
	title := paragraph{body: s.body, lines: s.page.fonts.wrap(b.title, s.title(), width)}
	return append([]paragraph{title}, all...)
}

// flow writes lists in two columns as even as can be, and returns the height of
// the taller one. No title stands alone at the foot of a column.
func (s *session) flow(blocks []block, x, y, width float64) float64 {
	var all []paragraph
	titles := map[int]bool{}
	for i, b := range blocks {
		paragraphs := s.paragraphs(b, width)
		if i > 0 {
			paragraphs[0].lead = blockGap
		}
		titles[len(all)] = true
		all = append(all, paragraphs...)
	}
	heights := func(cut int) [2]float64 {
		var sums [2]float64
		for i := range all {
			column := 0
			if i >= cut {
				column = 1
			}
			sums[column] += all[i].height()
			if i == cut {
				sums[column] -= all[i].lead
			}
		}
		return sums
	}
	best, least := len(all), math.Inf(1)
	for cut := 1; cut <= len(all); cut++ {
		if titles[cut-1] {
			continue
		}
		if sums := heights(cut); max(sums[0], sums[1]) < least {
			best, least = cut, max(sums[0], sums[1])
		}
	}
	at := y
	for i, p := range all {
		if i == best {
			at, x, p.lead = y, x+width+blockGap, 0
		}
		p.write(s.page, x, at)
		at += p.height()
	}
	if len(all) == 0 {
		return 0
	}
	return least
}
