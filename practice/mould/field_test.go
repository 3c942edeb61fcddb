package mould

import (
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/fieldtest"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// slanted is a surface that rises along x and waves along y.
func slanted(t testing.TB) field.Surface {
	var heights []float64
	for j := range 31 {
		for i := range 31 {
			heights = append(heights, 0.3*float64(i-15)+math.Sin(float64(j)/3))
		}
	}
	s, err := field.NewHeightMap(field.HeightMap{Origin: mgl64.Vec2{-15, -15}, Spacing: 1, Columns: 31, Rows: 31,
		Heights: heights})
	require.NoError(t, err)
	return s
}

// Every field of this package keeps what package field demands: Range holds
// every value, no slope is longer than Lipschitz, gradients are the slopes.
func TestFieldsKeepTheirWord(t *testing.T) {
	bar := plate(t, rectangle(t, 12, 7), -3, 4, 1, 0.5)
	placing := placing{from: mgl64.Vec3{1, 2, 3}, to: mgl64.Vec3{0.5, -1, 2}, scale: 1.1, turned: true}
	box := field.Box{Min: mgl64.Vec3{-10, -10, -10}, Max: mgl64.Vec3{10, 10, 10}}
	for name, f := range map[string]field.Field{
		"placed":             &placed{placing, bar},
		"drafted, level":     &drafted{bar, field.Level(1), math.Tan(0.1)},
		"drafted, slanted":   &drafted{bar, slanted(t), math.Tan(0.2)},
		"opened":             &opened{field.Ball(mgl64.Vec3{0, 0, 1}, 5), 2},
		"widening taper":     newTaper(mgl64.Vec2{1, -1}, -3, 4, 1, 5),
		"straight taper":     newTaper(mgl64.Vec2{1, -1}, -3, 4, 2, 2),
		"beneath a surface":  &half{slanted(t), 1, box},
		"above a surface":    &half{slanted(t), -1, box},
		"above a level face": &half{field.Level(2), -1, box},
	} {
		t.Run(name, func(t *testing.T) {
			fieldtest.Hold(t,
				func(*rapid.T) field.Field { return f },
				func(t *rapid.T, _ field.Field) mgl64.Vec3 {
					r := rapid.Float64Range(-9, 9)
					return mgl64.Vec3{r.Draw(t, "x"), r.Draw(t, "y"), r.Draw(t, "z")}
				})
		})
	}
}

func TestADraftLeansWallsAndLeavesFloorsWhereTheyAre(t *testing.T) {
	const angle, depth = 5 * math.Pi / 180, 6.0
	bar := plate(t, rectangle(t, 20, 10), -depth, 0, 0, 0)
	f := &drafted{bar, field.Level(0), math.Tan(angle)}
	at := func(p mgl64.Vec3) float64 {
		out := make([]float64, 1)
		f.Distances([]mgl64.Vec3{p}, out)
		return out[0]
	}
	for _, d := range []float64{0.5, 2, 5.5} {
		wall := 10 - d*math.Tan(angle)
		assert.InDelta(t, 0, at(mgl64.Vec3{wall, 0, -d}), 1e-12, "the wall at depth %g", d)
	}
	assert.InDelta(t, 0, at(mgl64.Vec3{0, 0, -depth}), 1e-12, "the floor")
	assert.InDelta(t, 0, at(mgl64.Vec3{0, 0, 0}), 1e-12, "the opening")
}

func TestATaperIsTheExactDistance(t *testing.T) {
	c := newTaper(mgl64.Vec2{2, 3}, 0, 4, 3, 1)
	at := func(x, z float64) float64 {
		d, _ := c.at(mgl64.Vec3{2 + x, 3, z})
		return d
	}
	assert.InDelta(t, 2, at(0, 6), 1e-12, "above")
	assert.InDelta(t, 1, at(1, -1), 1e-12, "beneath")
	assert.InDelta(t, math.Sqrt2, at(4, -1), 1e-12, "beside the lower rim")
	assert.InDelta(t, math.Hypot(1, 1), at(2, 5), 1e-12, "beside the upper rim")
	assert.InDelta(t, 0, at(2, 2), 1e-12, "on the side")
	assert.InDelta(t, -2/math.Sqrt(5)*2, at(0, 2), 1e-12,
		"on the axis: 2 mm beside the side, times the side's steepness")
	assert.InDelta(t, math.Pi*4/3*(9+3+1), c.volume(), 1e-12)
}

// A level floor must not fall between two samples however the part is placed,
// drafted or opened. Turned over about x, a height z comes to 2 - 1.1 (z - 3).
func TestFieldsOfAMouldKeepThePartsLevelFaces(t *testing.T) {
	bar := plate(t, rectangle(t, 12, 7), -3, 4, 1, 0.5)
	require.ElementsMatch(t, []float64{-3, 4}, bar.Levels())
	over := placing{from: mgl64.Vec3{1, 2, 3}, to: mgl64.Vec3{0.5, -1, 2}, scale: 1.1, turned: true}
	for name, c := range map[string]struct {
		made field.Field
		want []float64
	}{
		"placed":           {&placed{over, bar}, []float64{2 + 1.1*6, 2 - 1.1}},
		"drafted, level":   {&drafted{bar, field.Level(1), math.Tan(0.1)}, []float64{-3, 4, 1}},
		"drafted, slanted": {&drafted{bar, slanted(t), math.Tan(0.2)}, []float64{-3, 4}},
		"opened":           {&opened{bar, 2}, []float64{-3, 4, 2}},
	} {
		t.Run(name, func(t *testing.T) {
			levels := c.made.Levels()
			require.Len(t, levels, len(c.want))
			for i, z := range levels {
				require.InDelta(t, c.want[i], z, 1e-12)
			}
		})
	}
}
