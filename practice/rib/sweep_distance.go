package rib

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// distance is at without the gradient, which takes as long again: most of what a
// contour asks for is the distance alone.
func (s *sweep) distance(p mgl64.Vec3) float64 {
	v, w := p.Vec2().Sub(s.axis), p[2]-s.level
	distance := s.sideDistance(v, w)
	for i := range s.ends {
		e := &s.ends[i]
		reach := 0.0
		if e.tip {
			reach = s.most*s.across/2 - s.edge
		}
		if math.Abs(v.Dot(e.on))-reach < distance {
			distance = math.Min(distance, s.endDistance(e, v, w))
		}
	}
	return distance - s.edge
}

// sideDistance is fromSide without the gradient.
func (s *sweep) sideDistance(v mgl64.Vec2, w float64) float64 {
	first := &s.ends[0]
	angle := math.Atan2(-v.Dot(first.on), v.Dot(first.out))
	if angle < 0 {
		angle += 2 * math.Pi
	}
	out := length(v[0], v[1])
	if angle > s.turn || out == 0 {
		return math.Inf(1)
	}
	scale, _ := s.calmed(1+(s.taper-1)/s.turn*angle, out)
	distance := s.sectionDistance(scale, out-s.radius, w)
	for i, left := range [2]float64{angle, s.turn - angle} {
		switch {
		case s.ends[i].tip:
		case left < math.Pi/2:
			distance = math.Max(distance, v.Dot(s.ends[i].on))
		default:
			distance = math.Max(distance, -out)
		}
	}
	return distance
}

// endDistance is fromEnd without the gradient.
func (s *sweep) endDistance(e *endFace, v mgl64.Vec2, w float64) float64 {
	out, beyond := v.Dot(e.out), v.Dot(e.on)
	scale, _ := s.calmed(e.scale, out)
	if e.tip {
		return s.sectionDistance(scale, length(out-s.radius, beyond), w)
	}
	side := s.sectionDistance(scale, out-s.radius, w)
	if side <= 0 {
		return math.Abs(beyond)
	}
	return length(side, beyond)
}

// sectionDistance is section without the slopes.
func (s *sweep) sectionDistance(scale, u, w float64) float64 {
	q := mgl64.Vec2{u / scale, w / scale}
	o := &s.oval
	along, across := math.Abs(q[o.long]), math.Abs(q[1-o.long])
	if across*o.focus < o.depth*(along-o.focus) {
		return scale*(length(along-o.focus, across)-o.end) + s.edge
	}
	return scale*(length(along, across+o.depth)-o.face) + s.edge
}
