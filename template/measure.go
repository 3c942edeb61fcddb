package template

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Rings returns the outer ring and the holes, as field.NewRegion takes them.
func (o Outline) Rings() [][]mgl64.Vec2 {
	rings := [][]mgl64.Vec2{o.Outer}
	for _, hole := range o.Holes {
		rings = append(rings, hole)
	}
	return rings
}

// Perimeter returns the length of the ring in mm.
func (r Ring) Perimeter() float64 {
	length := 0.0
	for i, p := range r {
		length += r[(i+1)%len(r)].Sub(p).Len()
	}
	return length
}

// Perimeter returns the length of the outer ring and all holes in mm.
func (o Outline) Perimeter() float64 {
	length := o.Outer.Perimeter()
	for _, hole := range o.Holes {
		length += hole.Perimeter()
	}
	return length
}

// Bounds returns the lowest and highest coordinates of the outline in mm.
func (o Outline) Bounds() (lo, hi mgl64.Vec2) { return o.Outer.Bounds() }

// Length returns the extent along y in mm: superior to inferior.
func (o Outline) Length() float64 {
	lo, hi := o.Bounds()
	return hi[1] - lo[1]
}

// GreatestDiameter returns the largest distance between two points of the outer
// ring in mm and the two points, the lower one first.
func (o Outline) GreatestDiameter() (diameter float64, low, high mgl64.Vec2) {
	square := 0.0
	for i, p := range o.Outer {
		for _, q := range o.Outer[i+1:] {
			if s := q.Sub(p).LenSqr(); s > square {
				square, low, high = s, p, q
			}
		}
	}
	if high[1] < low[1] {
		low, high = high, low
	}
	return math.Sqrt(square), low, high
}

// Contains reports whether p is in the outline: inside the outer ring and in no
// hole.
func (o Outline) Contains(p mgl64.Vec2) bool {
	if !o.Outer.Contains(p) {
		return false
	}
	for _, hole := range o.Holes {
		if hole.Contains(p) {
			return false
		}
	}
	return true
}
