package template

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// Overlap tells of two outlines of one part, one drawn over the other by more than
// a pen's stray. What is to be one unit is joined by Join, what is to be two stays
// as it is drawn.
type Overlap struct {
	Part  string
	ID    string  // of the one drawn later
	Over  string  // of the one drawn before
	Depth float64 // mm, that the edges of one reach into the other
	// Inside says, where one lies in the other whole, why the two cannot be one
	// unit: the inner one may have been meant as a hole. It is nil where they cross.
	Inside *Fault
}

// depthFound is how closely in mm the depth of an overlap is found.
const depthFound = 0.01

// joins reports whether outlines of a part can be made one.
func joins(part string) bool { return part != "ear" && part != "pocket" }

// checkPart finds outlines of one part that cross or lie in one another.
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
	crossing := map[[2]int]*Overlap{} // nil for a pen's stray
	pair := func(a, b int) [2]int { return [2]int{min(owner[a], owner[b]), max(owner[a], owner[b])} }
	wanted := func(a, b int) bool {
		_, known := crossing[pair(a, b)]
		return !known && of[owner[a]].shape != of[owner[b]].shape
	}
	exceeded := meetings(rings, wanted, false, &r.effort, func(m meeting) bool {
		p := pair(m.rings[0], m.rings[1])
		crossing[p] = r.cross(part, &of[p[0]], &of[p[1]], m.at)
		return true
	})
	if exceeded {
		r.intricate(of[0].shape, part)
		return
	}
	r.checkInside(part, of, crossing)
}

// cross returns how outlines cross, nil if no more than by a pen's stray; it is a
// fault where they cannot be joined.
func (r *sheetReader) cross(part string, before, after *drawn, at mgl64.Vec2) *Overlap {
	depth := r.overlap(before, after)
	switch {
	case depth <= abutting:
		return nil
	case !joins(part):
		r.locate(r.fault(after.shape, Crossing,
			fmt.Sprintf("crosses %s (line %d), an outline of the same part %s", before.ID, before.shape.element.line, part),
			"join the two into one path, or draw them apart"), at)
	}
	return &Overlap{Part: part, ID: after.ID, Over: before.ID, Depth: depth}
}

// checkInside finds outlines of a part that lie within the material of another of
// its outlines, and keeps all overlaps in the drawing's order.
func (r *sheetReader) checkInside(part string, of []drawn, crossing map[[2]int]*Overlap) {
	if len(of) > maxOfPart {
		r.fault(of[0].shape, TooLarge,
			fmt.Sprintf("the part %s has %d outlines, at most %d can be checked", part, len(of), maxOfPart), "join them")
		return
	}
	areas := make([]float64, len(of))
	for i := range of {
		areas[i] = of[i].Area()
	}
	for j := range of {
		for i := range j {
			overlap, cross := crossing[[2]int{i, j}]
			if !cross && of[i].shape != of[j].shape {
				overlap = r.inside(part, &of[i], &of[j], areas[i] < areas[j])
			}
			if overlap != nil {
				r.sheet.Overlaps = append(r.sheet.Overlaps, *overlap)
			}
			if !r.spend(0) {
				r.intricate(of[j].shape, part)
				return
			}
		}
	}
}

// inside returns how of two outlines that do not cross the smaller one lies in the
// other, nil if it does not; it is a fault where they cannot be joined.
func (r *sheetReader) inside(part string, before, after *drawn, smallerFirst bool) *Overlap {
	depth := r.overlap(before, after)
	if depth <= abutting {
		return nil
	}
	inner, around := after, before
	if smallerFirst {
		inner, around = before, after
	}
	f := &Fault{Kind: Crossing, File: r.sheet.File, Line: inner.shape.element.line, ID: inner.ID,
		Found: fmt.Sprintf("lies inside %s (line %d), an outline of the same part %s",
			around.ID, around.shape.element.line, part),
		Advice: "if it is a hole, make it a piece of the same path; if not, delete it"}
	r.locate(f, inner.Outer[0])
	if joins(part) {
		f.Advice += ", or make it a unit of its own in the case file"
	} else {
		r.faults = append(r.faults, f)
	}
	return &Overlap{Part: part, ID: after.ID, Over: before.ID, Depth: depth, Inside: f}
}

// intricate faults a part whose outlines cost too much to hold against each
// other.
func (r *sheetReader) intricate(s *shape, part string) {
	r.fault(s, TooLarge, "the outlines of "+part+" are too intricate to be checked for crossings", "simplify them in "+
		"the drawing program")
}

// overlap returns how deep in mm edges of either outline lie in the other, to 0.01
// mm, 0 if none does.
func (r *sheetReader) overlap(a, b *drawn) float64 {
	return math.Max(r.deepest(a, b), r.deepest(b, a))
}

// distancePairs is what a point's distance to an outline costs in pairs of edges
// compared.
const distancePairs = 50

// deepest returns how deep the edges of a reach into b.
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
	for i, p := range a.Outer {
		q := a.Outer[(i+1)%len(a.Outer)]
		if math.Max(p[0], q[0]) < low[0] || math.Max(p[1], q[1]) < low[1] ||
			math.Min(p[0], q[0]) > high[0] || math.Min(p[1], q[1]) > high[1] {
			continue
		}
		if depth = math.Max(depth, r.depthAt(b.region, p)); !r.spend(0) {
			break
		}
		depth = r.deepestOn(b.region, p, q, depth)
	}
	return depth
}

func (r *sheetReader) depthAt(region *field.Region, p mgl64.Vec2) float64 {
	r.spend(distancePairs)
	return -region.Distance(p)
}

// deepestOn returns the greater of depth and that of the edge from p to q in the
// region. It halves the edge: depth changes by no more than one over one.
func (r *sheetReader) deepestOn(region *field.Region, p, q mgl64.Vec2, depth float64) float64 {
	half := q.Sub(p).Len() / 2
	if half < depthFound || !r.spend(0) {
		return depth
	}
	middle := p.Add(q).Mul(0.5)
	here := r.depthAt(region, middle)
	if depth = math.Max(depth, here); here+half <= depth+depthFound {
		return depth
	}
	return r.deepestOn(region, middle, q, r.deepestOn(region, p, middle, depth))
}
