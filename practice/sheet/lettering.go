package sheet

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// style is how text is set.
type style struct {
	points float64 // size; at least leastPoints
	bold   bool
}

// styled is a line of text with its style.
type styled struct {
	words string
	style style
}

const (
	pointMM     = 25.4 / 72 // mm
	leastPoints = 8         // nothing is set smaller
)

// Sizes of text.
var (
	small     = style{points: leastPoints}
	smallBold = style{points: leastPoints, bold: true}
	plain     = style{points: 9}
	strong    = style{points: 11, bold: true}
	heading   = style{points: 15, bold: true}
)

// Proportions of the Go fonts, as shares of the size: the ascent and the height
// of capitals, and the line pitch that reads well.
const (
	ascentShare  = 0.94
	capitalShare = 0.72
	leadingShare = 1.25
)

func (s style) size() float64     { return s.points * pointMM }
func (s style) ascent() float64   { return s.size() * ascentShare }
func (s style) capitals() float64 { return s.size() * capitalShare }
func (s style) leading() float64  { return s.size() * leadingShare }

// typefaces measure the fonts that are built in.
type typefaces struct {
	regular, bold *sfnt.Font
	buffer        sfnt.Buffer
}

func newTypefaces() (*typefaces, error) {
	regular, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("sheet: the built-in font cannot be read: %w", err)
	}
	bold, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("sheet: the built-in bold font cannot be read: %w", err)
	}
	return &typefaces{regular: regular, bold: bold}, nil
}

func (t *typefaces) font(s style) *sfnt.Font {
	if s.bold {
		return t.bold
	}
	return t.regular
}

// width returns how wide a text is, mm: the sum of its letters' advances.
func (t *typefaces) width(words string, s style) float64 {
	f := t.font(s)
	em := fixed.I(int(f.UnitsPerEm()))
	sum := fixed.Int26_6(0)
	for _, r := range words {
		glyph, err := f.GlyphIndex(&t.buffer, r)
		if err != nil {
			continue
		}
		advance, err := f.GlyphAdvance(&t.buffer, glyph, em, font.HintingNone)
		if err == nil {
			sum += advance
		}
	}
	return float64(sum) / float64(em) * s.size()
}

// clean makes a text safe to set: white space becomes a space, other control
// characters go, and letters that the fonts lack become a question mark.
func (t *typefaces) clean(words string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r):
			return -1
		}
		if glyph, err := t.regular.GlyphIndex(&t.buffer, r); err != nil || glyph == 0 || r > math.MaxUint16 {
			return '?'
		}
		return r
	}, words)
}

// wrap breaks a text into lines no wider than width, between words where that
// can be, within a word that is wider by itself.
func (t *typefaces) wrap(words string, s style, width float64) []styled {
	var lines []styled
	line := ""
	flush := func() {
		if line != "" {
			lines = append(lines, styled{line, s})
			line = ""
		}
	}
	for _, word := range strings.Fields(t.clean(words)) {
		if joined := strings.TrimSpace(line + " " + word); t.width(joined, s) <= width {
			line = joined
			continue
		}
		flush()
		for _, r := range word {
			if line != "" && t.width(line+string(r), s) > width {
				flush()
			}
			line += string(r)
		}
	}
	flush()
	return lines
}
