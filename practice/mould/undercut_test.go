package mould

import (
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sum returns the area of all undercuts of a piece, mm², and the greatest depth.
func sumOf(m *Mould, piece string) (area, depth float64) {
	for _, u := range m.Undercuts {
		if u.Piece == piece {
			area += u.Area
			depth = math.Max(depth, u.Depth)
		}
	}
	return area, depth
}

// A ball of radius r in an open mould h beyond its equator is gripped by the
// spherical zone in between: 2 π r h, r - √(r² - h²) deep.
func TestUndercutOfABallBeyondItsEquator(t *testing.T) {
	const r, h = 10.0, 5.0
	m := makeOf(t, "ball", cutBall(t, r, h), options(t, units.MouldOpen))
	area, depth := sumOf(m, Open)
	assert.InEpsilon(t, 2*math.Pi*r*h, area, 0.01)
	assert.InDelta(t, r-math.Sqrt(r*r-h*h), depth, undercutStep)
	require.Len(t, m.Findings, 1)
	assert.Equal(t, map[string]units.Severity{"mould-grips-cast": units.Note}, demotest.Kinds(t, m.Findings))
	assert.Contains(t, m.Findings[0].Message, "fine for an elastic cast")
	at := *m.Findings[0].At
	assert.InDelta(t, r, at.Len(), 0.1, "where it is said in the part's own coordinates")
}

func TestHalfABallHasNoUndercut(t *testing.T) {
	o := options(t, units.MouldFitting)
	o.Cast = units.CastRigid
	m := makeOf(t, "ball", cutBall(t, 10, 0), o)
	assert.Equal(t, units.MouldOpen, m.Kind)
	assert.Empty(t, m.Undercuts)
}

// A lying ring in an open mould h above its middle is gripped inside and outside:
// 4 π R r asin(h/r), r - √(r² - h²) deep.
func TestUndercutOfALyingRing(t *testing.T) {
	const ring, r, h = 10.0, 3.0, 2.0
	top := plate(t, rectangle(t, 40, 40), -10, h, 0, 0)
	m := makeOf(t, "ring", field.Intersection(field.Torus(mgl64.Vec3{}, ring, r), top), options(t, units.MouldOpen))
	area, depth := sumOf(m, Open)
	assert.InEpsilon(t, 4*math.Pi*ring*r*math.Asin(h/r), area, 0.01)
	assert.InDelta(t, r-math.Sqrt(r*r-h*h), depth, undercutStep)
}

// spool is a stem of radius 3 between two flanges of radius 8.
func spool(t testing.TB) field.Field {
	return field.Union(
		plate(t, round(t, mgl64.Vec2{}, 8), 0, 2, 0, 0),
		plate(t, round(t, mgl64.Vec2{}, 3), 1, 7, 0, 0),
		plate(t, round(t, mgl64.Vec2{}, 8), 6, 8, 0, 0))
}

// A spool stood upright is gripped by both halves behind its flanges.
func TestUndercutOfASpool(t *testing.T) {
	o := options(t, units.MouldTwoPart)
	o.Cast = units.CastRigid
	m := makeOf(t, "spool", spool(t), o)
	for _, half := range []string{Lower, Upper} {
		area, depth := sumOf(m, half)
		assert.InEpsilon(t, math.Pi*(64-9), area, 0.02, half)
		assert.InDelta(t, 5, depth, 1.5*undercutStep, half)
	}
	locked := 0
	for _, f := range m.Findings {
		if f.Rule == "cast-locks-in-mould" {
			assert.Equal(t, units.Error, f.Severity)
			assert.Contains(t, f.Message, "a rigid cast will lock here")
			assert.NotEmpty(t, f.Advice)
			assert.Equal(t, "spool", f.Unit)
			locked++
		}
	}
	assert.Equal(t, 2, locked)
}

func TestAPartingSurfaceThatFollowsTheSilhouetteLeavesNoUndercut(t *testing.T) {
	m := archMade(t)
	require.Equal(t, units.MouldTwoPart, m.Kind)
	assert.False(t, m.Parting.Planar)
	assert.Greater(t, m.Parting.Highest-m.Parting.Lowest, 3.0)
	assert.Empty(t, m.Undercuts)
}

func TestARigidCastIsNotPutBehindALip(t *testing.T) {
	lipped := plate(t, rectangle(t, 20, 10), 0, 4, 0.5, 0.5)
	o := options(t, units.MouldFitting)
	o.Step = 0.3
	assert.Equal(t, units.MouldOpen, makeOf(t, "plate", lipped, o).Kind,
		"an elastic cast slips over a lip of half a millimetre")
	o.Cast = units.CastRigid
	assert.Equal(t, units.MouldTwoPart, makeOf(t, "plate", lipped, o).Kind)
}
