package template

import (
	"fmt"
	"math"
	"slices"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// closingGap is the gap in mm that is closed without a word: a fortieth of
	// the line of a fine pen.
	closingGap = 0.01
	// samePoint is the distance in mm below which neighbouring points are one.
	samePoint = 1e-6
	// leastArea is the area in mm² below which an outline encloses nothing.
	leastArea = 1e-3
	// abutting is how deep in mm outlines of a part may overlap and still count
	// as laid edge to edge: twice the default flattening and a pen's stray.
	abutting = 0.05
	// maxRings and maxOfPart bound how many rings a shape, and how many
	// outlines a part may have.
	maxRings  = 1000
	maxOfPart = 200
)

// drawn is an outline with the shape it comes from.
type drawn struct {
	Outline
	shape  *shape
	region *field.Region // made when first asked for
}

// outline makes the outlines of all named shapes and checks them.
func (r *sheetReader) outline() {
	var all []drawn
	for i := range r.shapes {
		s := &r.shapes[i]
		if !s.isOutline() {
			continue
		}
		for _, outline := range r.outlinesOf(s) {
			for i, part := range s.parts {
				if isMark(part) || slices.Contains(s.parts[:i], part) {
					continue
				}
				copied := outline.clone()
				copied.ID, copied.Part = s.id, part
				all = append(all, drawn{Outline: copied, shape: s})
			}
		}
	}
	for _, part := range PartNames() {
		r.checkPart(part, all)
	}
	for _, d := range all {
		r.sheet.Outlines = append(r.sheet.Outlines, d.Outline)
	}
}

func (o Outline) clone() Outline {
	o.Outer = slices.Clone(o.Outer)
	holes := o.Holes
	o.Holes = nil
	for _, hole := range holes {
		o.Holes = append(o.Holes, slices.Clone(hole))
	}
	return o
}

// locate sets where a fault is, given a point of the sheet.
func (r *sheetReader) locate(f *Fault, p mgl64.Vec2) {
	at := r.upright.inverse().point(p)
	f.At, f.Unit = &at, "mm"
	if !r.real {
		f.Unit = "units"
	}
}

// outlinesOf flattens a shape and sorts its rings into outlines.
func (r *sheetReader) outlinesOf(s *shape) []Outline {
	if len(s.paths) > maxRings {
		r.fault(s, TooLarge, fmt.Sprintf("the shape has %d pieces, at most %d can be one "+
			"outline", len(s.paths), maxRings), "split it")
		return nil
	}
	before := len(r.faults)
	var rings []Ring
	for i := range s.paths {
		if ring := r.ring(s, &s.paths[i]); ring != nil {
			rings = append(rings, ring)
		}
	}
	if len(s.paths) == 0 {
		r.fault(s, ZeroArea, "the shape draws nothing", "draw the outline, or delete it")
	}
	if len(r.faults) > before {
		return nil
	}
	rings = r.withoutCrumbs(s, rings, Ring.flat)
	if r.meets(rings) || !r.spend(0) {
		if rings = r.heal(s, rings); r.meet(s, rings) {
			return nil
		}
	}
	if len(rings) == 0 {
		return nil
	}
	rings = r.withoutCrumbs(s, rings, func(ring Ring) bool { return math.Abs(ring.Area()) < leastArea })
	return fill(nest(rings), s.evenOdd)
}

// withoutCrumbs returns the rings that enclose something; it is a fault if none
// does.
func (r *sheetReader) withoutCrumbs(s *shape, rings []Ring, crumb func(Ring) bool) []Ring {
	var kept []Ring
	for _, ring := range rings {
		if !crumb(ring) {
			kept = append(kept, ring)
		}
	}
	switch {
	case len(kept) == 0:
		r.noArea(s, rings[0][0])
	default:
		r.note(Healed{ID: s.id, Line: s.element.line, Crumbs: len(rings) - len(kept)})
	}
	return kept
}

// meets reports whether rings of a shape meet themselves or each other at all.
func (d *drawing) meets(rings []Ring) (met bool) {
	meetings(rings, func(a, b int) bool { return true }, true, &d.effort, func(meeting) bool {
		met = true
		return false
	})
	return met
}

// ring flattens one closed subpath; nil, with a fault, if it is open.
func (r *sheetReader) ring(s *shape, path *subpath) Ring {
	upright := path.mapped(r.upright)
	points, err := r.flatten(&upright, r.options.Tolerance)
	if err != nil {
		r.fault(s, BadNumber, err.Error(), "check the scale and redraw the outline")
		return nil
	}
	first, last := points[0], points[len(points)-1]
	if gap := last.Sub(first).Len(); !path.closed && gap >= closingGap {
		f := r.fault(s, OpenPath, fmt.Sprintf("the path is open: its ends lie %.3g mm apart, the last at x %.3f y %.3f, "+
			"the first",
			gap, r.upright.inverse().point(last)[0], r.upright.inverse().point(last)[1]), "close it in the drawing program")
		r.locate(f, first)
		return nil
	} else if !path.closed && gap > 0 {
		points = points[:len(points)-1] // the gap is closed by moving the end
	}
	return withoutRepeats(points)
}

func (r *sheetReader) noArea(s *shape, at mgl64.Vec2) {
	r.locate(r.fault(s, ZeroArea, fmt.Sprintf("the outline encloses no area (less than %g mm²)", leastArea), "draw it "+
		"as a closed shape, or delete it"), at)
}

// flat reports whether the ring has no width: a line there and back.
func (r Ring) flat() bool {
	if len(r) < 3 {
		return true
	}
	a := r[r.farthest(r[0])]
	b := r[r.farthest(a)]
	width := 0.0
	for _, p := range r {
		width = math.Max(width, DistanceToEdge(p, a, b))
	}
	return width*b.Sub(a).Len() < leastArea
}

// withoutRepeats drops points that repeat the one before.
func withoutRepeats(points []mgl64.Vec2) Ring {
	var ring Ring
	for _, p := range points {
		if len(ring) == 0 || p.Sub(ring[len(ring)-1]).Len() > samePoint {
			ring = append(ring, p)
		}
	}
	for len(ring) > 1 && ring[0].Sub(ring[len(ring)-1]).Len() <= samePoint {
		ring = ring[:len(ring)-1]
	}
	return ring
}

// shownMeetings is how many crossings of a shape are told.
const shownMeetings = 3

// meet faults rings of a shape that cross or touch themselves or each other.
func (r *sheetReader) meet(s *shape, rings []Ring) bool {
	var found []meeting
	exceeded := meetings(rings, func(a, b int) bool { return true }, true, &r.effort, func(m meeting) bool {
		found = append(found, m)
		return len(found) < 4*shownMeetings
	})
	if exceeded {
		r.fault(s, TooLarge, "the outline is too intricate to be checked for crossings", "simplify it in the drawing program")
	}
	var told []mgl64.Vec2
	for _, m := range found {
		near := func(p mgl64.Vec2) bool { return p.Sub(m.at).Len() < closingGap }
		if len(told) == shownMeetings || slices.ContainsFunc(told, near) {
			continue // the neighbouring edges of a crossing already told
		}
		told = append(told, m.at)
		text := "the outline crosses or touches itself"
		if m.rings[0] != m.rings[1] {
			text = "two rings of the shape cross or touch"
		}
		r.locate(r.fault(s, Crossing, text, "pull the outline apart there"), m.at)
	}
	return len(found) > 0 || exceeded
}
