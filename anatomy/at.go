package anatomy

import (
	"math"
	"slices"
	"strings"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// besideGroove is how far, in mm, from the outline of a carved groove the frame
	// still counts as its side; ours, no source.
	besideGroove = 3
	// besideRidge is how far, in mm, from helix and antihelix the scapha between
	// them goes on; ours, no source.
	besideRidge = 5
)

// At names the place at p, mm. The first that holds it counts:
//
//   - a ridge or the tragus, since they stand on the base frame and hide parts of
//     the grooves carved into it;
//   - the groove whose outline holds it, the concha divided by the crus of the helix;
//   - off the frame, the side of the frame, by its direction from the middle;
//   - within 5 mm of both helix and antihelix, the scapha, which goes on beyond
//     what is carved of it;
//   - within 3 mm of a carved groove, that groove;
//   - else the base frame.
func (p *Places) At(at mgl64.Vec2) string {
	for _, standing := range [2][]Landmark{p.Ridges, p.tragus} {
		for _, l := range standing {
			if within(l.Region, at, 0) {
				return l.Name
			}
		}
	}
	nearest, distance := "", math.Inf(1)
	for _, l := range p.Grooves {
		if boxDistance(l.Region, at) >= min(distance, besideGroove) {
			continue
		}
		if d := l.Region.Distance(at); d < distance {
			nearest, distance = l.Name, d
		}
	}
	switch {
	case distance <= 0 && nearest == Concha:
		return p.inConcha(at)
	case distance <= 0:
		return nearest
	case !p.onFrame(at):
		return p.around(at)
	case p.betweenRidges(at):
		return Scapha
	case distance < besideGroove && nearest != Concha:
		return nearest
	}
	return OnFrame
}

// within reports whether a place is at most so far, mm, from a region.
func within(region *field.Region, at mgl64.Vec2, reach float64) bool {
	return boxDistance(region, at) <= reach && region.Distance(at) <= reach
}

// boxDistance returns how far a place lies outside a region's bounds along the
// axis in which that is more, mm: no more than its distance from the region.
func boxDistance(region *field.Region, at mgl64.Vec2) float64 {
	lo, hi := region.Bounds()
	return max(lo[0]-at[0], at[0]-hi[0], lo[1]-at[1], at[1]-hi[1], 0)
}

func (p *Places) betweenRidges(at mgl64.Vec2) bool {
	scapha := p.Groove(Scapha)
	if scapha == nil {
		return false
	}
	for _, name := range [2]string{Helix, Antihelix} {
		if !slices.ContainsFunc(p.Ridges, func(l Landmark) bool {
			return strings.HasPrefix(l.Name, name) && within(l.Region, at, besideRidge)
		}) {
			return false
		}
	}
	fossa := p.Groove(Fossa)
	return fossa == nil || scapha.Region.Distance(at) < fossa.Region.Distance(at)
}

func (p *Places) onFrame(at mgl64.Vec2) bool {
	return slices.ContainsFunc(p.outer, func(r *field.Region) bool { return within(r, at, 0) })
}

// inConcha names a place in the concha by the crus of the helix, which divides
// it.
func (p *Places) inConcha(at mgl64.Vec2) string {
	switch {
	case p.crus == nil:
		return Concha
	case p.backward*(at[0]-p.crus[0]) > 0:
		return BehindCrus
	case at[1] > p.crus[1]:
		return AboveCrus
	}
	return BelowCrus
}

// around names a place beside the frame by its direction from the middle.
func (p *Places) around(at mgl64.Vec2) string {
	from := at.Sub(p.Centre)
	x, y := p.backward*from[0]/math.Max(p.HalfSize[0], 1), from[1]/math.Max(p.HalfSize[1], 1)
	switch {
	case math.Abs(y) >= math.Abs(x) && y > 0:
		return Above
	case math.Abs(y) >= math.Abs(x):
		return Below
	case x > 0:
		return Behind
	}
	return InFront
}

// Phrase says "at the helix", "in the concha", "behind the rim" of a place that
// At named.
func (p *Places) Phrase(place string) string {
	named := func(l Landmark) bool { return l.Name == place }
	if slices.ContainsFunc(p.Ridges, named) || slices.ContainsFunc(p.tragus, named) {
		return "at the " + place
	}
	if slices.ContainsFunc(p.Grooves, func(l Landmark) bool { return strings.HasPrefix(place, l.Name) }) {
		return "in the " + place
	}
	return place
}
