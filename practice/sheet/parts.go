package sheet

import (
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// part is one of several that a unit is cut in, where it belongs in the unit.
type part struct {
	words   string
	outline []template.Outline // in the unit's own coordinates; none for a strip that is bent
	grain   mgl64.Vec2         // along the rib, in the unit's own coordinates
}

// partsOf returns the parts that a unit is cut in; none if it is cut whole.
func (l *layout) partsOf(u *units.Unit) []part {
	parts, known := l.parts[u]
	if !known {
		parts = l.findParts(u)
		l.parts[u] = parts
	}
	return parts
}

func (l *layout) findParts(u *units.Unit) []part {
	var parts []part
	for _, n := range l.in.Nestings {
		for _, p := range n.Placed {
			if p.Name != u.Name || p.Words == "" {
				continue
			}
			found := part{words: p.Words}
			if !p.Strip {
				lo, hi := p.Outlines[0].Bounds()
				back := mgl64.Rotate2D(-p.Turn)
				found.grain = back.Mul2x1(lengthOfPiece(n, lo.Add(hi).Mul(0.5)))
				for _, o := range p.Outlines {
					found.outline = append(found.outline, p.inUnit(o))
				}
			}
			parts = append(parts, found)
		}
	}
	return parts
}

// inUnit returns an outline in the piece where it belongs in the unit.
func (p Placed) inUnit(o template.Outline) template.Outline {
	back := mgl64.Rotate2D(-p.Turn)
	move := func(r template.Ring) template.Ring {
		moved := make(template.Ring, len(r))
		for i, q := range r {
			moved[i] = back.Mul2x1(q.Sub(p.At))
		}
		return moved
	}
	in := template.Outline{ID: o.ID, Part: o.Part, Outer: move(o.Outer)}
	for _, hole := range o.Holes {
		in.Holes = append(in.Holes, move(hole))
	}
	return in
}

// drawCuts draws where the unit is cut in parts.
func (l *layout) drawCuts(f *figure, u *units.Unit) {
	for _, p := range l.partsOf(u) {
		f.add(cutPen, false, within(rings(p.outline), u.Outlines)...)
	}
}

// placePartGrain draws an arrow along the grain in each part, and reports whether
// the unit has parts that lie as they are drawn. A part without room for an arrow
// has none: the sheet of cartilage shows how it lies.
func (l *layout) placePartGrain(f *figure, u *units.Unit, near *crowd) bool {
	drawn := false
	for _, p := range l.partsOf(u) {
		if len(p.outline) == 0 {
			continue
		}
		drawn = true
		grain := func(mgl64.Vec2) mgl64.Vec2 { return p.grain }
		for _, length := range []float64{14, 11, 8, 6, 4} {
			if a, b, ok := grainWithin(p.outline, grain, near, length); ok {
				f.add(finePen, false, arrow(a, b)...)
				break
			}
		}
	}
	return drawn
}

// partWords says that a unit is cut in parts.
func (l *layout) partWords(u *units.Unit) []string {
	parts := l.partsOf(u)
	if len(parts) < 2 {
		return nil
	}
	names := make([]string, len(parts))
	for i, p := range parts {
		names[i] = p.words
	}
	return []string{"Cut as " + and(names) + ", joined along the cut"}
}

// anyParts reports whether any unit is cut in parts that lie as they are drawn.
func (l *layout) anyParts() bool {
	for _, u := range l.in.Plan.Units {
		for _, p := range l.partsOf(u) {
			if len(p.outline) > 0 {
				return true
			}
		}
	}
	return false
}
