package rib

import (
	"fmt"
	"math"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Ribs 6 and 7 as one piece. The edges they turn to each other run side by side at
// the joint's middle, so far apart that both together are as high there as the joint:
//
//	6  ___                   ___
//	     ‾‾‾‾-----...-----‾‾‾‾        superior, y
//	___         |bridge|        ___
//	   ‾‾‾---...|      |...---‾‾‾
//	7            ‾‾‾‾‾‾
//
// The bridge is a third sweep along the middle of the gap, from the one middle
// line to the other, blended into both ribs. It is made so long that, fillets
// included, the joint is as wide as asked for midway between the ribs.
type joined struct {
	sixth, seventh, bridge sweepShape
	middle                 float64 // angle from the bridge's axis to its middle
	along6                 float64 // from the 6th's end to the joint's middle, mm
	fillet                 float64 // its width, mm
	gap                    float64 // between the ribs at the joint's middle, mm
}

// solid returns the piece, moved by the shift.
func (w joined) solid(shift mgl64.Vec2) field.Field {
	moved := func(shape sweepShape) field.Field {
		shape.axis = shape.axis.Add(shift)
		return newSweep(shape)
	}
	bridge := moved(w.bridge)
	return field.Union(field.Blend(w.fillet, bridge, moved(w.sixth)), field.Blend(w.fillet, bridge, moved(w.seventh)))
}

// jointPlace is what is known of a rib at the joint.
type jointPlace struct {
	along  float64 // from the rib's end to the joint's middle, mm
	height float64 // of the rib at the middle, mm
	depth  float64 // least front to back within the joint, mm
	ends   float64 // length left beside the joint, mm: negative if it does not fit
}

// placeOn returns where a joint of the width lies on a rib: at the share of its
// length, or as near to it as the joint fits.
func placeOn(s sweepShape, share, width float64) jointPlace {
	room := s.edge + width/2
	p := jointPlace{along: math.Max(room, math.Min(share*s.length, s.length-room)), ends: s.length - 2*room}
	p.height = s.across * s.scalesAt(p.along)[0]
	p.depth = s.depth * math.Min(s.scalesAt(p.along - width/2)[1], s.scalesAt(p.along + width/2)[1])
	return p
}

// joint returns the synchondrosis, and the ribs' sizes as it leaves them.
func (c *chooser) joint(sixth, seventh Size, s jointStandard) (Joint, Size, Size) {
	given := c.plan.Practice.Cartilage
	j := Joint{Width: c.choose("cartilage.joint.width", "mm", given.JointWidth, s.width)}
	at6, at7 := placeOn(shapeOf(sixth), jointAlongSixth, j.Width), placeOn(shapeOf(seventh), jointAlongSeventh, j.Width)
	for i, p := range []jointPlace{at6, at7} {
		if p.ends < 0 {
			of := []Size{sixth, seventh}[i]
			c.fault("cartilage.joint.width", fmt.Sprintf("Give a width of at most %.1f mm, or a longer rib",
				j.Width+p.ends),
				"a joint %g mm wide does not fit rib %d, which is %g mm long with rounded "+
					"ends", j.Width, of.Rib, of.Length)
		}
	}
	both := at6.height + at7.height
	least := both / (1 - jointGap)
	if given.JointHeight == 0 && s.height.value < both {
		s.height = guessed(math.Round(10*least)/10, "no source: the measured ribs' heights there and a gap")
	}
	j.Height = c.choose("cartilage.joint.height", "mm", given.JointHeight, s.height)
	if j.Height < both {
		c.lower(&sixth, &seventh, at6, at7, j)
		at6, at7 = placeOn(shapeOf(sixth), jointAlongSixth, j.Width), placeOn(shapeOf(seventh), jointAlongSeventh,
			j.Width)
	}
	j.Thickness = jointDepth * math.Min(at6.depth, at7.depth)
	return j, sixth, seventh
}

// lower makes ribs whose height was not measured so low that a measured joint
// holds them.
func (c *chooser) lower(sixth, seventh *Size, at6, at7 jointPlace, j Joint) {
	fixed, free := 0.0, 0.0
	for i, p := range []jointPlace{at6, at7} {
		if c.measured([]int{6, 7}[i]).Height != 0 {
			fixed += p.height
		} else {
			free += p.height
		}
	}
	room := j.Height*(1-jointGap) - fixed
	if free == 0 || room < free/2 {
		c.fault("cartilage.joint.height", fmt.Sprintf("Give a height of at least %.1f mm, or the heights of ribs 6 "+
			"and 7", at6.height+at7.height),
			"a joint %g mm high is lower than ribs 6 and 7 are together there, %.1f and %.1f "+
				"mm", j.Height, at6.height, at7.height)
		return
	}
	for _, s := range []*Size{sixth, seventh} {
		if c.measured(s.Rib).Height != 0 {
			continue
		}
		s.Height = math.Floor(100*s.Height*room/free) / 100
		for i := range c.values {
			if c.values[i].Path == pathOf(s.Rib, "height") {
				c.values[i].Value = s.Height
				c.values[i].Origin = units.UnsourcedDefault
				c.values[i].Note = "no source: what the measured height of the joint leaves"
			}
		}
		c.check(*s)
	}
}

// join returns ribs 6 and 7 in one piece, the 7th's chord level and the middle
// plane at the height. most is the greatest thickness of both.
func join(sixth, seventh Size, j Joint, level, most float64) joined {
	s6, s7 := shapeOf(sixth), shapeOf(seventh)
	at6, at7 := placeOn(s6, jointAlongSixth, j.Width), placeOn(s7, jointAlongSeventh, j.Width)
	w := joined{gap: j.Height - at6.height - at7.height, along6: at6.along}
	s7.level, s7.start = level, levelStart(s7)
	at := s7.start + at7.along/s7.radius
	out := mgl64.Vec2{math.Cos(at), math.Sin(at)}
	apart := w.gap + (at6.height+at7.height)/2
	w.middle = at + s7.flare()
	at += s7.flare() + s6.flare()
	s6.axis = s7.axis.Add(out.Mul(s7.radius - apart)).Sub(mgl64.Vec2{math.Cos(at), math.Sin(at)}.Mul(s6.radius))
	s6.level, s6.start = level, at-at6.along/s6.radius
	w.sixth, w.seventh = s6, s7

	b := sweepShape{level: level, across: w.gap + math.Min(at6.height, at7.height), depth: j.Thickness,
		tapers: mgl64.Vec2{1, 1}}
	below6, above7 := s6.radius+at6.height/2, s7.radius-at7.height/2
	b.radius = math.Max(2/(1/below6+1/above7), b.across)
	b.axis = s7.axis.Add(out.Mul(above7 - w.gap/2)).
		Sub(mgl64.Vec2{math.Cos(w.middle), math.Sin(w.middle)}.Mul(b.radius))
	w.bridge = b
	w.fillet = math.Min(jointFillet*min(at6.height, at7.height, at6.depth, at7.depth), filletOfGap*w.gap)
	w.fit(j.Width)
	for range filletHalvings {
		if len(trace(w.solid(mgl64.Vec2{}), level+most/2)) == 0 {
			return w
		}
		w.fillet /= 2 // it bulges over the ribs
		w.fit(j.Width)
	}
	w.fillet = 0
	w.fit(j.Width)
	return w
}

// levelStart returns the direction of a rib's first end at which its chord is
// level and its axis above it.
func levelStart(s sweepShape) float64 { return -math.Pi/2 - s.length/s.radius/2 }

// Of the search for the bridge's length, whose least is a share of the joint's
// width, and for its fillet.
const (
	leastBridge    = 0.02
	bridgeHalvings = 30 // of the bridge's length
	filletHalvings = 6  // of the fillet, before there is none
	edgeHalvings   = 30 // of a stretch of a line at the joint's edge
)

// fit makes the bridge as long as the joint's width asks for, by halving between
// next to nothing and the whole width.
func (w *joined) fit(width float64) {
	low, high := leastBridge*width, width
	for range bridgeHalvings {
		b := &w.bridge
		b.length = (low + high) / 2
		b.start = w.middle - b.length/2/b.radius
		b.edge = math.Min(newOval(b.across, b.depth).end, b.length/4)
		if w.measure(width) > width {
			high = b.length
		} else {
			low = b.length
		}
	}
}

// measure returns the width of the joint midway between the ribs, along the
// bridge: +Inf if it is more than twice the width asked for.
func (w *joined) measure(asked float64) float64 {
	const steps = 64
	solid := w.solid(mgl64.Vec2{})
	total := 0.0
	for _, way := range []float64{-1, 1} {
		at := func(along float64) mgl64.Vec3 {
			angle := w.middle + way*along/w.bridge.radius
			return w.bridge.axis.Add(mgl64.Vec2{math.Cos(angle),
				math.Sin(angle)}.Mul(w.bridge.radius)).Vec3(w.bridge.level)
		}
		last, found := 0.0, false
		for i := 1; i <= steps; i++ {
			along := asked * float64(i) / steps
			if distanceAt(solid, at(along)) >= 0 {
				edge := zeroBetween(solid, at(last), at(along))
				chord := edge.Sub(at(0)).Len()
				total += 2 * w.bridge.radius * math.Asin(math.Min(chord/2/w.bridge.radius, 1))
				found = true
				break
			}
			last = along
		}
		if !found {
			return math.Inf(1)
		}
	}
	return total
}

// zeroBetween returns where the field turns from inside, at a, to outside, at b.
func zeroBetween(f field.Field, a, b mgl64.Vec3) mgl64.Vec3 {
	for range edgeHalvings {
		middle := a.Add(b).Mul(0.5)
		if distanceAt(f, middle) < 0 {
			a = middle
		} else {
			b = middle
		}
	}
	return a.Add(b).Mul(0.5)
}

// touching returns the length of the 6th, in mm, whose lower edge lies within
// the 7th beyond the joint, and the first such place.
func (w *joined) touching(width float64) (length float64, at mgl64.Vec2) {
	const step = 0.5
	s, seventh := w.sixth, newSweep(w.seventh)
	for along := s.edge; along <= s.length-s.edge; along += step {
		if math.Abs(along-w.along6) <= width/2 {
			continue
		}
		angle := s.start + along/s.radius
		edge := s.radius + s.across/2*s.scalesAt(along)[0]
		p := s.axis.Add(mgl64.Vec2{math.Cos(angle), math.Sin(angle)}.Mul(edge))
		if distanceAt(seventh, p.Vec3(s.level)) > 0 {
			continue
		}
		if length == 0 {
			at = p
		}
		length += step
	}
	return length, at
}
