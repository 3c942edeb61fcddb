package template

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func ellipse(a, b float64, n int) Ring {
	ring := make(Ring, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = mgl64.Vec2{a * cos, b * sin}
	}
	return ring
}

// Steiner's formulas in the plane: A(r) = A + P r + pi r², P(r) = P + 2 pi r,
// outward for a convex outline, inward while r stays below the least radius of
// curvature (Schneider, Convex Bodies: The Brunn-Minkowski Theory, ch. 4). The
// ellipse's own perimeter is from the complete elliptic integral.
func TestOffsetOfAnEllipseFollowsSteiner(t *testing.T) {
	const share = 1e-4
	for _, row := range []struct{ r, area, perimeter float64 }{
		{-1, 1454.861130, 144.209531},
		{-2, 1313.793192, 137.926345},
		{-3, 1179.008440, 131.643160},
		{1, 1755.846562, 156.775901},
		{2, 1915.764056, 163.059087},
		{3, 2081.964735, 169.342272},
	} {
		moved, err := Offset(t.Context(), Outline{ID: "ear", Part: "ear", Outer: ellipse(30, 17, 4000)}, row.r)
		require.NoError(t, err)
		require.Len(t, moved, 1)
		assert.InEpsilon(t, row.area, moved[0].Area(), share, "area at %g mm", row.r)
		assert.InEpsilon(t, row.perimeter, moved[0].Perimeter(), share, "perimeter at %g mm", row.r)
		assert.Equal(t, "ear", moved[0].Part)
	}
}

// Inward, a polygon keeps its mitres: A - P r + r² Σ tan(θ/2), P - 2 r Σ
// tan(θ/2); outward it is rounded: A + P r + pi r², P + 2 pi r (Schneider, as
// above).
func TestOffsetOfPolygons(t *testing.T) {
	regular := func(n int, radius float64) Ring {
		ring := ellipse(radius, radius, n)
		for i, p := range ring {
			ring[i] = rotation(0.3).point(p)
		}
		return ring
	}
	for name, ring := range map[string]Ring{
		"square":   {{0, 0}, {20, 0}, {20, 20}, {0, 20}},
		"strip":    {{0, 0}, {50, 0}, {50, 5}, {0, 5}},
		"triangle": regular(3, 20),
		"hexagon":  regular(6, 15),
		"wedge":    {{0, 0}, {40, 0}, {40, 12}},
	} {
		tangents := 0.0
		for i, p := range ring {
			before, after := ring[(i+len(ring)-1)%len(ring)], ring[(i+1)%len(ring)]
			u, v := p.Sub(before), after.Sub(p)
			tangents += math.Tan(math.Atan2(turn(u, v), u.Dot(v)) / 2)
		}
		const r = 1.7
		in, err := Offset(t.Context(), Outline{Outer: ring}, -r)
		require.NoError(t, err)
		require.Len(t, in, 1, name)
		assert.Len(t, in[0].Outer, len(ring), "%s: sharp corners and straight sides need no more points", name)
		assert.InDelta(t, ring.Area()-r*ring.Perimeter()+r*r*tangents, in[0].Area(), 1e-3, name)
		assert.InDelta(t, ring.Perimeter()-2*r*tangents, in[0].Perimeter(), 1e-3, name)

		out, err := Offset(t.Context(), Outline{Outer: ring}, r)
		require.NoError(t, err)
		require.Len(t, out, 1, name)
		perimeter := ring.Perimeter() + 2*math.Pi*r
		assert.InDelta(t, ring.Area()+r*ring.Perimeter()+math.Pi*r*r, out[0].Area(), offsetTolerance*perimeter, name)
		assert.InEpsilon(t, perimeter, out[0].Perimeter(), 1e-4, name)
	}
}

// A ring plate: both edges move, so the area is pi ((R-r)² - (q+r)²).
func TestOffsetMovesTheEdgesOfHolesToo(t *testing.T) {
	plate := Outline{Outer: ellipse(20, 20, 3000), Holes: []Ring{ellipse(12, 12, 3000).wound(true)}}
	for _, r := range []float64{-3, -1, 1, 3} {
		moved, err := Offset(t.Context(), plate, r)
		require.NoError(t, err)
		require.Len(t, moved, 1)
		require.Len(t, moved[0].Holes, 1)
		want := math.Pi * ((20+r)*(20+r) - (12-r)*(12-r))
		assert.InEpsilon(t, want, moved[0].Area(), 2e-4, "%g mm", r)
	}
	gone, err := Offset(t.Context(), plate, -4.1)
	require.NoError(t, err)
	assert.Empty(t, gone, "8 mm of width do not bear 4.1 mm from either side")
	closed, err := Offset(t.Context(), plate, 12.1)
	require.NoError(t, err)
	require.Len(t, closed, 1)
	assert.Empty(t, closed[0].Holes)
}

func TestOffsetRefusesWhatCannotBeMoved(t *testing.T) {
	square := Outline{ID: "base", Outer: Ring{{0, 0}, {20, 0}, {20, 20}, {0, 20}}}
	for _, r := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e9} {
		_, err := Offset(t.Context(), square, r)
		assert.ErrorContains(t, err, "outline base: offset by")
	}
	_, err := Offset(t.Context(), Outline{ID: "base"}, 1)
	assert.ErrorContains(t, err, "outline base")
	_, err = Offset(t.Context(), Outline{ID: "base", Outer: Ring{{0, 0}, {math.NaN(), 0}, {1, 1}}}, 1)
	assert.ErrorContains(t, err, "not finite")
}

// blob draws a smooth outline about 5 mm in radius, no bend sharper than two
// millimetres.
func blob(t *rapid.T) Ring {
	amplitude := make([]float64, 4)
	phase := make([]float64, 4)
	for k := range amplitude {
		amplitude[k] = rapid.Float64Range(0, 0.12/float64((k+1)*(k+1))).Draw(t, "amplitude")
		phase[k] = rapid.Float64Range(0, 2*math.Pi).Draw(t, "phase")
	}
	ring := make(Ring, 200)
	for i := range ring {
		angle := 2 * math.Pi * float64(i) / float64(len(ring))
		radius := 5.0
		for k := range amplitude {
			radius += 5 * amplitude[k] * math.Cos(float64(k+1)*angle+phase[k])
		}
		sin, cos := math.Sincos(angle)
		ring[i] = mgl64.Vec2{radius * cos, radius * sin}
	}
	return ring
}

func TestOffsetOutAndBackReturnsASmoothOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := blob(t)
		r := rapid.Float64Range(0.1, 0.8).Draw(t, "r")
		out, err := Offset(t.Context(), Outline{Outer: ring}, r)
		require.NoError(t, err)
		require.Len(t, out, 1)
		back, err := Offset(t.Context(), out[0], -r)
		require.NoError(t, err)
		require.Len(t, back, 1)
		assert.InEpsilon(t, ring.Area(), back[0].Area(), 5e-4)
		assert.InEpsilon(t, ring.Perimeter(), back[0].Perimeter(), 2e-3)
	})
}

func TestOffsetGrowsWithTheDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := blob(t)
		a := rapid.Float64Range(-0.8, 0.8).Draw(t, "a")
		b := rapid.Float64Range(a+0.02, 0.85).Draw(t, "b")
		small, err := Offset(t.Context(), Outline{Outer: ring}, a)
		require.NoError(t, err)
		large, err := Offset(t.Context(), Outline{Outer: ring}, b)
		require.NoError(t, err)
		require.Len(t, small, 1)
		require.Len(t, large, 1)
		for _, p := range small[0].Outer {
			require.True(t, large[0].Contains(p), "%v at %g mm lies outside the outline at %g mm", p, a, b)
		}
	})
}
