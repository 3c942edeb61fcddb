package budget

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
	"earframe/template"
	"earframe/units"
)

// At six years the mean helix is 90.5 mm long and the mean 8th rib cartilage 75.4 mm
// (37 microtia patients, PMID 28692518, which found the cartilage of almost all of them
// enough): it is lengthened by a piece. At 16.5 years the mean 8th, 89.55 mm (both sides
// of 35 patients, CT), gives it whole. The helix is measured along the rim of the ear;
// the strip's middle lies within it by the skin, 2 mm, and half the strip's width, and
// is shorter by that times the turn (Steiner 1840).
func TestAHelixLongerThanTheEighthRibIsLengthenedByAPiece(t *testing.T) {
	const radius = 90.5/math.Pi - 2 - 1.5
	helix := helixOf(t, ellipseStrip(radius, radius, 3))
	child := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 75.4, 9.69, 7, 80),
		ribPiece("rib-9", []int{9}, 51.1, 9.69, 6.5, 60))
	u := child.Units[0]
	assert.Equal(t, FitsInPieces, u.Verdict, u.Text)
	require.Len(t, u.Parts, 2)
	assert.True(t, child.Enough, child.Text)
	assert.NotContains(t, u.Text, "short")
	assert.NotContains(t, demotest.Kinds(t, child.Findings), "strip-too-long-for-rib")
	lengths := 0.0
	for _, p := range u.Placements {
		assert.True(t, p.Strip)
		lo, hi := p.Outline.Bounds()
		lengths += hi.Sub(lo).Len()
	}
	assert.Greater(t, lengths, radius*math.Pi*0.95, "both pieces with what is trimmed, seen along their chords")

	grown := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 89.55, 14, 9, 95)).Units[0]
	assert.Equal(t, Fits, grown.Verdict, grown.Text)
	assert.Empty(t, grown.Parts)
}

func TestPiecesAreMadeAsTheCaseAsks(t *testing.T) {
	unit := unitOf(units.Base, rectangle(30, 10), 3, 7)
	stock := Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(60, 20), Thickness: 5}
	whole := check(t, planOf(t, unit), stock).Units[0]
	assert.Empty(t, whole.Parts)
	for _, count := range []int{2, 3, 4} {
		unit.Pieces = count
		b := check(t, planOf(t, unit), stock)
		u := b.Units[0]
		assert.Equal(t, FitsInPieces, u.Verdict, u.Text)
		require.Len(t, u.Parts, count)
		require.Len(t, u.Placements, count)
		assert.Len(t, u.Cuts, count-1)
		assert.Empty(t, b.Findings, "what is planned so is no warning")
		area := 0.0
		for _, p := range u.Parts {
			area += p.Outline.Area()
		}
		assert.InDelta(t, 300, area, 1e-3)
		assert.InDelta(t, 10*float64(count-1), u.Alternatives[u.Taken].Length, 0.1, "across the narrow bar")
	}
	unit.Pieces, unit.Cuts = 2, [][]mgl64.Vec2{{{5, -6}, {5, 1}, {8, 1}, {8, 6}}}
	u := check(t, planOf(t, unit), stock).Units[0]
	require.Len(t, u.Parts, 2)
	assert.InDelta(t, 13, u.Alternatives[0].Length, 1e-3, "along the line as it is drawn, step included")
	unit.Pieces, unit.Cuts = 1, nil
	small := Stock{Name: "small", Ribs: []int{7}, Outline: rectangle(20, 20), Thickness: 5}
	other := Stock{Name: "other", Ribs: []int{6}, Outline: rectangle(20, 20), Thickness: 5}
	b := check(t, planOf(t, unit), small, other)
	assert.Equal(t, Short, b.Units[0].Verdict, "it must stay whole")
	unit.Pieces = 0
	assert.Equal(t, FitsInPieces, check(t, planOf(t, unit), small, other).Units[0].Verdict)
	unit.Pieces = 2
	none := check(t, planOf(t, unit), Stock{Name: "tiny", Ribs: []int{7}, Outline: rectangle(9, 9), Thickness: 5})
	require.NotEmpty(t, none.Findings)
	assert.Contains(t, none.Findings[0].Message, "no way was found to carve it in two pieces")
}

// A cut goes over a narrow bar, and beside a notch where there is room beside it.
func TestACutKeepsToNarrowBarsAndOffNotches(t *testing.T) {
	// A ring 40 by 30, walls of 10 mm but for two bars of 4 mm.
	ring := template.Outline{ID: "ring", Outer: template.Ring{{-20, -15}, {20, -15}, {20, 15}, {-20, 15}},
		Holes: []template.Ring{{{-10, -5}, {-10, 5}, {-3, 5}, {-3, 11}, {3, 11}, {3, 5}, {10, 5}, {10, -5}, {3, -5},
			{3, -11}, {-3, -11}, {-3, -5}}}}
	unit := unitOf(units.Base, ring, 3, 7)
	unit.Pieces = 2
	stock := Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(100, 60), Thickness: 5}
	u := check(t, planOf(t, unit), stock).Units[0]
	require.Len(t, u.Parts, 2, u.Text)
	assert.InDelta(t, 8, u.Alternatives[0].Length, 0.1, "both bars")

	bar := unitOf(units.Base, rectangle(40, 8), 3, 7)
	bar.Pieces, bar.NotchFor = 2, []string{"helix"}
	let := unitOf(units.Helix, rectangle(10, 20), 3, 7) // over the middle
	let.Centreline = nil
	for _, u := range check(t, planOf(t, bar, let), stock).Units {
		for _, cut := range u.Cuts {
			for _, p := range cut {
				assert.Greater(t, math.Abs(p[0]), 6.0, "%s: 1 mm beside the notch at least", strings.ToLower(u.Label))
			}
		}
	}
}

// The longest piece of a strip comes from the rib named for it, the short one from
// elsewhere (common practice, no source): cut at its tight bend, 58 mm from its tail, the
// longer piece comes out of the block only; cut in its middle it comes out of the 8th.
func TestTheLongestPieceOfAStripComesFromTheRibNamedForIt(t *testing.T) {
	const before, radius, after = 30.0, 5.0, 50.0
	hook := strip(3, func(f float64) (p, normal mgl64.Vec2) {
		switch at := f * (before + math.Pi*radius + after); {
		case at < before:
			return mgl64.Vec2{at - before, radius}, mgl64.Vec2{0, 1}
		case at < before+math.Pi*radius:
			sin, cos := math.Sincos((at - before) / radius)
			return mgl64.Vec2{radius * sin, radius * cos}, mgl64.Vec2{sin, cos}
		default:
			return mgl64.Vec2{before + math.Pi*radius - at, -radius}, mgl64.Vec2{0, -1}
		}
	})
	helix := helixOf(t, hook)
	for _, eighth := range []float64{56, 66} {
		u := check(t, planOf(t, helix), Stock{Name: "block", Ribs: []int{6, 7}, Outline: rectangle(80, 40),
			Thickness: 8}, ribPiece("rib-8", []int{8}, eighth, 7, 7, 80),
			ribPiece("rib-9", []int{9}, 51.1, 9.69, 6.5, 60)).Units[0]
		require.Equal(t, FitsInPieces, u.Verdict, u.Text)
		require.Len(t, u.Placements, 2)
		area := map[string]float64{}
		for _, p := range u.Placements {
			area[p.Piece] += p.Outline.Area()
		}
		assert.Len(t, area, 2, "8th of %g mm: %s", eighth, u.Text)
		for piece, other := range area {
			assert.GreaterOrEqual(t, area["rib-8"], other-0.1, "8th of %g mm beside %s: %s", eighth, piece, u.Text)
		}
	}
}

// At six years the helix is 90.5 ± 6.8 mm long (76.9 to 101.5) and the 8th rib cartilage
// 75.4 ± 19.3 mm (47.3 to 118.5) in the same 37 children (PMID 28692518). The strip is
// shorter than the rim by what it lies within it times the turn, π (Steiner 1840), and
// needs what is trimmed, the margin at both ends, and what the rib's round ends take from
// its corners. So whether it comes out whole follows from both lengths alone: tried for
// each draw, and for the first few with an 8th just long enough and just too short. The
// share is that of the normal distribution of their difference, a third; the others are
// lengthened by one piece (tried for the first few). In 62.8 % of another 121 children the
// two were about as long: how nearly is not known, so that nothing can be held to it.
func TestOfChildrenOfSixAThirdHaveTheHelixWholeTheOthersInTwoPieces(t *testing.T) {
	const draws, few, width, high = 12, 2, 3.0, 9.69
	random := rand.New(rand.NewPCG(6, 37))
	within := func(mean, sd, lo, hi float64) float64 {
		for {
			if x := mean + sd*random.NormFloat64(); x >= lo && x <= hi {
				return x
			}
		}
	}
	round := high/2 - math.Sqrt((high/2-1)*(high/2-1)-width*width/4) // margin included, mm
	needs := 3 + 2*round - (2+width/2)*math.Pi                       // of the 8th beyond the rim, mm
	whole, longer := 0.0, 0
	for k := range draws {
		rim, eighth := within(90.5, 6.8, 76.9, 101.5), within(75.4, 19.3, 47.3, 118.5)
		radius := rim/math.Pi - 2 - width/2
		helix := helixOf(t, ellipseStrip(radius, radius, width))
		helix.Pieces = 1
		tried := []float64{eighth}
		if k < few {
			tried = append(tried, rim+needs-closelyEighth, rim+needs+closelyEighth)
		}
		for i, length := range tried {
			u := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, length, high, 7, 80)).Units[0]
			fits := length-rim-needs > 0
			assert.Equal(t, fits, u.Verdict == Fits, "rim %.1f, 8th %.1f: %s", rim, length, u.Text)
			if i == 0 && fits {
				whole++
			}
		}
		if eighth > rim+needs {
			continue
		}
		if longer++; longer <= few {
			helix.Pieces = 0
			u := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, eighth, high, 7, 80),
				ribPiece("rib-9", []int{9}, 51.1, high, 6.5, 60)).Units[0]
			assert.Equal(t, FitsInPieces, u.Verdict, "rim %.1f, 8th %.1f: %s", rim, eighth, u.Text)
			assert.Len(t, u.Parts, 2, "rim %.1f, 8th %.1f", rim, eighth)
		}
	}
	share := math.Erfc((90.5+needs-75.4)/math.Hypot(6.8, 19.3)/math.Sqrt2) / 2
	assert.InDelta(t, share, whole/draws, 2*math.Sqrt(share*(1-share)/draws))
}

// closelyEighth is how nearly, mm, the length that an 8th must have is held to: the round
// ends of ribPiece are drawn in steps of 1.5 mm.
const closelyEighth = 1.0
