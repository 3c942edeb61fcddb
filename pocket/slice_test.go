package pocket

import (
	"math"
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// areaOf is a ring's signed area, positive where the solid is on its left.
func areaOf(ring []mgl64.Vec2) float64 {
	twice := 0.0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		twice += a[0]*b[1] - a[1]*b[0]
	}
	return twice / 2
}

func TestSliceOfABallIsACircle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		radius := rapid.Float64Range(1, 6).Draw(t, "radius")
		off := rapid.Float64Range(-0.8, 0.8).Draw(t, "share of the radius") * radius
		rings := slice(field.Ball(mgl64.Vec3{1, 2, 3}, radius), 2+off, 0.1)
		require.Len(t, rings, 1)
		circle := math.Sqrt(radius*radius - off*off)
		assert.InEpsilon(t, math.Pi*circle*circle, areaOf(rings[0]), 0.01)
		for _, p := range rings[0] {
			assert.InDelta(t, circle, p.Sub(mgl64.Vec2{1, 3}).Len(), 0.01)
		}
	})
}

func TestSliceKeepsHolesAndPiecesApart(t *testing.T) {
	shell := field.Difference(field.Ball(mgl64.Vec3{}, 5), field.Ball(mgl64.Vec3{}, 3))
	rings := slice(shell, 0, 0.1)
	require.Len(t, rings, 2)
	area := areaOf(rings[0]) + areaOf(rings[1])
	assert.InEpsilon(t, math.Pi*(25-9), area, 0.005, "a hole counts against its outline")
	torus := slice(field.Torus(mgl64.Vec3{}, 6, 1.5), 0, 0.1)
	require.Len(t, torus, 2, "a level ring is cut twice")
	assert.Empty(t, slice(shell, 7, 0.1))
	// Two balls that just do not touch across a cell's corner stay two.
	pair := field.Union(field.Ball(mgl64.Vec3{}, 1), field.Ball(mgl64.Vec3{1.45, 0, 1.45}, 1))
	total := 0.0
	for _, ring := range slice(pair, 0, 0.2) {
		total += areaOf(ring)
	}
	assert.InEpsilon(t, 2*math.Pi, total, 0.02)
}
