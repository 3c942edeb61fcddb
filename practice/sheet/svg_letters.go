package sheet

import (
	"bufio"
	"fmt"
	"html"
	"strconv"
	"strings"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// letters draws text in an SVG: each letter of a font is defined once, in units
// of the font, and used where it stands. Not every reader of SVG takes a font
// from the drawing or keeps to places given for letters, and a caution that runs
// off the page is none.
type letters struct {
	fonts *typefaces
	known map[letter]bool
}

// letter is a letter of one of the fonts.
type letter struct {
	bold bool
	rune rune
}

func (l letter) id() string {
	if l.bold {
		return fmt.Sprintf("b%x", l.rune)
	}
	return fmt.Sprintf("r%x", l.rune)
}

func newLetters(fonts *typefaces) *letters {
	return &letters{fonts: fonts, known: map[letter]bool{}}
}

// define writes the letters that marks use, in the order of their first use.
func (l *letters) define(out *bufio.Writer, marks []mark) error {
	fmt.Fprintln(out, "<defs>")
	for _, m := range marks {
		if m.text == nil {
			continue
		}
		for _, r := range m.text.words {
			letter := letter{m.text.style.bold, r}
			if l.known[letter] || r == ' ' {
				continue
			}
			l.known[letter] = true
			outline, err := l.outline(letter)
			if err != nil {
				return err
			}
			fmt.Fprintf(out, `<path id="%s" d="%s"/>`+"\n", letter.id(), outline)
		}
	}
	fmt.Fprintln(out, "</defs>")
	return nil
}

// outline returns a letter as path data in units of its font, y downward.
func (l *letters) outline(of letter) (string, error) {
	font := l.fonts.font(style{bold: of.bold})
	glyph, err := font.GlyphIndex(&l.fonts.buffer, of.rune)
	if err != nil {
		return "", fmt.Errorf("sheet: letter %q: %w", of.rune, err)
	}
	segments, err := font.LoadGlyph(&l.fonts.buffer, glyph, fixed.I(int(font.UnitsPerEm())), nil)
	if err != nil {
		return "", fmt.Errorf("sheet: letter %q: %w", of.rune, err)
	}
	var d strings.Builder
	for i, s := range segments {
		name, points := "M", 1
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				d.WriteString("Z")
			}
		case sfnt.SegmentOpLineTo:
			name = "L"
		case sfnt.SegmentOpQuadTo:
			name, points = "Q", 2
		case sfnt.SegmentOpCubeTo:
			name, points = "C", 3
		}
		d.WriteString(name)
		for k, p := range s.Args[:points] {
			if k > 0 {
				d.WriteString(" ")
			}
			d.WriteString(number(float64(p.X)/64) + " " + number(float64(p.Y)/64))
		}
	}
	d.WriteString("Z")
	return d.String(), nil
}

// write sets one line of text.
func (l *letters) write(out *bufio.Writer, t *text) {
	em := float64(l.fonts.font(t.style).UnitsPerEm())
	scale := strconv.FormatFloat(t.style.size()/em, 'f', 8, 64)
	fmt.Fprintf(out, `<g aria-label="%s" transform="translate(%s %s) scale(%s)">`, html.EscapeString(t.words),
		number(t.at[0]), number(t.at[1]), scale)
	x := 0.0
	for _, r := range t.words {
		if r != ' ' {
			fmt.Fprintf(out, `<use xlink:href="#%s" x="%s"/>`, letter{t.style.bold, r}.id(), number(x))
		}
		x += l.fonts.width(string(r), style{points: em / pointMM, bold: t.style.bold})
	}
	fmt.Fprintln(out, "</g>")
}
