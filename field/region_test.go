package field

import (
	"math"
	"strconv"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// starRing draws a smooth ring around the origin that does not cross itself.
func starRing(t *rapid.T, radius float64) []mgl64.Vec2 {
	n := rapid.IntRange(3, 60).Draw(t, "corners")
	ring := make([]mgl64.Vec2, n)
	for i := range ring {
		r := radius * rapid.Float64Range(0.4, 1).Draw(t, "radius")
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = mgl64.Vec2{r * cos, r * sin}
	}
	return ring
}

// slowDistance is the obvious way: all edges for the distance, and the winding
// by crossings of a ray for the sign.
func slowDistance(rings [][]mgl64.Vec2, p mgl64.Vec2) float64 {
	best := math.Inf(1)
	inside := false
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			ab := b.Sub(a)
			s := math.Min(math.Max(p.Sub(a).Dot(ab)/ab.LenSqr(), 0), 1)
			best = math.Min(best, p.Sub(a.Add(ab.Mul(s))).Len())
			if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				inside = !inside
			}
		}
	}
	if inside {
		return -best
	}
	return best
}

func TestRegionDistanceIsThatOfAllItsEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := starRing(t, 20)
		hole := starRing(t, 7) // inside: the outer ring keeps 8 from the origin
		for i, j := 0, len(hole)-1; i < j; i, j = i+1, j-1 {
			hole[i], hole[j] = hole[j], hole[i]
		}
		rings := [][]mgl64.Vec2{outer, hole}
		if len(outer) < 8 { // few corners cut too near the origin for a hole
			rings = rings[:1]
		}
		region, err := NewRegion(rings...)
		require.NoError(t, err)
		for range 40 {
			p := mgl64.Vec2{
				rapid.Float64Range(-25, 25).Draw(t, "x"), rapid.Float64Range(-25, 25).Draw(t, "y"),
			}
			want := slowDistance(rings, p)
			got, nearest := region.Nearest(p)
			require.InDelta(t, want, got, 1e-9)
			require.InDelta(t, math.Abs(want), p.Sub(nearest).Len(), 1e-9)
			d, gradient := region.Gradient(p)
			require.InDelta(t, want, d, 1e-9)
			require.InDelta(t, 1, gradient.Len(), 1e-6)
		}
	})
}

func TestRegionAtCornersAndOnEdges(t *testing.T) {
	// A thin wedge: beyond its tip the nearest point is the tip for a wide fan
	// of directions, where each edge alone would give the wrong sign somewhere.
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {10, -0.5}, {10, 0.5}})
	require.NoError(t, err)
	for _, p := range []mgl64.Vec2{{-1, 0}, {-1, 3}, {-1, -3}, {-0.2, 2}} {
		assert.InDelta(t, p.Len(), region.Distance(p), 1e-12, "beyond the tip at %v", p)
	}
	assert.Negative(t, region.Distance(mgl64.Vec2{9, 0}))
	assert.InDelta(t, 0, region.Distance(mgl64.Vec2{10, 0.2}), 1e-12)
	_, gradient := region.Gradient(mgl64.Vec2{10, 0.2})
	assert.InDelta(t, 1, gradient[0], 1e-12, "on an edge the gradient is the edge's normal")
}

func TestRegionRefusesWhatEnclosesNothing(t *testing.T) {
	for name, rings := range map[string][][]mgl64.Vec2{
		"no ring":           nil,
		"empty ring":        {{}},
		"two points":        {{{0, 0}, {1, 0}}},
		"one point, thrice": {{{1, 1}, {1, 1}, {1, 1}}},
		"not a number":      {{{0, 0}, {math.NaN(), 0}, {1, 1}}},
		"no area":           {{{0, 0}, {2, 0}, {1, 0}}},
		"clockwise":         {{{0, 0}, {0, 1}, {1, 1}}},
		"endless":           {{{0, 0}, {math.Inf(1), 0}, {1, 1}}},
	} {
		_, err := NewRegion(rings...)
		assert.Error(t, err, name)
	}
}

func BenchmarkRegionDistance(b *testing.B) {
	for _, corners := range []int{16, 256, 4096} {
		ring := make([]mgl64.Vec2, corners)
		for i := range ring {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
			ring[i] = mgl64.Vec2{30 * cos, 17 * sin}
		}
		region, err := NewRegion(ring)
		require.NoError(b, err)
		b.Run(strconv.Itoa(corners), func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				region.Distance(mgl64.Vec2{float64(i%71) - 35, float64(i%43) - 21})
			}
		})
	}
}
