package sheet

import (
	"math"

	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// figure is something to be shown at true size, in millimetres with y upward,
// and what is written beneath it. It is moved about as a whole, never turned,
// scaled or mirrored.
type figure struct {
	title   string // names it where it does not fit one sheet
	paths   []path
	labels  []label
	caption []string // the first line is the heading
	badge   string   // L or R beside the heading
}

// label is text in a figure, centred on its place.
type label struct {
	at    mgl64.Vec2
	words string
	style style
}

// bounds returns the lowest and highest coordinates of all that is drawn.
func (f *figure) bounds(fonts *typefaces) (lo, hi mgl64.Vec2) {
	lo, hi = mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	grow := func(p mgl64.Vec2, by float64) {
		for k := range p {
			lo[k], hi[k] = min(lo[k], p[k]-by), max(hi[k], p[k]+by)
		}
	}
	for _, path := range f.paths {
		for _, line := range path.lines {
			for _, p := range line {
				grow(p, path.pen.width/2)
			}
		}
	}
	for _, l := range f.labels {
		low, high := l.box(fonts)
		grow(low, 0)
		grow(high, 0)
	}
	return lo, hi
}

// box returns the corners of the room that a label takes.
func (l label) box(fonts *typefaces) (lo, hi mgl64.Vec2) {
	half := mgl64.Vec2{fonts.width(l.words, l.style) / 2, l.style.capitals() / 2}
	return l.at.Sub(half), l.at.Add(half)
}

func (f *figure) add(p pen, closed bool, lines ...[]mgl64.Vec2) {
	if len(lines) > 0 {
		f.paths = append(f.paths, path{lines: lines, closed: closed, pen: p})
	}
}

// drawOn draws the figure on a page with its point at from on the page's to, as
// far as it lies within the window there. Words that the window's edge would cut
// are moved inward.
func (f *figure) drawOn(p *Page, from, to mgl64.Vec2, window rectangle) {
	place := func(q mgl64.Vec2) mgl64.Vec2 {
		return mgl64.Vec2{to[0] + q[0] - from[0], to[1] - (q[1] - from[1])}
	}
	for _, original := range f.paths {
		moved := original
		moved.lines = make([][]mgl64.Vec2, len(original.lines))
		for i, line := range original.lines {
			moved.lines[i] = make([]mgl64.Vec2, len(line))
			for k, q := range line {
				moved.lines[i][k] = place(q)
			}
		}
		p.draw(clip(moved, window))
	}
	for _, l := range f.labels {
		at := place(l.at)
		if at[0] < window.left || at[0] > window.right || at[1] < window.top || at[1] > window.bottom {
			continue // on a neighbouring sheet
		}
		half, capitals := p.fonts.width(l.words, l.style)/2, l.style.capitals()
		at[0] = max(window.left+half, min(window.right-half, at[0]))
		at[1] = max(window.top+capitals/2, min(window.bottom-capitals/2, at[1]))
		p.write(mgl64.Vec2{at[0], at[1] + capitals/2}, l.words, l.style, 0.5)
	}
}

// rings returns the rings of outlines.
func rings(outlines []template.Outline) [][]mgl64.Vec2 {
	var all [][]mgl64.Vec2
	for _, o := range outlines {
		all = append(all, o.Rings()...)
	}
	return all
}

func contains(outlines []template.Outline, p mgl64.Vec2) bool {
	for _, o := range outlines {
		if o.Contains(p) {
			return true
		}
	}
	return false
}

// clearance returns how far a point is from the nearest edge of rings.
func clearance(rings [][]mgl64.Vec2, p mgl64.Vec2) float64 {
	nearest := math.Inf(1)
	for _, ring := range rings {
		for i, a := range ring {
			nearest = min(nearest, template.DistanceToEdge(p, a, ring[(i+1)%len(ring)]))
		}
	}
	return nearest
}
