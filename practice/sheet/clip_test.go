package sheet

import (
	"math"
	"testing"

	"earframe/template"
	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var clipWindow = rectangle{-10, -7, 12, 9}

func drawPoint(r *rapid.T) mgl64.Vec2 {
	return mgl64.Vec2{rapid.Float64Range(-30, 30).Draw(r, "x"), rapid.Float64Range(-30, 30).Draw(r, "y")}
}

func TestAClippedLineIsTheLineWithinTheWindow(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		line := rapid.SliceOfN(rapid.Custom(drawPoint), 2, 12).Draw(r, "line")
		pieces := clipLine(line, clipWindow)
		length := 0.0
		for _, piece := range pieces {
			require.Greater(t, len(piece), 1)
			length += centreline.LengthOf(piece, false)
			for _, p := range piece {
				const rounding = 1e-9
				require.GreaterOrEqual(t, p[0], clipWindow.left-rounding)
				require.LessOrEqual(t, p[0], clipWindow.right+rounding)
				require.GreaterOrEqual(t, p[1], clipWindow.top-rounding)
				require.LessOrEqual(t, p[1], clipWindow.bottom+rounding)
			}
		}
		// By walking along the line in small steps.
		const steps = 4000
		walked := 0.0
		for i := 1; i < len(line); i++ {
			d := line[i].Sub(line[i-1])
			for k := range steps {
				p := line[i-1].Add(d.Mul((float64(k) + 0.5) / steps))
				if p[0] >= clipWindow.left && p[0] <= clipWindow.right &&
					p[1] >= clipWindow.top && p[1] <= clipWindow.bottom {
					walked += d.Len() / steps
				}
			}
		}
		require.InDelta(t, walked, length, 2*85.0/steps*float64(len(line)))
	})
}

func TestAClippedDiscKeepsItsAreaWithinTheWindow(t *testing.T) {
	// Half of a disc of radius 5 about a point of the window's edge is left, a quarter
	// about its corner.
	for share, centre := range map[float64]mgl64.Vec2{1: {0, 0}, 0.5: {12, 1}, 0.25: {-10, 9}, 0: {40, 0}} {
		p := clip(path{lines: [][]mgl64.Vec2{disc(centre, 5)}, closed: true, pen: pen{colour: black}}, clipWindow)
		area := 0.0
		for _, ring := range p.lines {
			area += ringArea(ring)
		}
		assert.InDelta(t, share*ringArea(disc(centre, 5)), area, 1e-9, "about %v", centre)
	}
}

func disc(centre mgl64.Vec2, radius float64) []mgl64.Vec2 {
	ring := make([]mgl64.Vec2, 400)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = centre.Add(mgl64.Vec2{radius * cos, radius * sin})
	}
	return ring
}

func TestANeighbourIsShownWhereItLiesWithin(t *testing.T) {
	square := []template.Outline{{Outer: template.Ring{{0, 0}, {20, 0}, {20, 20}, {0, 20}}}}
	across := []mgl64.Vec2{{-5, 5}, {25, 5}, {25, 10}, {-5, 10}}
	pieces := within([][]mgl64.Vec2{across}, square)
	require.Len(t, pieces, 2)
	for _, piece := range pieces {
		assert.InDelta(t, 20, centreline.LengthOf(piece, false), 1e-9)
	}
	inside := disc(mgl64.Vec2{10, 10}, 4)
	pieces = within([][]mgl64.Vec2{inside}, square)
	require.Len(t, pieces, 1)
	assert.InDelta(t, 2*math.Pi*4, centreline.LengthOf(pieces[0], false), 0.01, "all of it, closed")
	assert.Empty(t, within(rings(square), square), "an edge shared is no seam")
	assert.Empty(t, within([][]mgl64.Vec2{disc(mgl64.Vec2{40, 0}, 4)}, square))
	// A ring begun inside, crossing the edge once in and once out, is one piece.
	half := disc(mgl64.Vec2{0, 10}, 4)
	assert.Len(t, within([][]mgl64.Vec2{half}, square), 1)
}
