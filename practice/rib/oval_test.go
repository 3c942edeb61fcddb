package rib

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// outlineOf returns points on the oval's outline, one after the other, from the
// definition of its arcs alone.
func outlineOf(o oval, points int) []mgl64.Vec2 {
	ring := make([]mgl64.Vec2, points)
	junction := math.Atan2(o.focus, o.depth) // from the short axis
	for i := range ring {
		turn := 2 * math.Pi * float64(i) / float64(points) // of the normal, from the short axis
		sin, cos := math.Sincos(turn)
		folded := math.Atan2(math.Abs(sin), math.Abs(cos))
		along, across := o.face*math.Sin(folded), o.face*math.Cos(folded)-o.depth
		if folded > junction {
			along, across = o.focus+o.end*math.Sin(folded), o.end*math.Cos(folded)
		}
		ring[i][o.long] = math.Copysign(along, sin)
		ring[i][1-o.long] = math.Copysign(across, cos)
	}
	return ring
}

func drawOval(t *rapid.T) oval {
	return newOval(rapid.Float64Range(2, 60).Draw(t, "across"), rapid.Float64Range(2, 40).Draw(t, "through"))
}

func TestDistanceFromAnOvalIsThatFromItsNearestPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOval(t)
		p := mgl64.Vec2{rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")}
		const points = 4000
		nearest, inside := math.Inf(1), true
		ring := outlineOf(o, points)
		for i, q := range ring {
			nearest = math.Min(nearest, q.Sub(p).Len())
			a, b := ring[(i+1)%points].Sub(q), p.Sub(q)
			ccw := a[0]*b[1] - a[1]*b[0]
			if o.long == 1 { // the ring then runs the other way
				ccw = -ccw
			}
			inside = inside && ccw < 0
		}
		d, gradient := o.distance(p)
		// Neighbours on the face, the larger arc, are face·2π/points apart.
		chord := o.face * 2 * math.Pi / points
		require.InDelta(t, nearest, math.Abs(d), chord*chord/2/math.Max(nearest, chord)+1e-3*chord)
		if nearest > chord {
			require.Equal(t, inside, d < 0)
		}
		require.InDelta(t, 1, gradient.Len(), 1e-12)
	})
}

func TestOvalOfEqualExtentsIsACircle(t *testing.T) {
	o := newOval(10, 10)
	for _, p := range []mgl64.Vec2{{0, 0}, {3, 4}, {-6, 8}, {0, -5}} {
		d, _ := o.distance(p)
		assert.InDelta(t, p.Len()-5, d, 1e-12)
	}
}

func TestOvalIsAsLargeAsAskedFor(t *testing.T) {
	for _, extents := range [][2]float64{{9.69, 7.5}, {6, 13}} {
		o := newOval(extents[0], extents[1])
		for _, p := range []mgl64.Vec2{{extents[0] / 2, 0}, {0, -extents[1] / 2}} {
			d, _ := o.distance(p)
			assert.InDelta(t, 0, d, 1e-12, "%v", extents)
		}
	}
}
