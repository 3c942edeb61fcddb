package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func flatFrame() Frame { return formula{5, func(mgl64.Vec2) float64 { return 0 }} }

func TestFrameOutsideThePocketIsRefusedWithPlaceAndAmount(t *testing.T) {
	frame := formula{10, func(p mgl64.Vec2) float64 {
		if math.Abs(p[0]) <= 10 && math.Abs(p[1]) <= 4 {
			return 3
		}
		return 0
	}}
	_, err := Lay(context.Background(), Case{Frame: frame, Pocket: roundPocket{mgl64.Vec2{2, 0}, 10}, BridgingRadius: math.Inf(1)}, Options{})
	var outside *FrameOutsideError
	require.ErrorAs(t, err, &outside)
	assert.InDelta(t, math.Hypot(12, 4)-10, outside.By, 0.5)
	assert.InDelta(t, -10, outside.Where[0], 0.5)
	assert.Greater(t, outside.PocketArea, outside.FrameArea)
	assert.ErrorContains(t, err, "outside the pocket")

	_, err = Lay(context.Background(), Case{Frame: frame, Pocket: roundPocket{radius: 4}, BridgingRadius: math.Inf(1)}, Options{})
	require.ErrorAs(t, err, &outside)
	assert.ErrorContains(t, err, "smaller than the frame")

	// Far outside, where the pocket's own lattice does not reach.
	_, err = Lay(context.Background(), Case{Frame: frame, Pocket: roundPocket{mgl64.Vec2{300, 0}, 20}, BridgingRadius: math.Inf(1)}, Options{})
	require.ErrorAs(t, err, &outside)
	assert.Greater(t, outside.By, 250.0)
}

func TestUnusableNumbersAreRefused(t *testing.T) {
	good := Case{Frame: flatFrame(), Pocket: roundPocket{radius: 20}, BridgingRadius: 10}
	for name, c := range map[string]Case{
		"no radius":       {good.Frame, good.Pocket, 0, nil},
		"negative radius": {good.Frame, good.Pocket, -3, nil},
		"NaN radius":      {good.Frame, good.Pocket, math.NaN(), nil},
		"NaN pocket":      {good.Frame, roundPocket{radius: math.NaN()}, 10, nil},
		"huge pocket":     {good.Frame, roundPocket{radius: 1e308}, 10, nil},
	} {
		_, err := Lay(context.Background(), c, Options{})
		var value *ValueError
		assert.ErrorAs(t, err, &value, name)
	}
	for name, o := range map[string]Options{
		"negative step": {Step: -0.4}, "NaN step": {Step: math.NaN()}, "infinite step": {Step: math.Inf(1)},
		"NaN change": {Change: math.NaN()}, "negative bound": {Iterations: -1},
	} {
		_, err := Lay(context.Background(), good, o)
		var value *ValueError
		assert.ErrorAs(t, err, &value, name)
	}
	var empty *EmptyError
	for name, c := range map[string]Case{
		"nothing":        {},
		"empty pocket":   {good.Frame, roundPocket{radius: 0}, 10, nil},
		"too fine":       {good.Frame, roundPocket{radius: 9e5}, 10, nil},
		"sliver":         {good.Frame, roundPocket{mgl64.Vec2{0.2, 0.2}, 0.05}, 10, nil},
		"boundless bone": {formula{math.Inf(1), func(mgl64.Vec2) float64 { return 0 }}, good.Pocket, 10, nil},
	} {
		if c.BridgingRadius == 0 {
			c.BridgingRadius = 10
		}
		_, err := Lay(context.Background(), c, Options{})
		assert.ErrorAs(t, err, &empty, name)
	}
	_, err := Lay(context.Background(), Case{Frame: formula{5, func(p mgl64.Vec2) float64 {
		if p.Len() < 1 {
			return math.NaN()
		}
		return 0
	}}, Pocket: good.Pocket, BridgingRadius: 10}, Options{})
	var height *HeightError
	require.ErrorAs(t, err, &height)
	assert.Less(t, height.Where.Len(), 1.0)
}

func TestHeightGridsAreJudged(t *testing.T) {
	good := Obstacle{Step: 1, Columns: 2, Rows: 2, Heights: []float64{0, 1, 2, 3}}
	frame, err := NewFrame(good)
	require.NoError(t, err)
	out := make([]float64, 4)
	frame.Heights([]mgl64.Vec2{{0.5, 0.5}, {1, 1}, {0, 0.25}, {1.1, 0}}, out)
	assert.Equal(t, []float64{1.5, 3, 0.5, 0}, out)

	for name, spoil := range map[string]func(o *Obstacle){
		"step":    func(o *Obstacle) { o.Step = 0 },
		"columns": func(o *Obstacle) { o.Columns = 1 },
		"rows":    func(o *Obstacle) { o.Rows = math.MaxInt },
		"heights": func(o *Obstacle) { o.Heights = o.Heights[1:] },
		"origin":  func(o *Obstacle) { o.Origin[1] = math.NaN() },
		"NaN":     func(o *Obstacle) { o.Heights = []float64{0, 0, math.NaN(), 0} },
		"inf":     func(o *Obstacle) { o.Heights = []float64{0, 0, 0, math.Inf(-1)} },
	} {
		bad := good
		spoil(&bad)
		_, err := NewFrame(bad)
		assert.Error(t, err, name)
	}
}

// An answer that has not settled is not given.
func TestUnsettledDrapeIsNotPresented(t *testing.T) {
	d, err := Lay(context.Background(), earlike(0), Options{Iterations: 1})
	var unsettled *UnconvergedError
	require.ErrorAs(t, err, &unsettled)
	assert.Nil(t, d)
	assert.Equal(t, 1, unsettled.Iterations)
	assert.Greater(t, unsettled.Residual, unsettled.Want)
}

func TestCancellingEndsLaying(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Lay(ctx, earlike(0), Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestThePocketsDepthIsHeldAgainstThePeak(t *testing.T) {
	d, err := Lay(context.Background(), earlike(0), Options{})
	require.NoError(t, err)
	room, err := d.Room(6.5)
	require.NoError(t, err)
	assert.InDelta(t, 6.5-8, room, 0.01)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err := d.Room(bad)
		assert.Error(t, err)
	}
}

// Whatever the heights, there is an answer or an error, the skin lies on or
// over the frame and under every roll, and nowhere over the frame's highest place.
func TestAnyFrameIsLaidOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(2, 12).Draw(t, "columns"), rapid.IntRange(2, 12).Draw(t, "rows")
		heights := rapid.SliceOfN(rapid.Float64Range(-5, 30), columns*rows, columns*rows).Draw(t, "heights")
		o := Obstacle{Step: rapid.Float64Range(0.05, 4).Draw(t, "step"), Columns: columns, Rows: rows, Heights: heights}
		o.Origin = mgl64.Vec2{rapid.Float64Range(-30, 10).Draw(t, "x"), rapid.Float64Range(-30, 10).Draw(t, "y")}
		frame, err := NewFrame(o)
		if err != nil {
			t.Fatal(err)
		}
		pocket := roundPocket{radius: rapid.Float64Range(2, 40).Draw(t, "radius")}
		if rapid.Bool().Draw(t, "cut to the pocket") {
			frame = cutTo{frame, pocket, rapid.Float64Range(0, 3).Draw(t, "margin")}
		}
		c := Case{Frame: frame, Pocket: pocket, BridgingRadius: rapid.SampledFrom([]float64{math.Inf(1), 20, 5, 0.5}).Draw(t, "R")}
		for range rapid.IntRange(0, 2).Draw(t, "rolls") {
			roll := Roll{Radius: rapid.Float64Range(0.01, 12).Draw(t, "roll's radius")}
			for range rapid.IntRange(2, 4).Draw(t, "points") {
				roll.Line = append(roll.Line, mgl64.Vec2{rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")})
			}
			c.Rolls = append(c.Rolls, roll)
		}
		d, err := Lay(context.Background(), c, Options{Step: 1.6, Finest: 1.6, Iterations: 300})
		if err != nil {
			if d != nil {
				t.Fatal("a drape beside an error")
			}
			return
		}
		highest := 0.0
		for k, height := range d.l.lower {
			highest = max(highest, height, d.Frame[k])
		}
		for k, inside := range d.Inside {
			if inside && d.Heights[k] < d.Frame[k]-0.01 {
				t.Fatalf("node %d: skin at %g below the frame at %g", k, d.Heights[k], d.Frame[k])
			}
			if d.Heights[k] > highest*1.02+1e-6 {
				t.Fatalf("node %d: skin at %g above all of the frame, %g", k, d.Heights[k], highest)
			}
		}
		for k, height := range d.u {
			if d.l.free[k] && height > d.l.upper[k] {
				t.Fatalf("node %d: skin at %g above a roll's side at %g", k, height, d.l.upper[k])
			}
		}
		for _, p := range d.Pressed() {
			if !(p.Pull >= 0 && p.Stands >= 0 && p.Resting >= 0 && p.Resting <= 1) || math.IsInf(p.Pull, 0) {
				t.Fatalf("a roll that cannot be: %+v", p)
			}
		}
		if d.SkinDemand() < 1-1e-12 {
			t.Fatalf("skin demand %g", d.SkinDemand())
		}
	})
}

// cutTo is a frame cut off at a margin inside a pocket.
type cutTo struct {
	Frame
	pocket Region
	margin float64
}

func (c cutTo) Heights(points []mgl64.Vec2, out []float64) {
	c.Frame.Heights(points, out)
	for k, p := range points {
		if c.pocket.Distance(p) > -c.margin {
			out[k] = 0
		}
	}
}
