// Package strips draws outlines of strips about known curves, for tests.
package strips

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
)

// Along returns the outline of a strip about a curve: point and direction
// at t from 0 to 1, and the width there.
func Along(at func(t float64) mgl64.Vec2, width func(t float64) float64, pieces int) template.Outline {
	var left, right []mgl64.Vec2
	for i := range pieces + 1 {
		t := float64(i) / float64(pieces)
		const dt = 1e-5
		along := at(t + dt).Sub(at(t - dt)).Normalize()
		across := mgl64.Vec2{-along[1], along[0]}.Mul(width(t) / 2)
		left = append(left, at(t).Add(across))
		right = append(right, at(t).Sub(across))
	}
	slices.Reverse(left)
	return template.Outline{ID: "strip", Outer: append(right, left...)}
}

// Arc returns an arc of an ellipse with the half axes a and b, between two angles
// in radians.
func Arc(a, b, from, to float64) func(t float64) mgl64.Vec2 {
	return func(t float64) mgl64.Vec2 {
		phi := from + (to-from)*t
		return mgl64.Vec2{a * math.Cos(phi), b * math.Sin(phi)}
	}
}

// Even returns a width that is the same everywhere.
func Even(w float64) func(t float64) float64 { return func(float64) float64 { return w } }

// Length returns the length of a curve, by 20 000 chords.
func Length(at func(t float64) mgl64.Vec2) float64 {
	const n = 20000
	length := 0.0
	for i := range n {
		length += at((float64(i) + 1) / n).Sub(at(float64(i) / n)).Len()
	}
	return length
}
