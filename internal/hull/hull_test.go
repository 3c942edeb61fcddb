package hull

import (
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestTheHullsOfFewPoints(t *testing.T) {
	a, b, c := mgl64.Vec2{0, 0}, mgl64.Vec2{2, 0}, mgl64.Vec2{1, 3}
	for name, test := range map[string]struct{ points, want []mgl64.Vec2 }{
		"none":                {nil, nil},
		"one":                 {[]mgl64.Vec2{a}, []mgl64.Vec2{a}},
		"one place":           {[]mgl64.Vec2{a, a, a, a}, []mgl64.Vec2{a}},
		"two":                 {[]mgl64.Vec2{b, a}, []mgl64.Vec2{a, b}},
		"on a line":           {[]mgl64.Vec2{b, {1, 0}, a, {0.5, 0}}, []mgl64.Vec2{a, b}},
		"a triangle":          {[]mgl64.Vec2{c, b, a}, []mgl64.Vec2{a, b, c}},
		"one within":          {[]mgl64.Vec2{c, {1, 1}, b, a}, []mgl64.Vec2{a, b, c}},
		"one on a side":       {[]mgl64.Vec2{c, {1, 0}, b, a}, []mgl64.Vec2{a, b, c}},
		"corners given twice": {[]mgl64.Vec2{c, b, c, a, b}, []mgl64.Vec2{a, b, c}},
	} {
		given := slices.Clone(test.points)
		assert.Equal(t, test.want, Of(test.points), name)
		assert.Equal(t, given, test.points, "%s: the points are left as they are", name)
	}
}

// A hull is convex, its corners are points, and no point lies outside of a side.
func TestAHullHoldsItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Whole coordinates: turns are exact, many points lie on one line.
		whole := rapid.IntRange(-6, 6)
		points := make([]mgl64.Vec2, rapid.IntRange(3, 40).Draw(t, "points"))
		for i := range points {
			points[i] = mgl64.Vec2{float64(whole.Draw(t, "x")), float64(whole.Draw(t, "y"))}
		}
		corners := Of(points)
		for i, a := range corners {
			require.Contains(t, points, a)
			if len(corners) < 3 {
				continue
			}
			b, c := corners[(i+1)%len(corners)], corners[(i+2)%len(corners)]
			require.True(t, turnsLeft(a, b, c), "%v: convex, and no corner on a side", corners)
			for _, p := range points {
				require.False(t, turnsLeft(b, a, p), "%v lies outside of the side from %v to %v", p, a, b)
			}
		}
	})
}
