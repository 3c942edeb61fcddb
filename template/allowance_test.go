package template

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// dumbbell is two discs of radius 8 mm, 30 mm apart, joined by a bar whose
// sides bow in to the given width at x = at.
func dumbbell(width, at float64) Outline {
	var ring Ring
	half := func(x float64) float64 { // of the bar's width
		return width/2 + 0.02*(x-at)*(x-at)
	}
	const pieces = 200
	left, right := -9.0, 9.0
	for i := range pieces + 1 { // the bar's lower side, from left to right
		x := left + (right-left)*float64(i)/pieces
		ring = append(ring, mgl64.Vec2{x, -half(x)})
	}
	disc := func(cx, from float64, to mgl64.Vec2, first mgl64.Vec2) {
		a := math.Atan2(first[1], first[0]-cx)
		b := math.Atan2(to[1], to[0]-cx)
		for b <= a {
			b += 2 * math.Pi
		}
		for i := 1; i < pieces; i++ {
			angle := a + (b-a)*float64(i)/pieces
			ring = append(ring, mgl64.Vec2{cx + from*math.Cos(angle), from * math.Sin(angle)})
		}
	}
	disc(15, 8, mgl64.Vec2{right, half(right)}, mgl64.Vec2{right, -half(right)})
	for i := range pieces + 1 {
		x := right + (left-right)*float64(i)/pieces
		ring = append(ring, mgl64.Vec2{x, half(x)})
	}
	disc(-15, 8, mgl64.Vec2{left, -half(left)}, mgl64.Vec2{left, half(left)})
	return Outline{ID: "helix", Part: "helix", Outer: ring}
}

func TestAllowanceTellsWhereAnOutlinePinchesOff(t *testing.T) {
	taken, err := TakeOff(t.Context(), dumbbell(3, 1.5), 2)
	require.NoError(t, err)
	require.Len(t, taken.Outlines, 2)
	require.Len(t, taken.Findings, 1)
	finding := taken.Findings[0]
	assert.Equal(t, PinchedOff, finding.Loss)
	assert.Equal(t, 2, finding.Pieces)
	assert.InDelta(t, 3, finding.Width, 0.002, "the neck is 3 mm wide")
	assert.InDelta(t, 1, finding.Lacks, 0.002, "2 mm from either side need 4 mm")
	assert.InDelta(t, 1.5, finding.At[0], 0.1)
	assert.InDelta(t, 0, finding.At[1], 0.01)
	assert.Contains(t, finding.String(), "helix: the skin allowance pinches it off into 2 pieces: at its neck, x 1.5 y")
}

// Three discs in a row, hung together by two bars 2 and 3 mm wide.
func TestAllowanceTellsOfEveryNeck(t *testing.T) {
	row := Outline{ID: "antihelix", Outer: Ring{
		{0, 0}, {10, 0}, {10, 4}, {20, 4}, {20, 0}, {30, 0}, {30, 3.5}, {40, 3.5}, {40, 0}, {50, 0},
		{50, 10}, {40, 10}, {40, 6.5}, {30, 6.5}, {30, 10}, {20, 10}, {20, 6}, {10, 6}, {10, 10}, {0, 10},
	}}
	taken, err := TakeOff(t.Context(), row, 1.75)
	require.NoError(t, err)
	require.Len(t, taken.Outlines, 3)
	require.Len(t, taken.Findings, 2)
	assert.InDelta(t, 3, taken.Findings[0].Width, 0.01, "the widest neck first")
	assert.InDelta(t, 35, taken.Findings[0].At[0], 5.5)
	assert.InDelta(t, 2, taken.Findings[1].Width, 0.01)
	assert.InDelta(t, 15, taken.Findings[1].At[0], 5.5)
}

func TestAllowanceLeavesWideOutlinesWithoutFindings(t *testing.T) {
	taken, err := TakeOff(t.Context(), dumbbell(4.2, 0), 2)
	require.NoError(t, err)
	assert.Len(t, taken.Outlines, 1)
	assert.Empty(t, taken.Findings)
}

func TestAllowanceTellsHowWideAVanishedOutlineIs(t *testing.T) {
	strip := Outline{ID: "tragus", Outer: Ring{{0, 0}, {20, 0}, {20, 3}, {0, 3}}}
	taken, err := TakeOff(t.Context(), strip, 2)
	require.NoError(t, err)
	assert.Empty(t, taken.Outlines)
	require.Len(t, taken.Findings, 1)
	finding := taken.Findings[0]
	assert.Equal(t, Vanished, finding.Loss)
	assert.InDelta(t, 3, finding.Width, 0.007)
	assert.InDelta(t, 1, finding.Lacks, 0.007)
	assert.True(t, strip.Contains(finding.At))
}

// A ring plate with its hole off centre: the wall is 10 - 6 - 2 = 2 mm thick at
// the left and 6 mm at the right.
func TestAllowanceTellsWhereAHoleBreaksOut(t *testing.T) {
	hole := ellipse(6, 6, 720).wound(true)
	for i := range hole {
		hole[i] = hole[i].Add(mgl64.Vec2{-2, 0})
	}
	plate := Outline{ID: "base", Outer: ellipse(10, 10, 720), Holes: []Ring{hole}}
	taken, err := TakeOff(t.Context(), plate, 1.2)
	require.NoError(t, err)
	require.Len(t, taken.Outlines, 1)
	assert.Empty(t, taken.Outlines[0].Holes, "a C is left")
	require.Len(t, taken.Findings, 1)
	finding := taken.Findings[0]
	assert.Equal(t, Opened, finding.Loss)
	assert.InDelta(t, 2, finding.Width, 0.001)
	assert.InDelta(t, 0.4, finding.Lacks, 0.001)
	assert.InDelta(t, -9, finding.At[0], 0.01)
}

func TestAllowanceMustNotBeNegative(t *testing.T) {
	for _, r := range []float64{-1, math.NaN()} {
		_, err := TakeOff(t.Context(), dumbbell(4, 0), r)
		assert.ErrorContains(t, err, "skin allowance")
	}
}

// The largest circle in a rectangle has the shorter side for its diameter; in a
// right triangle its radius is (a + b - c)/2 (Euclid).
func TestWidestPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1, 10).Draw(t, "a")
		b := rapid.Float64Range(1, 10).Draw(t, "b")
		taken, err := TakeOff(t.Context(), Outline{Outer: Ring{{0, 0}, {a, 0}, {a, b}, {0, b}}}, 30)
		require.NoError(t, err)
		require.Len(t, taken.Findings, 1)
		assert.InDelta(t, math.Min(a, b), taken.Findings[0].Width, 2*depthAccuracy)
		taken, err = TakeOff(t.Context(), Outline{Outer: Ring{{0, 0}, {a, 0}, {0, b}}}, 30)
		require.NoError(t, err)
		require.Len(t, taken.Findings, 1)
		assert.InDelta(t, a+b-math.Hypot(a, b), taken.Findings[0].Width, 2*depthAccuracy)
	})
}
