package template

import (
	"context"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// joinGap is the gap in mm between outlines that is closed by joining them:
	// twice what abutting outlines may overlap.
	joinGap = 2 * abutting
	// joinReach in mm is by how much joined outlines are grown and shrunk again:
	// more than half the gap, so that the gap is closed surely.
	joinReach = 0.6 * joinGap
)

// Join makes one outline of those that touch, overlap, or lie less than 0.1 mm
// apart, as if they had been drawn as one: the seam between them goes, and what
// else they enclose stays to within 0.001 mm, but for gaps and notches below
// 0.12 mm, which are filled (the closing of mathematical morphology by a disc:
// Serra 1982). An outline made of several has the ID and part of the first.
// Outlines that touch no other come back as they are. The order is that of the
// first of each. The error tells of an outline that encloses nothing; ctx ends
// the work early with its error.
//
// The cost grows with the length of the outlines and, in pairs with overlapping
// bounds, with the number of their points.
func Join(ctx context.Context, outlines []Outline) ([]Outline, error) {
	regions := make([]*field.Region, len(outlines))
	for i, o := range outlines {
		region, err := Region(o)
		if err != nil {
			return nil, err
		}
		regions[i] = region
	}
	var joined []Outline
	groups := together(ctx, outlines, regions)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, group := range groups {
		first := outlines[group[0]]
		if len(group) == 1 {
			joined = append(joined, first)
			continue
		}
		var of []*field.Region
		for _, i := range group {
			of = append(of, regions[i])
		}
		grown, err := moved(ctx, of, joinReach, first)
		if err != nil {
			return nil, err
		}
		for _, piece := range grown {
			back, err := Offset(ctx, piece, -joinReach)
			if err != nil {
				return nil, err
			}
			joined = append(joined, back...)
		}
	}
	return joined, nil
}

// together returns the indices of the outlines in groups that hang together,
// each in order.
func together(ctx context.Context, outlines []Outline, regions []*field.Region) [][]int {
	group := make([]int, len(outlines)) // the first outline of each one's group
	for i := range outlines {
		group[i] = i
		for j := range i {
			if group[j] == group[i] || ctx.Err() != nil || !touch(outlines[i], regions[i], outlines[j], regions[j]) {
				continue
			}
			from, to := max(group[i], group[j]), min(group[i], group[j])
			for k := range i + 1 {
				if group[k] == from {
					group[k] = to
				}
			}
		}
	}
	var groups [][]int
	place := map[int]int{}
	for i, first := range group {
		if first == i {
			place[i] = len(groups)
			groups = append(groups, nil)
		}
		groups[place[first]] = append(groups[place[first]], i)
	}
	return groups
}

// touch reports whether two outlines come closer than the gap that is closed:
// then an edge of one does to the other, or one holds all of the other.
func touch(a Outline, regionA *field.Region, b Outline, regionB *field.Region) bool {
	alow, ahigh := a.Bounds()
	blow, bhigh := b.Bounds()
	for k := range alow {
		if alow[k] > bhigh[k]+joinGap || blow[k] > ahigh[k]+joinGap {
			return false
		}
	}
	return reaches(a, regionB) || regionA.Distance(b.Outer[0]) < joinGap
}

// reaches reports whether an edge of the outline comes closer to the region than
// the gap that is closed.
func reaches(o Outline, region *field.Region) bool {
	for _, ring := range o.Rings() {
		for i, p := range ring {
			if edgeReaches(p, ring[(i+1)%len(ring)], region) {
				return true
			}
		}
	}
	return false
}

// edgeReaches halves the edge until the distance of its middle tells: it
// changes by no more than one over one.
func edgeReaches(p, q mgl64.Vec2, region *field.Region) bool {
	const leastHalf = joinGap / 50
	middle, half := p.Add(q).Mul(0.5), q.Sub(p).Len()/2
	if outside(region, middle)-half >= joinGap {
		return false // most edges are told by the region's bounds alone
	}
	switch d := region.Distance(middle); {
	case d < joinGap:
		return true
	case d-half >= joinGap || half < leastHalf:
		return false
	}
	return edgeReaches(p, middle, region) || edgeReaches(middle, q, region)
}
