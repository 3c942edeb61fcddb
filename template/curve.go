package template

import (
	"errors"
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// segment is a piece of a path: a straight line, a cubic Bézier curve or an arc
// of an ellipse. All three stay what they are under an affine map, so curves
// are flattened once, at their final size.
type segment struct {
	kind segmentKind
	// line: start, end. cubic: start, two controls, end. arc: start, end and
	// the ellipse centre + u cos t + v sin t.
	p            [4]mgl64.Vec2
	centre, u, v mgl64.Vec2
	from, to     float64 // arc: parameter at its ends, radians
}

type segmentKind uint8

const (
	lineSegment segmentKind = iota
	cubicSegment
	arcSegment
)

func line(a, b mgl64.Vec2) segment { return segment{p: [4]mgl64.Vec2{a, b}} }

func cubic(a, b, c, d mgl64.Vec2) segment {
	return segment{kind: cubicSegment, p: [4]mgl64.Vec2{a, b, c, d}}
}

// quadratic is the cubic that a quadratic Bézier curve is.
func quadratic(a, b, c mgl64.Vec2) segment {
	return cubic(a, a.Add(b.Sub(a).Mul(2.0/3)), c.Add(b.Sub(c).Mul(2.0/3)), c)
}

func (s *segment) end() mgl64.Vec2 {
	if s.kind == cubicSegment {
		return s.p[3]
	}
	return s.p[1]
}

// mapped returns the segment under an affine map.
func (s segment) mapped(m affine) segment {
	for i := range s.p {
		s.p[i] = m.point(s.p[i])
	}
	s.centre, s.u, s.v = m.point(s.centre), m.vector(s.u), m.vector(s.v)
	return s
}

// at returns the point at t, 0 at the start and 1 at the end.
func (s *segment) at(t float64) mgl64.Vec2 {
	switch s.kind {
	case cubicSegment:
		r := 1 - t
		return s.p[0].Mul(r * r * r).Add(s.p[1].Mul(3 * r * r * t)).Add(s.p[2].Mul(3 * r * t * t)).Add(s.p[3].Mul(t * t * t))
	case arcSegment:
		sin, cos := math.Sincos(s.from + t*(s.to-s.from))
		return s.centre.Add(s.u.Mul(cos)).Add(s.v.Mul(sin))
	}
	return s.p[0].Mul(1 - t).Add(s.p[1].Mul(t))
}

// pieces returns how many chords of equal parameter keep within tolerance: a
// chord over the step h departs from its curve by at most h²/8 times the
// largest second derivative (the error of linear interpolation).
func (s *segment) pieces(tolerance float64) float64 {
	second := 0.0
	switch s.kind {
	case lineSegment:
		return 1
	case cubicSegment:
		for i := range 2 {
			bend := s.p[i].Sub(s.p[i+1].Mul(2)).Add(s.p[i+2])
			second = math.Max(second, 6*bend.Len())
		}
	case arcSegment:
		turn := s.to - s.from
		second = turn * turn * math.Hypot(s.u.Len(), s.v.Len())
		if s.u.Dot(s.v) == 0 {
			second = turn * turn * math.Max(s.u.Len(), s.v.Len())
		}
	}
	return math.Max(1, math.Ceil(math.Sqrt(second/(8*tolerance))))
}

// subpath is a run of segments from one moveto to the next.
type subpath struct {
	start    mgl64.Vec2
	segments []segment
	closed   bool // by a closing command, or a shape that is closed by itself
}

func (p *subpath) end() mgl64.Vec2 {
	if n := len(p.segments); n > 0 {
		return p.segments[n-1].end()
	}
	return p.start
}

func (p subpath) mapped(m affine) subpath {
	q := subpath{start: m.point(p.start), segments: make([]segment, len(p.segments)), closed: p.closed}
	for i, s := range p.segments {
		q.segments[i] = s.mapped(m)
	}
	return q
}

// maxRingPoints bounds the polygon of one outline: a 60 mm outline flattened to
// 0.02 mm has a few hundred points.
const maxRingPoints = 50_000

// absurd is the coordinate in mm (or drawing units) beyond which a drawing
// cannot be meant: a kilometre.
const absurd = 1e6

// maxPoints bounds the points of all outlines of a drawing together.
const maxPoints = 1_000_000

var (
	errTooFine = fmt.Errorf("the outline needs more than %d points at this tolerance", maxRingPoints)
	errTooMany = fmt.Errorf("the drawing's outlines need more than %d points at this tolerance", maxPoints)
	errAbsurd  = errors.New("a coordinate is not a number or lies farther out than 1 km")
)

// flatten returns the subpath as points that lie on it, chords within tolerance
// of it.
func (p *subpath) flatten(tolerance float64) ([]mgl64.Vec2, error) {
	points := []mgl64.Vec2{p.start}
	for i := range p.segments {
		s := &p.segments[i]
		n := s.pieces(tolerance)
		if !(n <= maxRingPoints) || len(points) > maxRingPoints {
			if !finite(s.end()) {
				return nil, errAbsurd
			}
			return nil, errTooFine
		}
		for k := 1.0; k < n; k++ {
			points = append(points, s.at(k/n))
		}
		points = append(points, s.end())
	}
	for _, q := range points {
		if !finite(q) {
			return nil, errAbsurd
		}
	}
	return points, nil
}

// flatten flattens a subpath and counts its points with all others'.
func (d *drawing) flatten(p *subpath, tolerance float64) ([]mgl64.Vec2, error) {
	if d.points > maxPoints {
		return nil, errTooMany
	}
	points, err := p.flatten(tolerance)
	if d.points += len(points); err != nil {
		d.points += maxRingPoints // what may have been made before it was refused
	}
	return points, err
}

func finite(p mgl64.Vec2) bool {
	return math.Abs(p[0]) <= absurd && math.Abs(p[1]) <= absurd
}

// arc returns the elliptical arc of the SVG arc command as a segment, by the
// conversion from end points to centre of SVG 1.1, appendix F.6.5, with the
// corrections of F.6.6 for radii that are negative or too small.
func arc(from, to, radii mgl64.Vec2, angle float64, large, sweep bool) (segment, bool) {
	rx, ry := math.Abs(radii[0]), math.Abs(radii[1])
	if from == to {
		return segment{}, false
	}
	if rx == 0 || ry == 0 {
		return line(from, to), true
	}
	turn := rotation(angle)
	half := rotation(-angle).vector(from.Sub(to).Mul(0.5))
	x, y := half[0]/rx, half[1]/ry // half the chord in the unit circle's plane
	square := x*x + y*y
	if square > 1 {
		grow := math.Sqrt(square)
		rx, ry, x, y, square = rx*grow, ry*grow, x/grow, y/grow, 1
	}
	lift := math.Sqrt(math.Max(0, 1/square-1))
	if large == sweep {
		lift = -lift
	}
	cx, cy := lift*y, -lift*x
	start := math.Atan2(y-cy, x-cx)
	end := math.Atan2(-y-cy, -x-cx)
	switch {
	case sweep && end < start:
		end += 2 * math.Pi
	case !sweep && end > start:
		end -= 2 * math.Pi
	}
	middle := from.Add(to).Mul(0.5)
	return segment{
		kind: arcSegment, p: [4]mgl64.Vec2{from, to},
		centre: middle.Add(turn.vector(mgl64.Vec2{cx * rx, cy * ry})),
		u:      turn.vector(mgl64.Vec2{rx, 0}), v: turn.vector(mgl64.Vec2{0, ry}),
		from: start, to: end,
	}, true
}
