package units

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/internal/strips"
	"earframe/template"
	"earframe/units/centreline"
)

// stripUnit is a half ring of radius 20, 5 wide, with a profile.
func stripUnit(t require.TestingT, profile ...RisePoint) *Unit {
	outline := strips.Along(strips.Arc(20, 20, 0, math.Pi), strips.Even(5), 300)
	line, err := centreline.New(outline)
	require.NoError(t, err)
	if line.At(0)[0] < 0 {
		line = line.Reversed()
	}
	return &Unit{Name: "rim", Part: Helix, Outlines: []template.Outline{outline}, Thickness: 4, Rise: Rise{Profile: profile}, Centreline: line}
}

func TestUndersideFollowsTheProfileAlongTheCentreline(t *testing.T) {
	profile := []RisePoint{{0, -1.5}, {0.1, -1.5}, {0.35, 3}, {0.85, 3}, {1, 2}}
	u := stripUnit(t, profile...)
	under, err := u.Underside()
	require.NoError(t, err)
	curve, err := u.Rise.curve()
	require.NoError(t, err)
	for i := range 101 {
		f := float64(i) / 100
		p := u.Centreline.At(f)
		z, _, _ := under.Height(p[0], p[1])
		assert.InDelta(t, curve.Predict(f), z, 0.06, "at %.2f", f)
	}
	// Square to the centreline it is level: a carved strip is not twisted.
	for _, f := range []float64{0.1, 0.2, 0.3, 0.5, 0.9} {
		p := u.Centreline.At(f)
		inner, _, _ := under.Height(p[0]*18/20, p[1]*18/20)
		outer, _, _ := under.Height(p[0]*22/20, p[1]*22/20)
		assert.InDelta(t, inner, outer, 0.06, "at %.2f", f)
	}
	// Where the profile is level, the underside is level to rounding: it lies on
	// the base frame without a gap.
	p := u.Centreline.At(0.6)
	z, slopeX, slopeY := under.Height(p[0], p[1])
	assert.InDelta(t, 3, z, 1e-12)
	assert.InDelta(t, 0, math.Hypot(slopeX, slopeY), 1e-12)
}

func TestUndersideNeverOvershootsItsProfileAndIsSmooth(t *testing.T) {
	u := stripUnit(t)
	rapid.Check(t, func(t *rapid.T) {
		heights := rapid.SliceOfN(rapid.Float64Range(-3, 5), 2, 7).Draw(t, "heights")
		var profile []RisePoint
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, h := range heights {
			profile = append(profile, RisePoint{float64(i) / float64(len(heights)-1), h})
			lo, hi = math.Min(lo, h), math.Max(hi, h)
		}
		u.Rise.Profile = profile
		under, err := u.Underside()
		if err != nil {
			t.Fatal(err)
		}
		// The steepest part of a monotone cubic is at most 3 times its secant
		// (Fritsch and Carlson 1980); on the inner side of the ring the same
		// height is climbed over 17.5/20 of the length.
		limit := 3 * (hi - lo) * float64(len(heights)-1) / (math.Pi * 17.5) * 1.1
		for i := range 300 {
			angle, r := math.Pi*fraction(i, 2), 17.5+5*fraction(i, 3)
			z, slopeX, slopeY := under.Height(r*math.Cos(angle), r*math.Sin(angle))
			if z < lo-1e-9 || z > hi+1e-9 {
				t.Fatalf("height %g outside the profile's %g to %g", z, lo, hi)
			}
			if slope := math.Hypot(slopeX, slopeY); slope > limit+1e-9 {
				t.Fatalf("slope %g, at most %g", slope, limit)
			}
		}
	})
}

func TestTwoFoldsOfOneStripKeepTheirOwnHeights(t *testing.T) {
	// The crus comes back within 3 mm of the rim: nearest places must not mix.
	sheet := testSheet()
	p := planOf(t, frameCase, sheet)
	helix := p.Unit("helix")
	under, err := helix.Underside()
	require.NoError(t, err)
	curve, err := helix.Rise.curve()
	require.NoError(t, err)
	for i := range 201 {
		f := float64(i) / 200
		at := helix.Centreline.At(f)
		z, _, _ := under.Height(at[0], at[1])
		assert.InDelta(t, curve.Predict(f), z, 0.15, "at %.3f", f)
	}
}

func TestAProfileNeedsTwoPointsInOrder(t *testing.T) {
	for _, profile := range [][]RisePoint{{}, {{0, 1}}, {{0.5, 1}, {0.5, 2}}, {{1, 1}, {0, 2}}, {{math.NaN(), 1}, {1, 2}}} {
		u := stripUnit(t)
		u.Rise.Profile = profile
		if profile == nil {
			continue
		}
		_, err := u.Underside()
		assert.Error(t, err, "%v", profile)
	}
}

func TestSolidOfALevelUnitIsAPrismWithItsRecess(t *testing.T) {
	plate := template.Outline{ID: "plate", Outer: template.Ring{{0, 0}, {20, 0}, {20, 10}, {0, 10}}}
	groove := template.Outline{ID: "groove", Outer: template.Ring{{5, 3}, {15, 3}, {15, 7}, {5, 7}}}
	u := &Unit{
		Name: "plate", Outlines: []template.Outline{plate}, Thickness: 3, Rise: Rise{Height: 1},
		Recesses: []Recess{{Name: "groove", Outlines: []template.Outline{groove}, Depth: 1}},
	}
	solid, err := u.Solid()
	require.NoError(t, err)
	for _, c := range []struct {
		at   mgl64.Vec3
		want float64
	}{
		{mgl64.Vec3{2, 5, 2.5}, -1.5},    // middle of the plate
		{mgl64.Vec3{2, 5, 0.5}, 0.5},     // beneath
		{mgl64.Vec3{2, 5, 4.5}, 0.5},     // above
		{mgl64.Vec3{10, 5, 3.5}, 0.5},    // in the groove, above its floor
		{mgl64.Vec3{10, 5, 2.75}, -0.25}, // under its floor
		{mgl64.Vec3{-1, 5, 2.5}, 1},      // beside
	} {
		assert.InDelta(t, c.want, distanceAt(solid, c.at)[0], 1e-9, "at %v", c.at)
	}
}

func TestANotchTakesTheHelixOutOfTheBaseFrame(t *testing.T) {
	p := planOf(t, frameCase+"engrave: {on: false}\n", testSheet())
	solids, err := p.Solids(t.Context())
	require.NoError(t, err)
	base, helix, concha := solids[0].Field, solids[1].Field, solids[4].Field
	lo, hi := p.Unit("helix").bounds()
	var points []mgl64.Vec3
	for x := lo[0]; x < hi[0]; x += 0.7 {
		for y := lo[1]; y < hi[1]; y += 0.7 {
			for z := -2.4; z < 7.5; z += 0.35 {
				points = append(points, mgl64.Vec3{x, y, z})
			}
		}
	}
	inBase, inHelix, inConcha := distanceAt(base, points...), distanceAt(helix, points...), distanceAt(concha, points...)
	helixPoints := 0
	for i := range points {
		if inHelix[i] < -1e-9 {
			helixPoints++
			assert.GreaterOrEqual(t, inBase[i], 0.0, "both base frame and helix at %v", points[i])
			assert.GreaterOrEqual(t, inConcha[i], 0.0, "both conchal vault and helix at %v", points[i])
		}
	}
	assert.Greater(t, helixPoints, 1000)
}

func TestClearanceIsMadeWhereAUnitIsLetInAndNotWhereItLiesOnTop(t *testing.T) {
	const clearance = 0.3
	p := planOf(t, frameCase+"engrave: {on: false}\nunits: [{part: base, clearance: 0.3, notches: helix}]\n", testSheet())
	solids, err := p.Solids(t.Context())
	require.NoError(t, err)
	base, helix := p.Units[0], p.Units[1]
	line := helix.Centreline

	// On the level rim the base frame reaches right up to the helix.
	rim := line.At(0.6)
	assert.Negative(t, distanceAt(solids[0].Field, mgl64.Vec3{rim[0], rim[1], base.Thickness - 0.01})[0])
	// At the tail, let in by 1 mm, there is room underneath.
	tail := line.At(0.985)
	curve, err := helix.Rise.curve()
	require.NoError(t, err)
	z := curve.Predict(0.985)
	room := distanceAt(solids[0].Field, mgl64.Vec3{tail[0], tail[1], z - clearance + 0.06}, mgl64.Vec3{tail[0], tail[1], z - clearance - 0.06})
	assert.Positive(t, room[0])
	assert.Negative(t, room[1])
}

func TestSolidsOfAMirroredTemplateAreMirrored(t *testing.T) {
	left, err := planOf(t, frameCase+"engrave: {on: false}\n", testSheet()).Solids(t.Context())
	require.NoError(t, err)
	right, err := planOf(t, frameCase+"engrave: {on: false}\nside: right\n", mirrored(testSheet())).Solids(t.Context())
	require.NoError(t, err)
	for i := range left {
		box := left[i].Field.Bounds().Grow(1)
		var points, other []mgl64.Vec3
		for k := range 2000 {
			p := mgl64.Vec3{
				box.Min[0] + (box.Max[0]-box.Min[0])*fraction(k, 2), box.Min[1] + (box.Max[1]-box.Min[1])*fraction(k, 3),
				box.Min[2] + (box.Max[2]-box.Min[2])*fraction(k, 5),
			}
			points, other = append(points, p), append(other, mgl64.Vec3{-p[0], p[1], p[2]})
		}
		a, b := distanceAt(left[i].Field, points...), distanceAt(right[i].Field, other...)
		for k := range a {
			if math.Abs(a[k]) > 1.5 {
				continue // far from the outline a rise is only carried on
			}
			// The rise is found again on the mirrored outline, not copied.
			assert.InDelta(t, a[k], b[k], 0.1, "%s at %v", left[i].Unit.Name, points[k])
		}
	}
}

// fraction is the Halton sequence (1960).
func fraction(i, base int) float64 {
	f, r := 1.0, 0.0
	for i++; i > 0; i /= base {
		f /= float64(base)
		r += f * float64(i%base)
	}
	return r
}
