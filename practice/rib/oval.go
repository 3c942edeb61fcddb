package rib

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// An oval is the section of a rib cartilage about its middle: two arcs of the
// radius end, joined without a kink by two flatter arcs of the radius face (the
// four-centred oval of draughtsmen).
//
//	   ___----------___
//	 /                  \    the ends' middles lie on the long axis
//	|    +          +    |   at ±focus, the faces' on the short axis
//	 \___          ___/      at ∓depth
//	     ----------
//
// Its distance is exact, and the ovals inside it, parallel to it, are ovals with
// the same four middles.
type oval struct {
	half  mgl64.Vec2 // half its extent along its two axes
	long  int        // which of them is the longer
	end   float64    // radius of the ends
	face  float64    // radius of the faces
	focus float64    // distance of the ends' middles from the oval's
	depth float64    // distance of the faces' middles from the oval's
}

// fullness is the radius of an oval's ends as a share of half its lesser
// extent: 1 would be a stadium with flat faces. No source: earframe's own
// choice, fuller than the ellipse of the same extents.
const fullness = 0.8

// newOval returns the oval of the two extents, mm, which are positive.
func newOval(across, through float64) oval {
	o := oval{half: mgl64.Vec2{across / 2, through / 2}}
	if through > across {
		o.long = 1
	}
	most, least := o.half[o.long], o.half[1-o.long]
	o.end = fullness * least
	o.focus = most - o.end
	o.face = (o.focus*o.focus + least*least - o.end*o.end) / (2 * (least - o.end))
	o.depth = o.face - least
	return o
}

// distance returns the signed distance of p from the oval in mm and its
// gradient, a unit vector.
func (o oval) distance(p mgl64.Vec2) (float64, mgl64.Vec2) {
	along, across := math.Abs(p[o.long]), math.Abs(p[1-o.long])
	middle, radius := mgl64.Vec2{0, -o.depth}, o.face
	if across*o.focus < o.depth*(along-o.focus) {
		middle, radius = mgl64.Vec2{o.focus, 0}, o.end
	}
	x, y := along-middle[0], across-middle[1]
	away := length(x, y)
	if away == 0 { // the middle of a circle
		return -radius, mgl64.Vec2{0, 1}
	}
	var gradient mgl64.Vec2
	gradient[o.long] = math.Copysign(x/away, p[o.long])
	gradient[1-o.long] = math.Copysign(y/away, p[1-o.long])
	return away - radius, gradient
}

// perExtents returns how the distance of p changes with half the extent across and
// half the extent through, from its gradient there: 0 to -1 for each, since a larger
// oval holds the smaller.
func (o oval) perExtents(p, gradient mgl64.Vec2) mgl64.Vec2 {
	most, least := o.half[o.long], o.half[1-o.long]
	along, across := math.Abs(p[o.long]), math.Abs(p[1-o.long])
	var per mgl64.Vec2
	if across*o.focus < o.depth*(along-o.focus) {
		x := math.Abs(gradient[o.long])
		per[o.long], per[1-o.long] = -x, fullness*(x-1)
		return per
	}
	// Of the faces' radius, as in newOval.
	perMost := (most - fullness*least) / (least * (1 - fullness))
	perLeast := 1 + fullness - fullness*perMost - o.face/least
	y := math.Abs(gradient[1-o.long])
	per[o.long], per[1-o.long] = perMost*(y-1), perLeast*(y-1)-y
	return per
}

// length returns √(x² + y²). Millimetres neither overflow nor vanish when
// squared, so that math.Hypot's care, three times as slow, is not needed.
func length(x, y float64) float64 { return math.Sqrt(x*x + y*y) }
