package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Bent sides. The triangles that a drape is solved on span from a rim to the foot
// of the wall, and from place to place of a roundness, while the skin lies on the
// wall and on the roundness. Left straight they would lean off the wall, more here
// and less there, and the skin's outside would be fluted. So their sides are bent
// onto the frame:
//
//	a ─•╮           a, b  nodes
//	    │           •     on the frame where the side cuts into it; where the
//	    • leaves          skin leaves the wall; once on the arc of the bridging
//	     ╲                radius from there to b
//	      •───── b
//
// Where it leaves follows from b, which the solver put on the skin: an arc of
// radius R that touches an upright wall so far off as d is √(2Rd − d²) higher there.
const (
	bentSlope  = 1.5   // of a side that may lean off a wall
	bentBy     = 0.004 // mm by which the frame has to come through
	wallSearch = 10    // halvings
	onRim      = -0.01 // of a side, from which walls are looked for: nodes stand on rims to rounding
)

// bend bends sides of triangles onto a frame.
type bend struct {
	frame  Frame
	radius float64 // bridging, mm
}

// side returns the bends of the side between two places of the net.
func (b *bend) side(from, to mgl64.Vec3) []mgl64.Vec3 {
	if from[2] < to[2] {
		return reversed(b.side(to, from))
	}
	s := slope{frame: b.frame, from: from, way: to.Sub(from)}
	s.length = s.way.Vec2().Len()
	if -s.way[2] < bentSlope*s.length {
		if h := s.top(0.5); h > from[2]+s.way[2]/2+bentBy {
			return []mgl64.Vec3{s.at(0.5, h)}
		}
		return nil
	}
	wall := s.down(from[2] + s.way[2]/2)
	if wall == onRim {
		return nil // skin that hangs free
	}
	low := min(s.top(wall), from[2])
	bends := append(s.rim(wall, low), s.at(wall, low))
	off := (1 - wall) * s.length
	leaves := to[2] + math.Sqrt(max(2*b.radius*off-off*off, 0))
	if off < b.radius && leaves < low-bentBy {
		bends = append(bends, s.arc(leaves, b.radius)...)
	}
	return bends
}

// slope is a side that falls.
type slope struct {
	frame     Frame
	from, way mgl64.Vec3
	length    float64 // in plan, mm
}

// at returns the place so much of the way down, at a height, mm.
func (s *slope) at(share, z float64) mgl64.Vec3 {
	return s.from.Vec2().Add(s.way.Vec2().Mul(share)).Vec3(z)
}

// top returns the frame's height so much of the way down, mm.
func (s *slope) top(share float64) float64 { return heightOf(s.frame, s.at(share, 0).Vec2()) }

// down returns how much of the way down the frame is higher than z, mm; onRim if
// it is nowhere.
func (s *slope) down(z float64) float64 {
	near, far := onRim, 1.0
	for range wallSearch {
		if middle := (near + far) / 2; s.top(middle) > z {
			near = middle
		} else {
			far = middle
		}
	}
	return near
}

// rim returns places on the frame above the straight way to the wall; the middle one
// at another wall before it, above a ledge, if there is one.
func (s *slope) rim(wall, low float64) (bends []mgl64.Vec3) {
	const narrow = 0.1 // of the side
	if wall < narrow {
		return nil
	}
	step := min(max(s.down((s.from[2]+low)/2), 0), wall)
	for _, share := range [3]float64{step / 2, step, (step + wall) / 2} {
		if h := s.top(share); h > s.from[2]+(low-s.from[2])*share/wall+bentBy {
			bends = append(bends, s.at(share, h))
		}
	}
	return bends
}

// arc returns where the skin leaves the wall, and the middle of its arc from there.
func (s *slope) arc(leaves, radius float64) []mgl64.Vec3 {
	wall := s.down(leaves)
	bends := []mgl64.Vec3{s.at(wall, leaves)}
	if math.IsInf(radius, 1) {
		return bends
	}
	half := math.Acos(1-min((1-wall)*s.length/radius, 1)) / 2
	sin, cos := math.Sincos(half)
	off, z := radius*(1-cos)/s.length, leaves-radius*sin
	if wall+off < 1 && z > s.from[2]+s.way[2] {
		bends = append(bends, s.at(wall+off, z))
	}
	return bends
}
