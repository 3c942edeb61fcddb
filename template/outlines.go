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
				if part == frankfort || part == scale || slices.Contains(s.parts[:i], part) {
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
		r.fault(s, TooLarge, fmt.Sprintf("the shape has %d pieces, at most %d can be one outline", len(s.paths), maxRings), "split it")
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
	if len(r.faults) > before || r.meet(s, rings) {
		return nil
	}
	for _, ring := range rings {
		if math.Abs(ring.Area()) < leastArea {
			r.noArea(s, ring[0])
			return nil
		}
	}
	all := nest(rings)
	if i, stray := strayHole(all); stray && !s.evenOdd {
		f := r.fault(s, HoleOutside, "a ring winds the other way round, as a hole does, but lies outside the ring it should be a hole of",
			"move it inside, or draw it as a shape of its own")
		r.locate(f, all[i].ring[0])
		return nil
	}
	return fill(all, s.evenOdd)
}

// ring flattens one closed subpath; nil, with a fault, if it is no ring.
func (r *sheetReader) ring(s *shape, path *subpath) Ring {
	upright := path.mapped(r.upright)
	points, err := r.flatten(&upright, r.options.Tolerance)
	if err != nil {
		r.fault(s, BadNumber, err.Error(), "check the scale and redraw the outline")
		return nil
	}
	first, last := points[0], points[len(points)-1]
	if gap := last.Sub(first).Len(); !path.closed && gap >= closingGap {
		f := r.fault(s, OpenPath, fmt.Sprintf("the path is open: its ends lie %.3g mm apart, the last at x %.3f y %.3f, the first",
			gap, r.upright.inverse().point(last)[0], r.upright.inverse().point(last)[1]), "close it in the drawing program")
		r.locate(f, first)
		return nil
	} else if !path.closed && gap > 0 {
		points = points[:len(points)-1] // the gap is closed by moving the end
	}
	ring := withoutRepeats(points)
	if ring.flat() {
		r.noArea(s, first)
		return nil
	}
	return ring
}

func (r *sheetReader) noArea(s *shape, at mgl64.Vec2) {
	r.locate(r.fault(s, ZeroArea, fmt.Sprintf("the outline encloses no area (less than %g mm²)", leastArea), "draw it as a closed shape, or delete it"), at)
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
		width = math.Max(width, distanceToEdge(p, a, b))
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
	found, exceeded := meetings(rings, func(a, b int) bool { return true }, true, 4*shownMeetings, &r.effort)
	if exceeded {
		r.fault(s, TooLarge, "the outline is too intricate to be checked for crossings", "simplify it in the drawing program")
	}
	var told []mgl64.Vec2
	for _, m := range found {
		if len(told) == shownMeetings || slices.ContainsFunc(told, func(p mgl64.Vec2) bool { return p.Sub(m.at).Len() < closingGap }) {
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

// checkPart faults outlines of one part that cross or lie in one another.
func (r *sheetReader) checkPart(part string, all []drawn) {
	var of []drawn
	var rings []Ring
	var owner []int
	for _, d := range all {
		if d.Part != part {
			continue
		}
		for _, ring := range d.Rings() {
			rings, owner = append(rings, ring), append(owner, len(of))
		}
		of = append(of, d)
	}
	if len(of) < 2 {
		return
	}
	wanted := func(a, b int) bool { return of[owner[a]].shape != of[owner[b]].shape }
	found, exceeded := meetings(rings, wanted, false, maxFaults, &r.effort)
	if exceeded {
		r.intricate(of[0].shape, part)
		return
	}
	told := map[[2]int]bool{}
	for _, m := range found {
		pair := [2]int{min(owner[m.rings[0]], owner[m.rings[1]]), max(owner[m.rings[0]], owner[m.rings[1]])}
		if told[pair] || r.overlap(&of[pair[0]], &of[pair[1]]) <= abutting {
			continue
		}
		told[pair] = true
		f := r.fault(of[pair[1]].shape, Crossing, fmt.Sprintf("crosses %s (line %d), an outline of the same part %s", of[pair[0]].ID, of[pair[0]].shape.element.line, part),
			"join the two into one path, or draw them apart")
		r.locate(f, m.at)
	}
	if len(found) == 0 {
		r.checkInside(part, of)
	}
}

// checkInside faults outlines of a part that lie within the material of another
// of its outlines.
func (r *sheetReader) checkInside(part string, of []drawn) {
	if len(of) > maxOfPart {
		r.fault(of[0].shape, TooLarge, fmt.Sprintf("the part %s has %d outlines, at most %d can be checked", part, len(of), maxOfPart), "join them")
		return
	}
	areas := make([]float64, len(of))
	for i := range of {
		areas[i] = of[i].Area()
	}
	for i := range of {
		for j := range of {
			inner, around := &of[i], &of[j]
			if i == j || inner.shape == around.shape || areas[j] <= areas[i] {
				continue
			}
			if !r.spend(0) {
				r.intricate(inner.shape, part)
				return
			}
			if r.overlap(inner, around) > abutting {
				f := r.fault(inner.shape, Crossing, fmt.Sprintf("lies inside %s (line %d), an outline of the same part %s", around.ID, around.shape.element.line, part),
					"if it is a hole, make it a piece of the same path; if not, delete it")
				r.locate(f, inner.Outer[0])
			}
		}
	}
}

// intricate faults a part whose outlines cost too much to hold against each
// other.
func (r *sheetReader) intricate(s *shape, part string) {
	r.fault(s, TooLarge, "the outlines of "+part+" are too intricate to be checked for crossings", "simplify them in the drawing program")
}

// overlap returns how deep in mm corners of either outline lie in the other, 0
// if none does.
func (r *sheetReader) overlap(a, b *drawn) float64 {
	return math.Max(r.deepest(a, b), r.deepest(b, a))
}

// distancePairs is what a corner's distance to an outline costs in pairs of
// edges compared.
const distancePairs = 50

// deepest returns how deep the corners of a reach into b.
func (r *sheetReader) deepest(a, b *drawn) float64 {
	alow, ahigh := a.Bounds()
	low, high := b.Bounds()
	if ahigh[0] < low[0] || ahigh[1] < low[1] || alow[0] > high[0] || alow[1] > high[1] {
		return 0
	}
	if b.region == nil {
		region, err := Region(b.Outline)
		if err != nil {
			return 0 // a ring of no extent holds nothing
		}
		b.region = region
	}
	r.spend(len(a.Outer))
	depth := 0.0
	for _, p := range a.Outer {
		if p[0] >= low[0] && p[0] <= high[0] && p[1] >= low[1] && p[1] <= high[1] {
			if !r.spend(distancePairs) {
				break
			}
			depth = math.Max(depth, -b.region.Distance(p))
		}
	}
	return depth
}
