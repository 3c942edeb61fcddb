package rib

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// A sweep is an oval drawn along a level circular arc, each of its extents growing
// or shrinking evenly on the way, its ends rounded. With
//
//	ρ, θ   polar coordinates about the arc's axis, θ from its start
//	u, w   ρ - radius and the height over the arc: the oval's plane
//	κ(θ)   the scales of the oval's two extents there
//
// the distance is that of (u, w) from the oval of those extents, which is exact
// where κ does not change: the nearest point of a body of revolution lies at the same θ. Beyond a blunt end
// it is the distance from the end's flat face. Both are taken of the core, the
// sweep less the width edge all round, and edge is then taken off again, which
// rounds the end as a ball of that radius would. A tip is round instead: the
// oval revolved about its short way, exact as well.
//
// At the axis κ would take all its values in one point. So within the radius
// calm, which no part of the solid reaches, κ goes over to its largest values,
// evenly toward the axis: the field stays continuous, and short of the distance
// there rather than beyond it.
type sweep struct {
	sweepShape
	turn      float64    // angle between the core's ends
	ends      [2]endFace // first and last
	most      mgl64.Vec2 // largest scales
	calm      float64
	lipschitz float64
	bounds    field.Box
}

// sweepShape says what is swept and where.
type sweepShape struct {
	axis   mgl64.Vec2 // of the arc
	level  float64    // of the arc, z
	radius float64    // of the arc, more than half the greatest height
	start  float64    // direction from the axis to the first end, radians
	length float64    // along the arc, ends included, more than both reach
	across float64    // extents of the oval in the arc's plane
	depth  float64    // and square to it
	tapers mgl64.Vec2 // scales of both where the last end begins, 1 where the first does
	edge   float64    // radius that blunt ends are rounded with, at most that of the oval's ends there
	tip    bool       // the last end is round as seen from the front, not blunt
}

// reach returns how far along the arc the last end goes beyond its beginning;
// the first goes as far as the edge.
func (s sweepShape) reach() float64 {
	if s.tip {
		return s.tapers[0] * s.across / 2
	}
	return s.edge
}

// scalesAt returns the scales at the length along the arc from its start.
func (s sweepShape) scalesAt(along float64) mgl64.Vec2 {
	share := (along - s.edge) / (s.length - s.edge - s.reach())
	return s.scalesOf(math.Min(math.Max(share, 0), 1))
}

// scalesOf returns the scales at the share of the way between the ends.
func (s sweepShape) scalesOf(share float64) mgl64.Vec2 {
	return mgl64.Vec2{1 + (s.tapers[0]-1)*share, 1 + (s.tapers[1]-1)*share}
}

// flare returns the angle at which each edge of the sweep runs away from its middle
// line, toward the last end.
func (s sweepShape) flare() float64 {
	return math.Atan((s.tapers[0] - 1) * s.across / 2 / (s.length - s.edge - s.reach()))
}

// ovalOf returns the section of the scales.
func (s sweepShape) ovalOf(scales mgl64.Vec2) oval {
	return newOval(s.across*scales[0], s.depth*scales[1])
}

// endFace is the section at the beginning of one end.
type endFace struct {
	out   mgl64.Vec2 // from the axis to the arc, a unit vector
	on    mgl64.Vec2 // square to the face, away from the solid
	scale mgl64.Vec2
	oval  oval
	tip   bool
}

// newSweep returns the field of the shape.
func newSweep(shape sweepShape) *sweep {
	s := &sweep{sweepShape: shape}
	s.most = mgl64.Vec2{math.Max(1, shape.tapers[0]), math.Max(1, shape.tapers[1])}
	s.turn = (s.length - s.edge - s.reach()) / s.radius
	from := s.start + s.edge/s.radius
	for i, angle := range [2]float64{from, from + s.turn} {
		out := mgl64.Vec2{math.Cos(angle), math.Sin(angle)}
		on := mgl64.Vec2{-out[1], out[0]}
		if i == 0 {
			on = on.Mul(-1)
		}
		scale := s.scalesOf(float64(i))
		s.ends[i] = endFace{out: out, on: on, scale: scale, oval: s.ovalOf(scale), tip: i == 1 && s.tip}
	}
	s.calm = s.radius - s.most[0]*s.across/2
	// No more than both half extents change together: see oval.perExtents.
	change := (math.Abs(1-s.tapers[0])*s.across + math.Abs(1-s.tapers[1])*s.depth) / 2
	s.lipschitz = math.Hypot(1+change/s.calm, change/s.turn/s.calm)
	s.bounds = s.box(from)
	return s
}

// box returns the box of the arc's band, widened by the edge.
func (s *sweep) box(from float64) field.Box {
	core := s.most[0]*s.across/2 - s.edge
	box := field.Box{
		Min: mgl64.Vec3{math.Inf(1), math.Inf(1), s.level - s.most[1]*s.depth/2 + s.edge},
		Max: mgl64.Vec3{math.Inf(-1), math.Inf(-1), s.level + s.most[1]*s.depth/2 - s.edge},
	}
	add := func(angle, radius float64) {
		p := s.axis.Add(mgl64.Vec2{math.Cos(angle), math.Sin(angle)}.Mul(radius))
		for k, v := range p {
			box.Min[k], box.Max[k] = math.Min(box.Min[k], v), math.Max(box.Max[k], v)
		}
	}
	for _, angle := range []float64{from, from + s.turn} {
		add(angle, s.radius-core)
		add(angle, s.radius+core)
	}
	for quarter := math.Ceil(from / (math.Pi / 2)); quarter*math.Pi/2 < from+s.turn; quarter++ {
		add(quarter*math.Pi/2, s.radius+core)
	}
	if s.tip {
		middle := s.axis.Add(s.ends[1].out.Mul(s.radius)).Vec3(s.level)
		box = box.Join(field.Box{Min: middle, Max: middle}.Grow(math.Max(s.reach()-s.edge, 0)))
	}
	return box.Grow(s.edge)
}

func (s *sweep) Bounds() field.Box  { return s.bounds }
func (s *sweep) Lipschitz() float64 { return s.lipschitz }

// Levels returns nil: the section is an oval.
func (s *sweep) Levels() []float64 { return nil }

func (s *sweep) Range(box field.Box) (lo, hi float64) {
	middle := s.distance(box.Centre())
	reach := s.lipschitz * box.HalfDiagonal()
	return middle - reach, middle + reach
}

func (s *sweep) Distances(points []mgl64.Vec3, out []float64) {
	var at post
	for i, p := range points {
		if i == 0 || p[0] != points[i-1][0] || p[1] != points[i-1][1] {
			at = s.postAt(p.Vec2())
		}
		out[i] = s.distanceOn(&at, p[2])
	}
}

func (s *sweep) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		out[i], gradient[i] = s.at(p)
	}
}

// at returns the distance of p and its gradient.
func (s *sweep) at(p mgl64.Vec3) (float64, mgl64.Vec3) {
	v, w := p.Vec2().Sub(s.axis), p[2]-s.level
	distance, gradient := s.fromSide(v, w)
	for _, e := range s.ends {
		reach := 0.0
		if e.tip {
			reach = s.most[0]*s.across/2 - s.edge
		}
		if math.Abs(v.Dot(e.on))-reach >= distance {
			continue // the end lies farther off, whatever its section
		}
		if d, g := s.fromEnd(e, v, w); d < distance {
			distance, gradient = d, g
		}
	}
	return distance - s.edge, gradient
}

// fromEnd returns the distance from an end's face or tip, v from the axis and w
// over the arc.
func (s *sweep) fromEnd(e endFace, v mgl64.Vec2, w float64) (float64, mgl64.Vec3) {
	out, beyond := v.Dot(e.out), v.Dot(e.on)
	scale, perOut := s.calmed(e.scale, out)
	if e.tip {
		away := length(out-s.radius, beyond)
		distance, slope, perScale := s.section(scale, away, w)
		if away == 0 {
			away = 1
		}
		flat := e.out.Mul(slope[0]*(out-s.radius)/away + perScale.Dot(perOut)).Add(e.on.Mul(slope[0] * beyond / away))
		return distance, flat.Vec3(slope[1])
	}
	side, slope, perScale := s.section(scale, out-s.radius, w)
	if side <= 0 {
		g := e.on.Mul(math.Copysign(1, beyond))
		return math.Abs(beyond), g.Vec3(0)
	}
	distance := length(side, beyond)
	flat := e.out.Mul((slope[0] + perScale.Dot(perOut)) * side / distance).Add(e.on.Mul(beyond / distance))
	return distance, flat.Vec3(slope[1] * side / distance)
}

// fromSide returns the distance of what lies between the ends, negative inside;
// it is +Inf where v lies beyond them.
func (s *sweep) fromSide(v mgl64.Vec2, w float64) (float64, mgl64.Vec3) {
	first := s.ends[0]
	angle := math.Atan2(-v.Dot(first.on), v.Dot(first.out))
	if angle < 0 {
		angle += 2 * math.Pi
	}
	out := length(v[0], v[1])
	if angle > s.turn || out == 0 {
		return math.Inf(1), mgl64.Vec3{}
	}
	change := s.tapers.Sub(mgl64.Vec2{1, 1}).Mul(1 / s.turn)
	scale, perOut := s.calmed(s.scalesOf(angle/s.turn), out)
	distance, slope, perScale := s.section(scale, out-s.radius, w)
	outward := v.Mul(1 / out)
	onward := mgl64.Vec2{-outward[1], outward[0]}
	flat := outward.Mul(slope[0] + perScale.Dot(perOut)).Add(onward.Mul(perScale.Dot(change) / math.Max(out, s.calm)))
	gradient := flat.Vec3(slope[1])
	for i, left := range [2]float64{angle, s.turn - angle} {
		if s.ends[i].tip {
			continue
		}
		if inside, g := behind(s.ends[i], v, left); inside > distance {
			distance, gradient = inside, g
		}
	}
	return distance, gradient
}

// behind returns how far v lies behind an end, negative, with the gradient: the
// distance from the half plane of the end, which it is left away from by an
// angle.
func behind(e endFace, v mgl64.Vec2, left float64) (float64, mgl64.Vec3) {
	if left < math.Pi/2 {
		return v.Dot(e.on), e.on.Vec3(0)
	}
	out := length(v[0], v[1])
	return -out, v.Mul(-1 / out).Vec3(0)
}

// calmed returns the scales at the distance out from the axis, and how they
// change with it.
func (s *sweep) calmed(scale mgl64.Vec2, out float64) (scales, perOut mgl64.Vec2) {
	if out >= s.calm {
		return scale, mgl64.Vec2{}
	}
	if out <= 0 {
		return s.most, mgl64.Vec2{}
	}
	perOut = scale.Sub(s.most).Mul(1 / s.calm)
	return s.most.Add(perOut.Mul(out)), perOut
}

// section returns the distance from the core's oval of those scales, its gradient
// in the oval's plane, and how it changes with the scales.
func (s *sweep) section(scale mgl64.Vec2, u, w float64) (distance float64, slope, perScale mgl64.Vec2) {
	p, o := mgl64.Vec2{u, w}, s.ovalOf(scale)
	d, slope := o.distance(p)
	per := o.perExtents(p, slope)
	return d + s.edge, slope, mgl64.Vec2{per[0] * s.across / 2, per[1] * s.depth / 2}
}
