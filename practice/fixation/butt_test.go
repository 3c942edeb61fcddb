package fixation_test

import (
	"math"
	"slices"
	"testing"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUnitsThatMeetEdgeToEdgeAreWiredAcrossTheirJoint(t *testing.T) {
	// A block of 10 × 10 mm against the end of a plate 60 mm long, both 3 mm thick.
	p := planned(t, usual, plate(), slab(units.Antihelix, 0, 3, rectangle(mgl64.Vec2{35, 0}, 10, 10, 0)))
	require.Len(t, p.Seams, 1)
	seam := p.Seams[0]
	assert.Equal(t, "antihelix beside base", seam.Name)
	assert.InDelta(t, 10, seam.Length, 0.15)
	require.Len(t, p.Points, 3, "10 mm at 3 mm")
	const bite = 2 // mm of either unit
	for i, q := range p.Points {
		assert.InDelta(t, 30, q.At[0], 1e-3, "on the face")
		assert.InDelta(t, 10.0/3, math.Abs(q.At[1]-p.Points[1].At[1])+10.0/3*float64(i%2), 0.1, "evenly spaced")
		assert.InDelta(t, 1.5, q.At[2], 1e-6, "halfway up")
		assert.InDelta(t, -1, q.Direction[0], 1e-9, "from the antihelix into the base frame")
		assert.InDelta(t, bite, q.UpperMM, 0.02)
		assert.InDelta(t, bite, q.LowerMM, 0.02)
		assert.InDelta(t, 1.5, q.EdgeMM, 1e-6)
	}
	assert.InDelta(t, 0, p.Points[1].At[1], 0.1, "half a step from both ends")
	assert.InDelta(t, 3*(usual.Allowance+4*bite), p.WireMM, 0.2)
}

func TestAPlugInItsOpeningIsWiredAllRound(t *testing.T) {
	opening := rectangle(mgl64.Vec2{}, 20, 12, 0)
	plug := slab(units.Concha, 0, 3, slices.Clone(opening))
	slices.Reverse(opening)
	frame := slab(units.Base, 0, 3, rectangle(mgl64.Vec2{}, 60, 40, 0), opening)
	p := planned(t, usual, frame, plug)
	require.Len(t, p.Seams, 1)
	assert.InDelta(t, 64, p.Seams[0].Length, 1.5)
	assert.Equal(t, 21, p.Seams[0].Count, "64 mm at 3 mm")
	for _, q := range p.Points {
		assert.Equal(t, "concha", q.Upper)
		assert.Positive(t, q.Direction.Dot(q.At.Vec2().Vec3(0)), "outward, into the frame")
	}
}
