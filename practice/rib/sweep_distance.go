package rib

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// post is what a sweep knows of all points above one (x, y).
type post struct {
	between bool    // whether it lies between the ends
	oval    oval    // the section there
	across  float64 // from the arc, in the section's plane
	blunt   float64 // distance from what lies beyond the blunt ends
	endings [2]ending
}

// ending is what an end has to say there.
type ending struct {
	tip    bool
	least  float64 // the end lies no nearer than that, whatever its section
	oval   oval
	across float64 // from the section's middle
	beyond float64 // the end's face
}

// distance is at without the gradient, which takes as long again: most of what a
// contour asks for is the distance alone.
func (s *sweep) distance(p mgl64.Vec3) float64 {
	at := s.postAt(p.Vec2())
	return s.distanceOn(&at, p[2])
}

func (s *sweep) postAt(p mgl64.Vec2) (at post) {
	v := p.Sub(s.axis)
	first := &s.ends[0]
	angle := math.Atan2(-v.Dot(first.on), v.Dot(first.out))
	if angle < 0 {
		angle += 2 * math.Pi
	}
	if out := length(v[0], v[1]); angle <= s.turn && out > 0 {
		scale, _ := s.calmed(s.scalesOf(angle/s.turn), out)
		at.between, at.oval = true, s.ovalOf(scale)
		at.across = out - s.radius
		at.blunt = math.Inf(-1)
		for i, left := range [2]float64{angle, s.turn - angle} {
			switch {
			case s.ends[i].tip:
			case left < math.Pi/2:
				at.blunt = math.Max(at.blunt, v.Dot(s.ends[i].on))
			default:
				at.blunt = math.Max(at.blunt, -out)
			}
		}
	}
	for i := range s.ends {
		e := &s.ends[i]
		out, beyond := v.Dot(e.out), v.Dot(e.on)
		section := e.oval
		if out < s.calm {
			scale, _ := s.calmed(e.scale, out)
			section = s.ovalOf(scale)
		}
		at.endings[i] = ending{e.tip, math.Abs(beyond), section, out - s.radius, beyond}
		if e.tip {
			at.endings[i].least -= s.most[0]*s.across/2 - s.edge
			at.endings[i].across = length(out-s.radius, beyond)
		}
	}
	return at
}

// distanceOn returns the distance at the height z over the post.
func (s *sweep) distanceOn(at *post, z float64) float64 {
	w, distance := z-s.level, math.Inf(1)
	if at.between {
		distance = max(s.sectionDistance(&at.oval, at.across, w), at.blunt)
	}
	for i := range at.endings {
		if e := &at.endings[i]; e.least < distance {
			distance = min(distance, s.endDistance(e, w))
		}
	}
	return distance - s.edge
}

// endDistance is fromEnd without the gradient.
func (s *sweep) endDistance(e *ending, w float64) float64 {
	side := s.sectionDistance(&e.oval, e.across, w)
	switch {
	case e.tip:
		return side
	case side <= 0:
		return math.Abs(e.beyond)
	}
	return length(side, e.beyond)
}

// sectionDistance is section without the slopes.
func (s *sweep) sectionDistance(o *oval, u, w float64) float64 {
	q := mgl64.Vec2{u, w}
	along, across := math.Abs(q[o.long]), math.Abs(q[1-o.long])
	if across*o.focus < o.depth*(along-o.focus) {
		return length(along-o.focus, across) - o.end + s.edge
	}
	return length(along, across+o.depth) - o.face + s.edge
}
