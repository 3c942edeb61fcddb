package mould

import (
	"math"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Keys set the upper half on the lower one. The pegs stand on the lower half,
// the sockets are cut into the upper one larger by the printer's clearance.
// Their sizes are earframe's own choice.
const (
	keyDiameter = 5.0                // mm, at the parting surface, unless the printer's pins are stouter
	keyHeight   = 0.8                // of the diameter
	keyTaper    = 10 * math.Pi / 180 // radians, of its side from the vertical
	keySunk     = 1.0                // mm that a peg goes on into the lower half
	keyCount    = 3                  // at three of four corners: halves fit one way only
	keyRim      = 1.5                // least mould around a key, mm, unless the printer's walls are thicker
	keySpread   = 0.75               // mm beyond the nearest possible place in which one is looked for
	pinsPerKey  = 2                  // a peg is as thick as that many of the printer's thinnest pins
)

// Key is a peg on the lower half and its socket in the upper half.
type Key struct {
	At        mgl64.Vec3 // on the parting surface, in the mould
	Diameter  float64
	Height    float64
	Clearance float64 // on all sides

	peg *taper
}

// keySize is what keys need.
type keySize struct{ radius, height, rim, clearance float64 }

func keySizeFor(p units.Printer) keySize {
	radius := math.Max(keyDiameter, pinsPerKey*p.Pin) / 2
	return keySize{radius, 2 * radius * keyHeight, math.Max(keyRim, p.Wall), p.Clearance}
}

// reach is how far a key's middle keeps from the cavity and from the block's rim.
func (s keySize) reach() float64 { return s.radius + s.clearance + s.rim }

// keyPlaces finds where keys stand: beside the part's outline, as near as they
// may, toward three corners of the rectangle around it that lies along the
// direction.
func (c *columns) keyPlaces(part []bool, direction float64, size keySize) []mgl64.Vec2 {
	far := c.distances(part)
	u := mgl64.Vec2{math.Cos(direction), math.Sin(direction)}
	v := mgl64.Vec2{-u[1], u[0]}
	lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for k, in := range part {
		if in {
			p := c.place(k)
			q := mgl64.Vec2{p.Dot(u), p.Dot(v)}
			for i := range q {
				lo[i], hi[i] = math.Min(lo[i], q[i]), math.Max(hi[i], q[i])
			}
		}
	}
	var places []mgl64.Vec2
	for _, corner := range [keyCount]mgl64.Vec2{{lo[0], lo[1]}, {hi[0], lo[1]}, {hi[0], hi[1]}} {
		at := u.Mul(corner[0]).Add(v.Mul(corner[1]))
		best, least := -1, math.Inf(1)
		for k, d := range far {
			if d < size.reach() || d > size.reach()+keySpread {
				continue
			}
			if off := c.place(k).Sub(at).Len(); off < least && clear(c.place(k), places, 2*size.reach()-size.rim) {
				best, least = k, off
			}
		}
		if best >= 0 {
			places = append(places, c.place(best))
		}
	}
	return places
}

// clear reports whether p keeps the distance from all places.
func clear(p mgl64.Vec2, places []mgl64.Vec2, distance float64) bool {
	for _, q := range places {
		if p.Sub(q).Len() < distance {
			return false
		}
	}
	return true
}

// newKey stands a peg upright on the parting surface. It begins beneath the
// lowest place of the surface under it and rises its height over the highest.
func newKey(at mgl64.Vec2, size keySize, parting field.Surface) Key {
	around := mgl64.Vec2{size.radius, size.radius}
	low, high := parting.Span(at.Sub(around), at.Add(around))
	z, _, _ := parting.Height(at[0], at[1])
	foot, tip := low-keySunk, high+size.height
	tan := math.Tan(keyTaper)
	return Key{
		At: mgl64.Vec3{at[0], at[1], z}, Diameter: 2 * size.radius, Height: tip - z, Clearance: size.clearance,
		peg: newTaper(at, foot, tip, size.radius, size.radius-(tip-foot)*tan),
	}
}

// socket is what the peg needs in the upper half.
func (k Key) socket() field.Field { return field.Offset(k.peg, k.Clearance) }
