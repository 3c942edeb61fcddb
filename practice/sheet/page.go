package sheet

import (
	"image"
	"image/color"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// Document is a set of pages of one paper.
type Document struct {
	Title string
	Pages []Page

	paper paper
}

// Page is one page.
type Page struct {
	Title string // what it shows

	view  view
	marks []mark
	fonts *typefaces
	paper paper
}

// view says how the figures of a page are seen.
type view int

const (
	fromTheSide view = iota // as the ear is seen
	inThePiece              // units are turned as they lie in the cartilage
)

// mark is one thing on a page: exactly one of its fields is set.
type mark struct {
	path  *path
	text  *text
	image *placedImage
}

// pen is how a path is drawn.
type pen struct {
	width  float64 // of the line, mm; 0 fills the path instead
	dash   string  // lengths of strokes and gaps, one of the patterns below; empty for a solid line
	colour color.RGBA
}

// path is one or more lines or closed rings, filled by the even-odd rule.
type path struct {
	lines  [][]mgl64.Vec2
	closed bool
	pen    pen
}

// text is one line of text.
type text struct {
	at    mgl64.Vec2 // left end of the baseline
	width float64
	words string
	style style
}

// placedImage is a picture filling a rectangle.
type placedImage struct {
	picture image.Image
	in      rectangle
}

// Inks. Black carries all that matters; colours only repeat what line styles say.
var (
	black = color.RGBA{0, 0, 0, 255}
	grey  = color.RGBA{95, 95, 95, 255}
	pale  = color.RGBA{170, 170, 170, 255}
	white = color.RGBA{255, 255, 255, 255}
)

// Dash patterns: lengths of strokes and gaps, mm.
var dashes = map[string][]float64{
	"":        nil,
	dashed:    {1.8, 1},
	dotDashed: {3, 0.8, 0.5, 0.8},
	dotted:    {0.5, 0.8},
}

const (
	dashed    = "dashed"
	dotDashed = "dot-dashed"
	dotted    = "dotted"
)

// Lines, in the order of their weight.
var (
	outlinePen = pen{width: 0.5, colour: black}
	framePen   = pen{width: 0.35, colour: black}
	recessPen  = pen{width: 0.3, dash: dashed, colour: black}
	abovePen   = pen{width: 0.3, dash: dotDashed, colour: black}
	beneathPen = pen{width: 0.3, dash: dotted, colour: black}
	cutPen     = pen{width: 0.4, colour: black}
	finePen    = pen{width: 0.25, colour: black}
	greyPen    = pen{width: 0.25, colour: grey}
	dotPen     = pen{colour: black} // filled
)

func (p *Page) draw(path path) {
	if len(path.lines) > 0 {
		p.marks = append(p.marks, mark{path: &path})
	}
}

// line draws an open line through points.
func (p *Page) line(pen pen, points ...mgl64.Vec2) {
	p.draw(path{lines: [][]mgl64.Vec2{points}, pen: pen})
}

// box draws the edge of a rectangle.
func (p *Page) box(pen pen, r rectangle) {
	p.draw(path{lines: [][]mgl64.Vec2{r.ring()}, closed: true, pen: pen})
}

func (r rectangle) ring() []mgl64.Vec2 {
	return []mgl64.Vec2{{r.left, r.top}, {r.right, r.top}, {r.right, r.bottom}, {r.left, r.bottom}}
}

// write sets a line of text with its anchor on the baseline: at its left end for
// a lean of 0, in its middle for 0.5, at its right end for 1.
func (p *Page) write(anchor mgl64.Vec2, words string, s style, lean float64) {
	words = p.fonts.clean(words)
	if strings.TrimSpace(words) == "" {
		return
	}
	width := p.fonts.width(words, s)
	p.marks = append(p.marks, mark{text: &text{at: mgl64.Vec2{anchor[0] - lean*width, anchor[1]}, width: width,
		words: words, style: s}})
}

// writeLines sets lines of text under each other from the top of the first, and
// returns the height taken.
func (p *Page) writeLines(left, top float64, lines []styled) float64 {
	y := top
	for _, l := range lines {
		p.write(mgl64.Vec2{left, y + l.style.ascent()}, l.words, l.style, 0)
		y += l.style.leading()
	}
	return y - top
}

// circle is a ring of points, round to 0.01 mm up to a radius of 1 mm.
func circle(centre mgl64.Vec2, radius float64) []mgl64.Vec2 {
	const corners = 24
	ring := make([]mgl64.Vec2, corners)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ring[i] = mgl64.Vec2{centre[0] + radius*cos, centre[1] + radius*sin}
	}
	return ring
}
