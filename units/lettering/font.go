package lettering

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"earframe/template"
)

// letters sets text in outlines, with the bold cut of the Go fonts: strokes
// of nearly even width, which is what a nozzle can carve.
type letters struct {
	font   *sfnt.Font
	perEm  fixed.Int26_6
	buffer sfnt.Buffer
}

// Sizes in em. Letters stand a little apart, so that the walls between them can
// be printed, and every stroke is widened on both sides: at the size that a
// base frame has room for, the font's own strokes would be too fine.
const (
	letterSpacing = 0.06
	lineSpacing   = 1.05
	Widening      = 0.025
	curvePieces   = 8 // straight pieces a curve of a letter
)

func newLetters() (*letters, error) {
	f, err := sfnt.Parse(gobold.TTF)
	if err != nil {
		return nil, fmt.Errorf("the font cannot be read: %w", err)
	}
	return &letters{font: f, perEm: fixed.I(int(f.UnitsPerEm()))}, nil
}

// block is text set in lines about its middle, mm.
type block struct {
	rings [][]mgl64.Vec2
	size  mgl64.Vec2
}

// set sets the lines, each in the middle, with letters of the size em in mm.
// The size is that of the widened letters.
func (l *letters) set(lines []string, em float64) block {
	var b block
	lo := mgl64.Vec2{math.Inf(1), math.Inf(1)}
	hi := lo.Mul(-1)
	for i, line := range lines {
		rings, width := l.line(line, em)
		shift := mgl64.Vec2{-width / 2, -lineSpacing * float64(i) * em}
		for _, ring := range rings {
			for k, p := range ring {
				ring[k] = p.Add(shift)
				for axis := range p {
					lo[axis] = math.Min(lo[axis], ring[k][axis])
					hi[axis] = math.Max(hi[axis], ring[k][axis])
				}
			}
			b.rings = append(b.rings, ring)
		}
	}
	middle := lo.Add(hi).Mul(0.5)
	for _, ring := range b.rings {
		for k := range ring {
			ring[k] = ring[k].Sub(middle)
		}
	}
	more := 2 * Widening * em
	b.size = hi.Sub(lo).Add(mgl64.Vec2{more, more})
	return b
}

// line sets one line from x = 0 on the baseline y = 0.
func (l *letters) line(text string, em float64) (rings [][]mgl64.Vec2, width float64) {
	for i, letter := range []rune(text) {
		if i > 0 {
			width += letterSpacing * em
		}
		glyph, advance := l.letter(letter)
		for _, ring := range glyph {
			moved := make([]mgl64.Vec2, len(ring))
			for k, p := range ring {
				moved[k] = p.Mul(em).Add(mgl64.Vec2{width, 0})
			}
			rings = append(rings, moved)
		}
		width += advance * em
	}
	return rings, width
}

// letter returns a letter's rings, y up, and its advance, at an em of 1. A
// letter that the font does not have is left out.
func (l *letters) letter(letter rune) (rings [][]mgl64.Vec2, advance float64) {
	index, err := l.font.GlyphIndex(&l.buffer, letter)
	if err != nil || index == 0 {
		return nil, 0
	}
	scale := 1 / float64(l.perEm)
	if a, err := l.font.GlyphAdvance(&l.buffer, index, l.perEm, font.HintingNone); err == nil {
		advance = float64(a) * scale
	}
	segments, err := l.font.LoadGlyph(&l.buffer, index, l.perEm, nil)
	if err != nil {
		return nil, advance
	}
	at := func(p fixed.Point26_6) mgl64.Vec2 { return mgl64.Vec2{float64(p.X) * scale, -float64(p.Y) * scale} }
	for _, segment := range segments {
		if segment.Op == sfnt.SegmentOpMoveTo {
			rings = append(rings, []mgl64.Vec2{at(segment.Args[0])})
			continue
		}
		ring := &rings[len(rings)-1]
		from := (*ring)[len(*ring)-1]
		switch segment.Op {
		case sfnt.SegmentOpLineTo:
			*ring = append(*ring, at(segment.Args[0]))
		case sfnt.SegmentOpQuadTo:
			for k := 1; k <= curvePieces; k++ {
				t := float64(k) / curvePieces
				*ring = append(*ring, mgl64.QuadraticBezierCurve2D(t, from, at(segment.Args[0]), at(segment.Args[1])))
			}
		case sfnt.SegmentOpCubeTo:
			for k := 1; k <= curvePieces; k++ {
				t := float64(k) / curvePieces
				*ring = append(*ring, mgl64.CubicBezierCurve2D(t, from, at(segment.Args[0]), at(segment.Args[1]),
					at(segment.Args[2])))
			}
		}
	}
	return rings, advance
}

// narrowestStroke returns the width of the narrowest stroke of the text at an
// em of 1, widened, 0 if it has no letters. A letter's stroke is how far it is
// across from one side to the other over the best three quarters of its
// outline: corners and tips are always narrower, and a zero can be read without
// the fine slash that the font gives it.
func (l *letters) narrowestStroke(text string) float64 {
	narrowest := math.Inf(1)
	for _, letter := range text {
		rings, _ := l.letter(letter)
		if across := strokesOf(rings); len(across) > 0 {
			slices.Sort(across)
			narrowest = math.Min(narrowest, across[len(across)/4]+2*Widening)
		}
	}
	if math.IsInf(narrowest, 1) {
		return 0
	}
	return narrowest
}

// strokesOf returns the widths across from points spread along the outline.
func strokesOf(rings [][]mgl64.Vec2) []float64 {
	const every = 0.02 // em
	var across []float64
	for _, ring := range rings {
		for i, a := range ring {
			edge := ring[(i+1)%len(ring)].Sub(a)
			length := edge.Len()
			if length == 0 {
				continue
			}
			// Letters are drawn clockwise, y up: the ink is to the right.
			inward := mgl64.Vec2{edge[1], -edge[0]}.Mul(1 / length)
			for k := range int(math.Ceil(length / every)) {
				p := a.Add(edge.Mul((float64(k) + 0.5) / math.Ceil(length/every))).Add(inward.Mul(1e-6))
				width := math.Inf(1)
				for _, other := range rings {
					if w := template.Ring(other).Ray(p, inward); w > 0 {
						width = math.Min(width, w)
					}
				}
				if !math.IsInf(width, 1) {
					across = append(across, width)
				}
			}
		}
	}
	return across
}

// layouts returns the ways to set a text in one to three lines, broken at
// spaces and after dashes.
func layouts(text string) [][]string {
	pieces := strings.Fields(strings.ReplaceAll(text, "-", "- "))
	const most = 6 // pieces that are broken; a longer text stands on one line
	if len(pieces) > most {
		return [][]string{{strings.TrimSpace(text)}}
	}
	var all [][]string
	for breaks := range 1 << max(len(pieces)-1, 0) {
		lines := []string{""}
		for i, piece := range pieces {
			last := &lines[len(lines)-1]
			switch {
			case i == 0:
				*last = piece
			case breaks>>(i-1)&1 == 1:
				lines = append(lines, piece)
			case strings.HasSuffix(*last, "-"):
				*last += piece
			default:
				*last += " " + piece
			}
		}
		if len(lines) <= 3 {
			all = append(all, lines)
		}
	}
	return all
}
