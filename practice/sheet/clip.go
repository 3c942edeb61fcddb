package sheet

import (
	"slices"

	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// clip returns the part of a path within a rectangle. A closed line that is cut
// becomes open ones; a filled one keeps its area.
func clip(p path, window rectangle) path {
	if inside(p.lines, window) {
		return p
	}
	out := path{pen: p.pen}
	for _, line := range p.lines {
		if p.pen.width == 0 {
			if cut := clipArea(line, window); len(cut) > 2 {
				out.lines, out.closed = append(out.lines, cut), true
			}
			continue
		}
		if p.closed {
			line = append(slices.Clip(line), line[0])
		}
		out.lines = append(out.lines, clipLine(line, window)...)
	}
	return out
}

func inside(lines [][]mgl64.Vec2, window rectangle) bool {
	for _, line := range lines {
		for _, q := range line {
			if q[0] < window.left || q[0] > window.right || q[1] < window.top || q[1] > window.bottom {
				return false
			}
		}
	}
	return true
}

// clipLine cuts a line to a rectangle, segment by segment (Liang and Barsky, "A
// new concept and method for line clipping", 1984).
func clipLine(line []mgl64.Vec2, window rectangle) [][]mgl64.Vec2 {
	var pieces [][]mgl64.Vec2
	var piece []mgl64.Vec2
	flush := func() {
		if len(piece) > 1 {
			pieces = append(pieces, piece)
		}
		piece = nil
	}
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		d := b.Sub(a)
		enter, leave := 0.0, 1.0
		for _, side := range [4][2]float64{
			{-d[0], a[0] - window.left}, {d[0], window.right - a[0]},
			{-d[1], a[1] - window.top}, {d[1], window.bottom - a[1]},
		} {
			switch speed, room := side[0], side[1]; {
			case speed == 0 && room < 0:
				leave = -1
			case speed < 0:
				enter = max(enter, room/speed)
			case speed > 0:
				leave = min(leave, room/speed)
			}
		}
		if enter >= leave {
			flush()
			continue
		}
		if enter > 0 || piece == nil {
			flush()
			piece = []mgl64.Vec2{a.Add(d.Mul(enter))}
		}
		piece = append(piece, a.Add(d.Mul(leave)))
		if leave < 1 {
			flush()
		}
	}
	flush()
	return pieces
}

// clipArea cuts a ring to a rectangle, one side after the other (Sutherland and
// Hodgman, "Reentrant polygon clipping", 1974).
func clipArea(ring []mgl64.Vec2, window rectangle) []mgl64.Vec2 {
	for _, side := range []struct {
		axis  int
		sign  float64
		limit float64
	}{{0, 1, window.left}, {0, -1, -window.right}, {1, 1, window.top}, {1, -1, -window.bottom}} {
		var kept []mgl64.Vec2
		for i, b := range ring {
			a := ring[(i+len(ring)-1)%len(ring)]
			da, db := side.sign*a[side.axis]-side.limit, side.sign*b[side.axis]-side.limit
			if (da < 0) != (db < 0) {
				kept = append(kept, a.Add(b.Sub(a).Mul(da/(da-db))))
			}
			if db >= 0 {
				kept = append(kept, b)
			}
		}
		ring = kept
	}
	return ring
}

// edgeKept is how far from the outlines' own edges a line must run to be told
// from them, mm: half the width of both.
const edgeKept = 0.4

// within returns the pieces of closed rings that run inside outlines and do not
// follow their edges.
func within(lines [][]mgl64.Vec2, outlines []template.Outline) [][]mgl64.Vec2 {
	edges := rings(outlines)
	var pieces [][]mgl64.Vec2
	for _, ring := range lines {
		first := len(pieces)
		var piece []mgl64.Vec2
		flush := func() {
			if len(piece) > 1 {
				pieces = append(pieces, piece)
			}
			piece = nil
		}
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			cuts := crossings(a, b, edges)
			for k := 1; k < len(cuts); k++ {
				from, to := a.Add(b.Sub(a).Mul(cuts[k-1])), a.Add(b.Sub(a).Mul(cuts[k]))
				middle := from.Add(to).Mul(0.5)
				if !contains(outlines, middle) || clearance(edges, middle) < edgeKept {
					flush()
					continue
				}
				if piece == nil {
					piece = []mgl64.Vec2{from}
				}
				piece = append(piece, to)
			}
		}
		flush()
		pieces = mend(pieces, first)
	}
	return pieces
}

// mend joins the last of the pieces from first on to the first of them, where
// the ring they come from was begun in the middle of a piece.
func mend(pieces [][]mgl64.Vec2, first int) [][]mgl64.Vec2 {
	last := len(pieces) - 1
	if last <= first {
		return pieces
	}
	head, tail := pieces[first], pieces[last]
	if head[0] != tail[len(tail)-1] {
		return pieces
	}
	pieces[first] = append(slices.Clip(tail), head[1:]...)
	return pieces[:last]
}

// crossings returns the places, from 0 to 1 in ascending order, where a straight
// line from a to b crosses rings, with its own ends.
func crossings(a, b mgl64.Vec2, rings [][]mgl64.Vec2) []float64 {
	at := []float64{0, 1}
	d := b.Sub(a)
	for _, ring := range rings {
		for i, p := range ring {
			e := ring[(i+1)%len(ring)].Sub(p)
			area := d[0]*e[1] - d[1]*e[0]
			if area == 0 {
				continue
			}
			ap := p.Sub(a)
			t, s := (ap[0]*e[1]-ap[1]*e[0])/area, (ap[0]*d[1]-ap[1]*d[0])/area
			if t > 0 && t < 1 && s >= 0 && s <= 1 {
				at = append(at, t)
			}
		}
	}
	slices.Sort(at)
	return at
}
