package template

import (
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// halves cuts an ellipse of the half axes a and b along a line through its
// middle and moves the second half away by the gap.
func halves(a, b, angle, gap float64) []Outline {
	const points = 2000
	half := func(from float64) Ring {
		ring := make(Ring, points+1)
		for i := range ring {
			sin, cos := math.Sincos(from + math.Pi*float64(i)/points)
			ring[i] = mgl64.Vec2{a * cos, b * sin}
		}
		return ring
	}
	first, second := half(angle), half(angle+math.Pi)
	along := first[0].Sub(first[points]).Normalize()
	away := mgl64.Vec2{along[1], -along[0]}.Mul(gap)
	for i := range second {
		second[i] = second[i].Add(away)
	}
	return []Outline{{ID: "upper", Part: "concha", Outer: first}, {ID: "lower", Part: "concha", Outer: second}}
}

// The two halves of an ellipse make the ellipse: πab, and with a gap between
// them the gap is filled in addition, 2a wide where the cut is along the axis.
func TestTheHalvesOfAnEllipseAreJoinedToIt(t *testing.T) {
	const a, b = 30, 17
	for _, angle := range []float64{0, 0.3, 1.2} {
		for _, gap := range []float64{0, -0.03} { // negative: they overlap
			joined, err := Join(t.Context(), halves(a, b, angle, gap))
			require.NoError(t, err)
			require.Len(t, joined, 1, "cut at %g, gap %g mm", angle, gap)
			assert.Empty(t, joined[0].Holes)
			assert.Equal(t, "upper", joined[0].ID)
			assert.Equal(t, "concha", joined[0].Part)
			across := 2 * math.Hypot(a*math.Cos(angle), b*math.Sin(angle))
			assert.InEpsilon(t, math.Pi*a*b+gap*across, joined[0].Area(), 5e-4, "cut at %g, gap %g mm", angle, gap)
		}
	}
	joined, err := Join(t.Context(), halves(a, b, 0, 0.08))
	require.NoError(t, err)
	require.Len(t, joined, 1)
	assert.InEpsilon(t, math.Pi*a*b+0.08*2*a, joined[0].Area(), 5e-4)
}

func TestOutlinesThatDoNotTouchStayAsTheyAre(t *testing.T) {
	apart := halves(30, 17, 0.4, 0.15)
	joined, err := Join(t.Context(), apart)
	require.NoError(t, err)
	assert.Equal(t, apart, joined)
}

// A plate cut in two through its hole keeps the hole; a bar across it in the
// shape of a plus, with no corner in the other, is joined too; a square far off
// is left alone, and so is the order.
func TestJoiningKeepsHolesAndCorners(t *testing.T) {
	bar := func(id string, x0, y0, x1, y1 float64) Outline {
		return Outline{ID: id, Outer: Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	}
	frame := func() []Outline { // a square of 20 mm with a hole of 10 mm, in two C pieces
		return []Outline{
			{ID: "left", Outer: Ring{{0, 0}, {10, 0}, {10, 5}, {5, 5}, {5, 15}, {10, 15}, {10, 20}, {0, 20}}},
			{ID: "right", Outer: Ring{{10, 0}, {20, 0}, {20, 20}, {10, 20}, {10, 15}, {15, 15}, {15, 5}, {10, 5}}},
		}
	}
	joined, err := Join(t.Context(), append([]Outline{bar("far", 30, 0, 35, 5)}, frame()...))
	require.NoError(t, err)
	require.Len(t, joined, 2)
	assert.Equal(t, "far", joined[0].ID)
	assert.Equal(t, "left", joined[1].ID)
	require.Len(t, joined[1].Holes, 1)
	assert.InDelta(t, 300, joined[1].Area(), 0.02, "but for the hole's corners, rounded by 0.06 mm")
	assert.InDelta(t, 80, joined[1].Outer.Perimeter(), 0.05, "corners stay sharp to a hundredth")

	plus, err := Join(t.Context(), []Outline{bar("across", -10, -2, 10, 2), bar("up", -2, -10, 2, 10)})
	require.NoError(t, err)
	require.Len(t, plus, 1)
	// Each inner corner is filled by r² (1 - π/4).
	const r = joinReach
	assert.InDelta(t, 144+4*r*r*(1-math.Pi/4), plus[0].Area(), 0.01)

	within, err := Join(t.Context(), []Outline{bar("small", 1, 1, 2, 2), bar("large", 0, 0, 9, 9)})
	require.NoError(t, err)
	require.Len(t, within, 1)
	assert.InDelta(t, 81, within[0].Area(), 0.01)

	chain, err := Join(t.Context(), []Outline{bar("a", 0, 0, 5, 5), bar("c", 10, 0, 15, 5), bar("b", 5, 0, 10, 5)})
	require.NoError(t, err)
	require.Len(t, chain, 1, "the third joins the first two")
	assert.InDelta(t, 75, chain[0].Area(), 0.01)
}

// As many pieces as a part can have, edge to edge in a mosaic, make one plate.
func TestAMosaicIsJoined(t *testing.T) {
	var pieces []Outline
	for i := range maxOfPart {
		x, y := float64(i%20)*2, float64(i/20)*2
		pieces = append(pieces, Outline{ID: "tile", Outer: Ring{{x, y}, {x + 2, y}, {x + 2, y + 2}, {x, y + 2}}})
	}
	joined, err := Join(t.Context(), pieces)
	require.NoError(t, err)
	require.Len(t, joined, 1)
	assert.Empty(t, joined[0].Holes)
	assert.InDelta(t, 40*20, joined[0].Area(), 0.02)
}

// Order and place do not matter: the pieces of a blob cut by a line make the
// blob, which has no bend sharper than the gap that is filled.
func TestPiecesOfABlobMakeTheBlob(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := blob(t)
		at := rapid.IntRange(40, 160).Draw(t, "cut")
		parts := []Outline{{ID: "a", Outer: ring[:at+1].wound(false)}, {ID: "b", Outer: append(slices.Clone(ring[at:]), ring[0])}}
		if rapid.Bool().Draw(t, "swapped") {
			parts[0], parts[1] = parts[1], parts[0]
		}
		joined, err := Join(t.Context(), parts)
		require.NoError(t, err)
		require.Len(t, joined, 1)
		assert.InEpsilon(t, ring.Area(), joined[0].Area(), 5e-4)
	})
}

func TestJoiningRefusesAnOutlineOfNothing(t *testing.T) {
	_, err := Join(t.Context(), []Outline{{ID: "concha"}})
	assert.ErrorContains(t, err, "outline concha")
}
