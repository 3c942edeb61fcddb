package wall

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// foot is a point of the surface.
type foot struct {
	at, normal mgl64.Vec3 // mm; outward, of length 1
}

// spot is a ball that lies in the solid and touches its surface at the foot, and
// the place where it touches it besides.
type spot struct {
	foot
	across    mgl64.Vec3 // the foot itself: nothing yet
	thickness float64    // the ball's diameter, mm
	facing    bool       // the ball is held between facing sides
	cut       bool       // a cut made one of them
}

func (s *spot) centre() mgl64.Vec3 { return s.at.Sub(s.normal.Mul(s.thickness / 2)) }

// atLeast returns how thin the wall may be between this foot and the next ones:
// it tapers as its sides are tilted.
func (s *spot) atLeast(spacing float64) float64 {
	tilt := s.normal.Add(s.across.Sub(s.centre()).Normalize())
	return s.thickness - spacing/2*tilt.Len()
}

const (
	// facingWithin is how far from square to both sides, radians, the line
	// between a ball's two contacts may be: 15 degrees, where the sides are
	// tilted by 30 to one another.
	facingWithin = 15 * math.Pi / 180

	// leastBall is the diameter, mm, below which a ball is one of an edge.
	leastBall = 0.01

	// ownContact is how near the foot, mm, what a ball touches is the foot itself.
	ownContact = leastBall / 4

	// ballSteps bounds how often a ball is made smaller, and ballAccuracy is the
	// share of its diameter below which that is not worth it.
	ballSteps    = 24
	ballAccuracy = 1e-4

	// besideWithin is the cosine of the angle between a foot and what lies beside
	// it, neither across nor on the same side: at most 60 degrees from square.
	besideWithin = 0.5

	// ballSlack is the share of its radius by which a ball may miss a contact.
	ballSlack = 0.01
)

// shrink makes the ball of every spot smaller until nothing of the surface is in
// it (Ma, Bae, Choi, "3D medial axis point approximation using nearest neighbors
// and the normal field", The Visual Computer 28, 2012, 7–19), and says of which
// the contacts face one another. Balls that are empty from the start are dropped.
func shrink(of fieldSurface, spots []spot, most float64) []spot {
	points := make([]mgl64.Vec3, len(spots))
	active := spots
	var done []spot
	for step := range ballSteps {
		for i := range active {
			points[i] = active[i].centre()
		}
		of.land(points[:len(active)])
		left := 0
		for i, s := range active {
			v := points[i].Sub(s.at)
			next := -v.Dot(v) / v.Dot(s.normal)
			switch {
			case v.Len() > ownContact && next > 0 && next < s.thickness*(1-ballAccuracy):
				s.thickness, s.across = next, points[i]
				if next >= leastBall {
					active[left] = s
					left++
				}
			case points[i] == nowhere && s.narrow(of):
				active[left] = s
				left++
			case step > 0:
				if reach := points[i].Sub(s.centre()).Len(); v.Len() > ownContact && reach <= (1+ballAccuracy)*s.thickness/2 {
					s.across = points[i]
				}
				done = append(done, s)
			}
		}
		if active = active[:left]; left == 0 {
			break
		}
	}
	judgeFacing(of, done)
	return lookAcross(of, done, most)
}

// narrow makes the ball smaller if the field knows of less than it: to what it
// knows of.
func (s *spot) narrow(of fieldSurface) bool {
	var known [1]float64
	of.Distances([]mgl64.Vec3{s.centre()}, known[:])
	smaller := 2*math.Abs(known[0]) < s.thickness*(1-ballAccuracy)
	if smaller {
		s.thickness = 2 * math.Abs(known[0])
	}
	return smaller && s.thickness >= leastBall
}

// faces reports whether what is across lies in front of the foot.
func (s *spot) faces(across mgl64.Vec3) bool {
	way := across.Sub(s.at)
	length := way.Len()
	return length > ownContact && -way.Dot(s.normal) >= math.Cos(facingWithin)*length
}

// judgeFacing says of each ball whether it is held between facing sides: what
// last made it smaller faces the foot, or, where it touches all around as in a
// rod, the side right across does.
func judgeFacing(of fieldSurface, spots []spot) {
	points := make([]mgl64.Vec3, len(spots))
	for i := range spots {
		points[i] = spots[i].at.Sub(spots[i].normal.Mul(spots[i].thickness))
	}
	of.land(points)
	for i := range spots {
		s := &spots[i]
		if s.facing = s.faces(s.across); s.facing {
			continue
		}
		reach := points[i].Sub(s.centre()).Len()
		if s.facing = s.faces(points[i]) && reach <= (1+ballSlack)*s.thickness/2; s.facing {
			s.across = points[i]
		}
	}
}

// lookAcross returns the facing ones of the spots. A ball held by what does not
// face its foot, as near the rim of a plate and nearly all over a square bar, has
// a wall yet if the way inwards leaves the solid on a facing side, no deeper than
// most: that of the ball which fits between both sides, if it would touch the
// other there too, which it does not where that is rounded off.
func lookAcross(of fieldSurface, spots []spot, most float64) []spot {
	var facing, others, wide []spot
	for _, s := range spots {
		beside := s.across.Sub(s.centre()).Dot(s.normal)
		if s.facing {
			facing = append(facing, s)
		} else if math.Abs(beside) <= besideWithin*s.thickness/2 {
			others = append(others, s)
		}
	}
	var touches []mgl64.Vec3
	for i, out := range of.exits(others, most) {
		s := others[i]
		if touch, ok := s.between(out, most); ok {
			wide, touches = append(wide, s), append(touches, touch)
		}
	}
	landed := slices.Clone(touches)
	of.land(landed)
	for i, s := range wide {
		if landed[i].Sub(touches[i]).Len() <= ballSlack*s.thickness/2 {
			s.across = landed[i]
			facing = append(facing, s)
		}
	}
	return facing
}

// between makes the ball that which touches the foot and, if that faces it, the
// plane of the exit, and returns where it touches that.
func (s *spot) between(exit foot, most float64) (touch mgl64.Vec3, ok bool) {
	straight := -exit.normal.Dot(s.normal)
	if straight < math.Cos(2*facingWithin) {
		return touch, false
	}
	s.thickness = 2 * exit.at.Sub(s.at).Len() * straight / (1 + straight)
	s.facing = s.thickness >= leastBall && s.thickness < most
	return s.centre().Add(exit.normal.Mul(s.thickness / 2)), s.facing
}
