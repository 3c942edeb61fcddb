package mould

import (
	"context"
	"math"
	"testing"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func contoured(t testing.TB, f field.Field, step float64) *mesh.Mesh {
	t.Helper()
	m, err := contour.Of(context.Background(), f, contour.Options{Step: step})
	require.NoError(t, err)
	return m
}

func TestColumnsOfABallEndOnItsSurface(t *testing.T) {
	const radius = 5.0
	c, err := columnsOf(t.Context(), contoured(t, field.Ball(mgl64.Vec3{}, radius), 0.25), 0.3, 1, 1_000_000)
	require.NoError(t, err)
	count := 0
	for k := range c.nx * c.ny {
		r := c.place(k).Len()
		spans := c.at(k)
		switch {
		case r > radius+0.02:
			assert.Empty(t, spans)
		case r < 0.95*radius:
			require.Len(t, spans, 1)
			high := math.Sqrt(radius*radius - r*r)
			assert.InDelta(t, high, spans[0].High, 0.03)
			assert.InDelta(t, -high, spans[0].Low, 0.03)
			count++
		}
	}
	area := float64(count) * c.step * c.step
	assert.InDelta(t, math.Pi*0.95*0.95*radius*radius, area, 1)
}

// A column through a mesh leaves as often as it enters, whatever the grid.
func TestNoColumnSlipsBetweenTwoTriangles(t *testing.T) {
	ring := contoured(t, field.Torus(mgl64.Vec3{0, 0, 1}, 6, 2), 0.8)
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.Float64Range(0.2, 0.7).Draw(t, "step")
		c, err := columnsOf(t.Context(), ring, step, 0.1, 1_000_000)
		require.NoError(t, err)
		hits, err := c.hits(t.Context(), ring)
		require.NoError(t, err)
		balance := map[int32]int{}
		for _, h := range hits {
			if h.up {
				balance[h.column]--
			} else {
				balance[h.column]++
			}
		}
		for k, b := range balance {
			require.Zero(t, b, "column %d", k)
		}
		for k := range c.nx * c.ny {
			for _, s := range c.at(int(k)) {
				require.Less(t, s.Low, s.High)
			}
		}
	})
}

func TestDistancesAreThoseOfTheNearestColumn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := &columns{
			step: 0.5, nx: rapid.IntRange(1, 12).Draw(t, "columns"), ny: rapid.IntRange(1, 12).Draw(t, "rows"),
		}
		mask := rapid.SliceOfN(rapid.Bool(), c.nx*c.ny, c.nx*c.ny).Draw(t, "mask")
		for k, d := range c.distances(mask) {
			least := math.Inf(1)
			for j, in := range mask {
				if in {
					least = math.Min(least, c.place(k).Sub(c.place(j)).Len())
				}
			}
			if math.IsInf(least, 1) {
				require.True(t, math.IsInf(d, 1))
			} else {
				require.InDelta(t, least, d, 1e-9)
			}
		}
	})
}

func TestSamplesCoverASurface(t *testing.T) {
	ball := field.Ball(mgl64.Vec3{1, 2, 3}, 4)
	m := contoured(t, ball, 0.5)
	samples, err := samplesOf(t.Context(), m, ball, 0.2)
	require.NoError(t, err)
	var area float64
	var middle mgl64.Vec3
	for _, s := range samples {
		area += s.area
		middle = middle.Add(s.at.Mul(s.area))
		assert.InDelta(t, 1, s.normal.Dot(s.at.Sub(mgl64.Vec3{1, 2, 3}).Normalize()), 1e-9)
	}
	assert.InDelta(t, m.Area(), area, 1e-6)
	assert.Less(t, middle.Mul(1/area).Sub(mgl64.Vec3{1, 2, 3}).Len(), 0.02)
}
