package budget

import (
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/field"
	"earframe/template"
)

func TestACutDividesTheAreaAndKeepsToItsSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := template.Outline{ID: "unit", Part: "base", Outer: drawRing(t, "outer", 6, 12)}
		if rapid.Bool().Draw(t, "hole") {
			hole := drawRing(t, "hole", 1, 3)
			slices.Reverse(hole)
			o.Holes = []template.Ring{hole}
		}
		angle := rapid.Float64Range(0, 2*math.Pi).Draw(t, "angle")
		l := line{
			through: mgl64.Vec2{rapid.Float64Range(-8, 8).Draw(t, "x"), rapid.Float64Range(-8, 8).Draw(t, "y")},
			along:   mgl64.Vec2{math.Cos(angle), math.Sin(angle)},
		}
		left, right, length := cut(o, l)
		area, perimeter := 0.0, 0.0
		for k, parts := range [][]template.Outline{left, right} {
			sign := 1 - 2*float64(k)
			for _, part := range parts {
				area += part.Area()
				perimeter += part.Perimeter()
				_, err := field.NewRegion(part.Rings()...)
				require.NoError(t, err)
				require.Equal(t, o.Part, part.Part)
				for _, ring := range part.Rings() {
					for _, p := range ring {
						require.GreaterOrEqual(t, l.side(p)*sign, -1e-5)
					}
				}
			}
		}
		require.InDelta(t, o.Area(), area, 1e-6)
		require.InDelta(t, o.Perimeter()+2*length, perimeter, 1e-6, "the cut is an edge of both sides")
	})
}

func TestACutThroughAHoleMakesTwoParts(t *testing.T) {
	o := rectangle(20, 10)
	o.Holes = []template.Ring{{{-6, -2}, {-6, 2}, {6, 2}, {6, -2}}}
	left, right, length := cut(o, line{mgl64.Vec2{0, 0}, mgl64.Vec2{0, 1}})
	require.Len(t, left, 1)
	require.Len(t, right, 1)
	assert.Empty(t, left[0].Holes, "the hole is open now")
	assert.InDelta(t, 6, length, 1e-9, "3 mm of wall on either side of the hole")
	assert.InDelta(t, o.Area()/2, left[0].Area(), 1e-4)
	// A cut beside the hole leaves it where it is; one along the edge itself is
	// moved off it.
	left, right, _ = cut(o, line{mgl64.Vec2{8, 0}, mgl64.Vec2{0, 1}})
	require.Len(t, left, 1)
	assert.Len(t, left[0].Holes, 1)
	assert.InDelta(t, 20, right[0].Area(), 1e-9)
	left, right, _ = cut(o, line{mgl64.Vec2{-6, 0}, mgl64.Vec2{0, 1}})
	assert.InDelta(t, o.Area(), left[0].Area()+right[0].Area(), 1e-4)
}

func TestACutThatMissesLeavesTheOutline(t *testing.T) {
	left, right, length := cut(rectangle(4, 2), line{mgl64.Vec2{9, 0}, mgl64.Vec2{0, 1}})
	assert.Len(t, left, 1)
	assert.Empty(t, right)
	assert.Zero(t, length)
}

func TestTheNarrowestStripOfARectangleIsItsWidth(t *testing.T) {
	for _, angle := range []float64{0, 0.3, 1.2, -0.7} {
		sin, cos := math.Sincos(angle)
		ring := rectangle(12, 5).Outer
		for i, p := range ring {
			ring[i] = pose{x: 3, y: -8}.move(p, sin, cos)
		}
		direction, breadth := narrowest(ring)
		assert.InDelta(t, 5, breadth, 1e-9)
		assert.InDelta(t, 0, math.Remainder(direction-angle, math.Pi), 1e-9)
	}
}
