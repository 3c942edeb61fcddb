package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// page is a picture being drawn: coordinates in pixels, y downward. It is not
// safe for use by several workers.
type page struct {
	image *image.RGBA
	fonts *typefaces
	faces map[style]font.Face
}

// style is how a piece of text is set: size in pixels, and weight.
type style struct {
	size float64
	bold bool
}

// typefaces are the Go fonts, parsed once and shared by all pages.
type typefaces struct{ regular, bold *opentype.Font }

func newTypefaces() (*typefaces, error) {
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("report: the built-in font cannot be read: %w", err)
	}
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("report: the built-in bold font cannot be read: %w", err)
	}
	return &typefaces{regular: regular, bold: bold}, nil
}

func newPage(width, height int, fonts *typefaces) *page {
	p := &page{image: image.NewRGBA(image.Rect(0, 0, width, height)), fonts: fonts, faces: map[style]font.Face{}}
	draw.Draw(p.image, p.image.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	return p
}

// face returns the cut of a font for a style. The built-in fonts always have
// one, so its error is a broken invariant.
func (p *page) face(s style) font.Face {
	if face, ok := p.faces[s]; ok {
		return face
	}
	source := p.fonts.regular
	if s.bold {
		source = p.fonts.bold
	}
	face, err := opentype.NewFace(source, &opentype.FaceOptions{Size: s.size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic(fmt.Sprintf("report: no face of size %g: %v", s.size, err))
	}
	p.faces[s] = face
	return face
}

// width returns how many pixels a text takes.
func (p *page) width(text string, s style) float64 {
	return float64(font.MeasureString(p.face(s), text)) / 64
}

// text sets a text with its baseline's anchor at (x, y); lean 0 anchors the left
// end there, 0.5 the middle, 1 the right end.
func (p *page) text(x, y float64, text string, s style, c color.RGBA, lean float64) {
	face := p.face(s)
	x -= lean * p.width(text, s)
	drawer := font.Drawer{Dst: p.image, Src: image.NewUniform(c), Face: face,
		Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(x * 64)), Y: fixed.Int26_6(math.Round(y * 64))}}
	drawer.DrawString(text)
}

// fit makes a text safe to set on one line: control characters out, and cut
// with an ellipsis where it would be wider than the given pixels.
func (p *page) fit(text string, s style, widest float64) string {
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
	runes := []rune(text)
	const mostRunes = 400 // far wider than any line here; keeps measuring cheap
	if len(runes) > mostRunes {
		runes = runes[:mostRunes]
	}
	if p.width(string(runes), s) <= widest {
		return string(runes)
	}
	for len(runes) > 0 && p.width(string(runes)+"…", s) > widest {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// rectangle fills a box given in whole pixels.
func (p *page) rectangle(x0, y0, x1, y1 int, c color.RGBA) {
	draw.Draw(p.image, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Over)
}

// point is a place on the page in pixels.
type point [2]float64

// fill fills rings by the non-zero rule, with smooth edges.
func (p *page) fill(rings [][]point, c color.RGBA) { fill(p.image, rings, c) }

func fill(into draw.Image, rings [][]point, c color.Color) {
	box := boundsOf(rings).Intersect(into.Bounds())
	if box.Empty() {
		return
	}
	raster := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, ring := range rings {
		for i, q := range ring {
			x, y := float32(q[0]-float64(box.Min.X)), float32(q[1]-float64(box.Min.Y))
			if i == 0 {
				raster.MoveTo(x, y)
			} else {
				raster.LineTo(x, y)
			}
		}
		raster.ClosePath()
	}
	raster.Draw(into, box, image.NewUniform(c), image.Point{})
}

func boundsOf(rings [][]point) image.Rectangle {
	lo, hi := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, ring := range rings {
		for _, q := range ring {
			for k := range q {
				lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
			}
		}
	}
	if !(lo[0] <= hi[0]) {
		return image.Rectangle{}
	}
	// Cut before the conversion to whole numbers, which huge values would overflow.
	bound := func(v float64) int { return int(max(-1e6, min(1e6, v))) }
	return image.Rect(bound(math.Floor(lo[0])), bound(math.Floor(lo[1])), bound(math.Ceil(hi[0]))+1,
		bound(math.Ceil(hi[1]))+1)
}

// stroke draws a line of the given width in pixels with round joins and ends.
// A pixel's share is that of the segment nearest to it, so that a line of many
// short segments is as even as a long one.
func (p *page) stroke(line []point, closed bool, width float64, c color.RGBA) {
	box := boundsOf([][]point{line}).Inset(-int(width/2) - 2).Intersect(p.image.Bounds())
	if box.Empty() {
		return
	}
	shares := image.NewAlpha(box)
	for i, a := range line {
		b := a // a single point is a dot
		if i+1 < len(line) {
			b = line[i+1]
		} else if closed {
			b = line[0]
		} else if i > 0 {
			break
		}
		strokeSegment(shares, a, b, width/2)
	}
	draw.DrawMask(p.image, box, image.NewUniform(c), image.Point{}, shares, box.Min, draw.Over)
}

// strokeSegment raises the shares of the pixels within radius of segment ab.
func strokeSegment(shares *image.Alpha, a, b point, radius float64) {
	box := boundsOf([][]point{{a, b}}).Inset(-int(radius) - 2).Intersect(shares.Rect)
	dx, dy := b[0]-a[0], b[1]-a[1]
	square := dx*dx + dy*dy
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			px, py := float64(x)+0.5-a[0], float64(y)+0.5-a[1] // to the pixel's middle
			along := 0.0
			if square > 0 {
				along = max(0, min(1, (px*dx+py*dy)/square))
			}
			share := radius + 0.5 - math.Hypot(px-along*dx, py-along*dy)
			if share <= 0 {
				continue
			}
			o := shares.PixOffset(x, y)
			shares.Pix[o] = max(shares.Pix[o], uint8(255*min(1, share, 2*radius)+0.5))
		}
	}
}

// disc is a circle as a ring.
func disc(centre point, radius float64) []point {
	corners := 8 + int(min(56, 2*radius))
	ring := make([]point, corners)
	for i := range ring {
		sin, cos := math.Sincos(-2 * math.Pi * float64(i) / float64(corners))
		ring[i] = point{centre[0] + radius*cos, centre[1] + radius*sin}
	}
	return ring
}
