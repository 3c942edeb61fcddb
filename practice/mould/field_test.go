package mould

import (
	"math"
	"testing"

	"earframe/field"

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
	s, err := field.NewHeightMap(field.HeightMap{Origin: mgl64.Vec2{-15, -15}, Spacing: 1, Columns: 31, Rows: 31, Heights: heights})
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
			rapid.Check(t, func(t *rapid.T) {
				coordinate := rapid.Float64Range(-9, 9)
				at := func(label string) mgl64.Vec3 {
					return mgl64.Vec3{coordinate.Draw(t, label+" x"), coordinate.Draw(t, label+" y"), coordinate.Draw(t, label+" z")}
				}
				p, q := at("p"), at("q")
				out, gradient := make([]float64, 2), make([]mgl64.Vec3, 2)
				f.Gradients([]mgl64.Vec3{p, q}, out, gradient)
				plain := make([]float64, 2)
				f.Distances([]mgl64.Vec3{p, q}, plain)
				require.InDeltaSlice(t, out, plain, 1e-12)
				column := []mgl64.Vec3{p, {p[0], p[1], q[2]}}
				f.Gradients(column, out, gradient)
				f.Distances(column, plain)
				require.InDeltaSlice(t, out, plain, 1e-12, "one over the other")
				f.Gradients([]mgl64.Vec3{p, q}, out, gradient)
				require.LessOrEqual(t, math.Abs(out[0]-out[1]), f.Lipschitz()*p.Sub(q).Len()+1e-9)

				var around field.Box
				for k := range 3 {
					around.Min[k], around.Max[k] = math.Min(p[k], q[k]), math.Max(p[k], q[k])
				}
				lo, hi := f.Range(around)
				share := rapid.Float64Range(0, 1).Draw(t, "share")
				inside := p.Add(q.Sub(p).Mul(share))
				f.Distances([]mgl64.Vec3{inside}, plain[:1])
				require.LessOrEqual(t, lo, plain[0]+1e-9)
				require.GreaterOrEqual(t, hi, plain[0]-1e-9)

				const h = 1e-6
				for k := range 3 {
					step := mgl64.Vec3{}
					step[k] = h
					f.Distances([]mgl64.Vec3{p.Add(step), p.Sub(step)}, plain)
					slope := (plain[0] - plain[1]) / (2 * h)
					if math.Abs(slope-gradient[0][k]) > 1e-4 && !creased(f, p) {
						require.InDelta(t, slope, gradient[0][k], 1e-4)
					}
				}
			})
		})
	}
}

// creased reports whether the field's slope changes near p, where its gradient
// is one of several.
func creased(f field.Field, p mgl64.Vec3) bool {
	const near = 1e-5
	var points []mgl64.Vec3
	for k := range 3 {
		for _, d := range []float64{-near, near} {
			q := p
			q[k] += d
			points = append(points, q)
		}
	}
	gradient := make([]mgl64.Vec3, len(points))
	f.Gradients(points, make([]float64, len(points)), gradient)
	for _, g := range gradient[1:] {
		if g.Sub(gradient[0]).Len() > 1e-3 {
			return true
		}
	}
	return false
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
	assert.InDelta(t, -2/math.Sqrt(5)*2, at(0, 2), 1e-12, "on the axis: 2 mm beside the side, times the side's steepness")
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
