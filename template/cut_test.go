package template

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawnStar returns a ring about the origin that does not cross itself.
func drawnStar(t *rapid.T, name string, least, most float64) Ring {
	ring := make(Ring, rapid.IntRange(4, 8).Draw(t, name+" corners"))
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = mgl64.Vec2{cos, sin}.Mul(rapid.Float64Range(least, most).Draw(t, name+" radius"))
	}
	return ring
}

// ringPlate returns a plate of 20 × 10 mm with a hole of 12 × 4 mm.
func ringPlate() Outline {
	return Outline{ID: "plate", Part: "base", Outer: Ring{{-10, -5}, {10, -5}, {10, 5}, {-10, 5}},
		Holes: []Ring{{{-6, -2}, {-6, 2}, {6, 2}, {6, -2}}}}
}

// A straight or stepped cut divides the area; each part keeps to its side, and the
// stretches are edges of both.
func TestACutDividesTheAreaAndIsAnEdgeOfBothSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Outline{ID: "unit", Part: "base", Outer: drawnStar(t, "outer", 6, 12)}
		if rapid.Bool().Draw(t, "hole") {
			hole := drawnStar(t, "hole", 1, 3)
			slices.Reverse(hole)
			o.Holes = []Ring{hole}
		}
		turn := mgl64.Rotate2D(rapid.Float64Range(0, 2*math.Pi).Draw(t, "angle"))
		step := rapid.SampledFrom([]float64{0, 1.5}).Draw(t, "step")
		at, across := rapid.Float64Range(-8, 8).Draw(t, "at"), rapid.Float64Range(-8, 8).Draw(t, "across")
		var line []mgl64.Vec2
		for _, p := range []mgl64.Vec2{{-40, at}, {across, at}, {across, at + step}, {40, at + step}} {
			line = append(line, turn.Mul2x1(p))
		}
		parts, stretches, err := o.Cut([][]mgl64.Vec2{line}, 0)
		if err != nil {
			require.ErrorIs(t, err, ErrMisses)
			return
		}
		area, perimeter, length := 0.0, 0.0, 0.0
		for _, s := range stretches {
			for i := 1; i < len(s); i++ {
				length += s[i].Sub(s[i-1]).Len()
			}
		}
		for _, part := range parts {
			area += part.Area()
			perimeter += part.Perimeter()
			_, err := Region(part)
			require.NoError(t, err)
			sides := map[bool]bool{}
			for _, ring := range part.Rings() {
				for _, p := range ring {
					q := turn.Transpose().Mul2x1(p)
					edge := at
					if q[0] > across {
						edge += step
					}
					if math.Abs(q[1]-edge) > 1e-4 && math.Abs(q[0]-across) > 1e-4 {
						sides[q[1] > edge] = true
					}
				}
			}
			require.LessOrEqual(t, len(sides), 1)
		}
		require.InDelta(t, o.Area(), area, 1e-6)
		require.InDelta(t, o.Perimeter()+2*length, perimeter, 1e-4)
	})
}

func TestARingTakesTwoCutsToFallApart(t *testing.T) {
	o := ringPlate()
	through := []mgl64.Vec2{{0, -6}, {0, 6}}
	parts, stretches, err := o.Cut([][]mgl64.Vec2{through}, 0)
	require.NoError(t, err)
	require.Len(t, parts, 2, "one line over both walls")
	assert.Len(t, stretches, 2)
	assert.Empty(t, parts[0].Holes, "the hole is open now")
	assert.InDelta(t, o.Area()/2, parts[0].Area(), 1e-4)

	low, high := []mgl64.Vec2{{0, -4.5}, {0, -2.5}}, []mgl64.Vec2{{3, 2.5}, {4, 4.5}}
	parts, _, err = o.Cut([][]mgl64.Vec2{low}, 1)
	require.NoError(t, err)
	require.Len(t, parts, 1, "over one wall it stays one piece")
	assert.InDelta(t, o.Area(), parts[0].Area(), 1e-9)
	parts, stretches, err = o.Cut([][]mgl64.Vec2{low, high}, 1)
	require.NoError(t, err)
	require.Len(t, parts, 2)
	assert.InDelta(t, 3, stretches[0][1].Sub(stretches[0][0]).Len(), 1e-4)
	assert.InDelta(t, o.Area(), parts[0].Area()+parts[1].Area(), 1e-9)

	parts, _, err = o.Cut([][]mgl64.Vec2{{{8, -6}, {8, 6}}}, 0)
	require.NoError(t, err)
	require.Len(t, parts, 2)
	assert.Len(t, slices.Concat(parts[0].Holes, parts[1].Holes), 1, "a cut beside the hole leaves it")
	parts, _, err = o.Cut([][]mgl64.Vec2{{{-6, -6}, {-6, 6}}}, 0)
	require.NoError(t, err, "along the hole's very edge")
	area := 0.0
	for _, part := range parts {
		area += part.Area()
	}
	assert.InDelta(t, o.Area(), area, 1e-4)
}

func TestACutThatDoesNotCutIsAnError(t *testing.T) {
	for want, lines := range map[error][][]mgl64.Vec2{
		ErrMisses:  {{{20, -6}, {20, 6}}},
		ErrEnds:    {{{8, -6}, {8, 0}}},
		ErrCrosses: {{{8, -6}, {8, 6}}, {{7, -6}, {9, 6}}},
	} {
		_, _, err := ringPlate().Cut(lines, 1)
		assert.ErrorIs(t, err, want)
	}
}

func TestLinesOfCutsAreReadAsTheyLie(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">` +
		`<rect id="base" x="40" y="40" width="20" height="10"/>`
	read := func(line string) (*Sheet, error) {
		return ReadFrom(t.Context(), strings.NewReader(head+line+`</svg>`), "drawing", Options{})
	}
	sheet, err := read(`<polyline id="cut-neck" points="50,38 50,45 52,45 52,55"/><line id="cut-2" x1="0" x2="1"/>`)
	require.NoError(t, err)
	require.Len(t, sheet.Outlines, 1)
	require.Len(t, sheet.Lines, 2)
	assert.Equal(t, "cut-neck", sheet.Lines[0].ID)
	assert.InDeltaSlice(t, []float64{0, 7, 0, 0, 2, 0, 2, -10}, flat(sheet.Lines[0].Points), 1e-9)
	assert.Empty(t, sheet.Ignored)
	for _, bad := range []string{`<rect id="cut" width="9" height="9"/>`, `<path id="cut" d="M1,1 L2,2 M3,3 L4,4"/>`,
		`<line id="cut" x1="3" x2="3"/>`} {
		_, err := read(bad)
		assert.ErrorContains(t, err, "the line of a cut", bad)
	}
}

func flat(points []mgl64.Vec2) []float64 {
	var all []float64
	for _, p := range points {
		all = append(all, p[0], p[1])
	}
	return all
}

// One line's stretches before and behind a hole lie in one line, up to rounding.
func TestStretchesInOneLineDoNotCross(t *testing.T) {
	star := func(radii ...float64) Ring {
		ring := make(Ring, len(radii))
		for i, r := range radii {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(radii)))
			ring[i] = mgl64.Vec2{cos, sin}.Mul(r)
		}
		return ring
	}
	hole := star(1.125, 1.125, 3, 3)
	slices.Reverse(hole)
	o := Outline{ID: "unit", Part: "base", Outer: star(6, 6, 6, 12, 6, 6, 6), Holes: []Ring{hole}}
	turn, at := mgl64.Rotate2D(2.125), -1.0158407522669677 // where rounding once read a crossing
	var line []mgl64.Vec2
	for _, p := range []mgl64.Vec2{{-40, at}, {-4.515625, at}, {-4.515625, at + 1.5}, {40, at + 1.5}} {
		line = append(line, turn.Mul2x1(p))
	}
	_, stretches, err := o.Cut([][]mgl64.Vec2{line}, 0)
	require.NoError(t, err)
	assert.Len(t, stretches, 2)
}
