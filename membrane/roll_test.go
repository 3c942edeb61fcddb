package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/optimize"
)

// straight is a roll along a line.
func straight(radius float64, ends ...mgl64.Vec2) Roll { return Roll{ends, radius} }

// rolled is earlike with a roll in the groove beside its tall rim.
func rolled(turned float64) Case {
	c := earlike(turned)
	c.Rolls = []Roll{
		straight(2.2, turn(mgl64.Vec2{6, -14}, turned), turn(mgl64.Vec2{8, 0}, turned), turn(mgl64.Vec2{6, 14}, turned)),
		straight(3, turn(mgl64.Vec2{-6, -10}, turned), turn(mgl64.Vec2{-6, 10}, turned)),
	}
	return c
}

// A taut string between two supports of height H at ±w, pressed down to the floor in
// the middle by a round bar of radius r: by elementary geometry it leaves the bar at
// the angle θ = atan((H−r)/w) + asin(r/√(w²+(H−r)²)), is √(w²+(H−r)²−r²) + rθ long on
// either side, and presses on the bar with 2T·sin θ. Suction that bends free skin to a
// radius R makes an arc of the straight part, whose centre lies R−r from the bar's;
// of 2T·sin θ it bears the share r/R itself.
func TestSkinPressedBetweenTwoSupportsIsATautString(t *testing.T) {
	for _, c := range []struct{ height, half, radius, bridging, degrees float64 }{
		{4, 9, 3, math.Inf(1), 0}, {5, 7, 2, math.Inf(1), 20}, {2, 12, 3.5, math.Inf(1), 45},
		{4, 9, 3, 30, 30}, {4, 6, 2, 12, 10},
	} {
		turned := c.degrees * math.Pi / 180
		const halfLength, shoulder = 64.0, 3.0
		supports := func(x float64) float64 {
			if x = math.Abs(x); x >= c.half && x <= c.half+shoulder {
				return c.height
			}
			return 0
		}
		lay := func(half float64) *Drape {
			return onStep(t, Case{
				Frame:  strip(c.half+shoulder, halfLength-3, turned, supports),
				Pocket: boxPocket{c.half + shoulder + 6, halfLength, turned},
				Rolls:  []Roll{straight(c.radius, turn(mgl64.Vec2{0, -half}, turned), turn(mgl64.Vec2{0, half}, turned))},
			}, 1/c.bridging, defaultStep)
		}
		angle, length := tautUnderABar(c.height, c.half, c.radius, c.bridging)

		// What a longer roll bears more than a shorter one is free of their ends.
		short, long := lay(12), lay(20)
		got, err := long.SectionStretch(turn(mgl64.Vec2{-c.half, 0.1}, turned), turn(mgl64.Vec2{c.half, 0.1}, turned))
		require.NoError(t, err)
		few, many := short.Pressed()[0], long.Pressed()[0]
		force := (many.Pull - few.Pull) / (many.Length - few.Length)
		want := 2 * math.Sin(angle) * (1 - c.radius/c.bridging)
		t.Logf("%+v: stretch %.5f, closed form %.5f; force %.4f T, closed form %.4f T", c, got, length/c.half, force, want)
		assert.InEpsilon(t, length/c.half, got, 0.003)
		assert.InEpsilon(t, want, force, 0.01)
		assert.InDelta(t, 0, long.Height(mgl64.Vec2{}), 1e-9)
		assert.InDelta(t, 1, many.Resting, 0.01)
	}
}

// tautUnderABar returns the angle at which the string leaves the bar and the length
// of one side of it, mm.
func tautUnderABar(height, half, radius, bridging float64) (angle, length float64) {
	if math.IsInf(bridging, 1) {
		far := math.Hypot(half, height-radius)
		angle = math.Atan2(height-radius, half) + math.Asin(radius/far)
		return angle, math.Sqrt(far*far-radius*radius) + radius*angle
	}
	// The arc's centre, mm, if it leaves the bar at the angle.
	centre := func(angle float64) mgl64.Vec2 {
		s, c := math.Sincos(angle)
		return mgl64.Vec2{-(bridging - radius) * s, radius + (bridging-radius)*c}
	}
	support := mgl64.Vec2{half, height}
	low, high := 0.0, math.Pi/2
	for range 60 {
		if angle = (low + high) / 2; support.Sub(centre(angle)).Len() < bridging {
			low = angle
		} else {
			high = angle
		}
	}
	out := support.Sub(centre(angle))
	return angle, radius*angle + bridging*(math.Atan2(out[0], -out[1])-angle)
}

// A flat membrane from a plateau of height h₁ and radius r₀ to a wall of height h₂ and
// radius r₁, pressed to the bed on the ring r between them: Laplace on both annuli,
// u = h₁ ln(r/ρ)/ln(r/r₀) within and h₂ ln(ρ/r)/ln(r₁/r) without, and the ring bears
// the jump of slopes, 2π[h₁/ln(r/r₀) + h₂/ln(r₁/r)] times the tension.
func TestSkinPressedOnARingFollowsTheLogarithm(t *testing.T) {
	const inner, ring, outer, high, low = 5.0, 12.0, 22.0, 8.0, 5.0
	frame := round(offLattice, outer+2, func(r float64) float64 {
		switch {
		case r <= inner:
			return small * high
		case r >= outer && r <= outer+2:
			return small * low
		}
		return 0
	})
	var line []mgl64.Vec2
	for n := range 361 {
		s, c := math.Sincos(2 * math.Pi * float64(n) / 360)
		line = append(line, offLattice.Add(mgl64.Vec2{c, s}.Mul(ring)))
	}
	d := onStep(t, Case{Frame: frame, Pocket: roundPocket{offLattice, outer + 8}, Rolls: []Roll{{line, 1}}}, 0, defaultStep/2)
	for _, c := range []struct{ radius, want float64 }{
		{7, high * math.Log(ring/7) / math.Log(ring/inner)},
		{10, high * math.Log(ring/10) / math.Log(ring/inner)},
		{15, low * math.Log(15/ring) / math.Log(outer/ring)},
		{20, low * math.Log(20/ring) / math.Log(outer/ring)},
	} {
		got := heightAtRadius(d, offLattice, c.radius) / small
		t.Logf("height at %g mm: %.4f, closed form %.4f", c.radius, got, c.want)
		assert.InDelta(t, c.want, got, 0.01*high)
	}
	want := 2 * math.Pi * (high/math.Log(ring/inner) + low/math.Log(outer/ring))
	got := d.Pressed()[0].Pull / small
	t.Logf("force %.3f T, closed form %.3f T", got, want)
	assert.InEpsilon(t, want, got, 0.02)
}

// roofOf is a roll's lower side over a frame, looked for far and wide: the axis at
// every place of a straight line, then the lowest ball over each place asked for.
func roofOf(frame func(p mgl64.Vec2) float64, roll Roll, spacing float64) func(p mgl64.Vec2) float64 {
	from, to := roll.Line[0], roll.Line[1]
	count := int(to.Sub(from).Len() / spacing)
	places, axis := make([]mgl64.Vec2, count+1), make([]float64, count+1)
	reach := int(roll.Radius / spacing)
	for n := range places {
		places[n], axis[n] = from.Add(to.Sub(from).Mul(float64(n)/float64(count))), math.Inf(-1)
		for j := -reach; j <= reach; j++ {
			for i := -reach; i <= reach; i++ {
				off := mgl64.Vec2{float64(i), float64(j)}.Mul(spacing)
				if left := roll.Radius*roll.Radius - off.LenSqr(); left > 0 {
					axis[n] = max(axis[n], frame(places[n].Add(off))+math.Sqrt(left))
				}
			}
		}
	}
	return func(p mgl64.Vec2) float64 {
		lowest := math.Inf(1)
		for n, place := range places {
			if left := roll.Radius*roll.Radius - p.Sub(place).LenSqr(); left > 0 {
				lowest = min(lowest, axis[n]-math.Sqrt(left))
			}
		}
		return lowest
	}
}

// Minimal skin pressed into a groove: the same energy on another mesh, minimised by
// a general-purpose optimiser.
func TestAnotherMeshAndOptimiserAgreeUnderARoll(t *testing.T) {
	roll := straight(3.5, mgl64.Vec2{1, -12}, mgl64.Vec2{-1.5, 12})
	f := newFan(tray, mgl64.Vec2{14, 24}, mgl64.Vec2{25, 35}, 26, 14, 64)
	roof := roofOf(tray, roll, 0.1)
	for k, p := range f.places {
		f.roof = append(f.roof, max(roof(p), f.top[k]))
	}
	energy, u := f.minimise(t, 0)
	pressed := 0
	for k := range f.fixed {
		require.LessOrEqual(t, u[k], f.roof[k]+0.01, "the spring holds the skin under the roll")
		if u[k] > f.roof[k]-0.01 && f.top[k] < f.roof[k]-0.05 {
			pressed++
		}
	}
	require.Greater(t, pressed, 20, "nodes under the roll and off the floor")

	c := Case{Frame: formula{30, tray}, Pocket: oval{25, 35, 0}, BridgingRadius: math.Inf(1)}
	free, err := Lay(context.Background(), c, Options{})
	require.NoError(t, err)
	c.Rolls = []Roll{roll}
	d, err := Lay(context.Background(), c, Options{})
	require.NoError(t, err)
	ours, without := d.Energies[len(d.Energies)-1], free.Energies[len(free.Energies)-1]
	t.Logf("excess energy: lattice %.3f mm², fan of %d nodes %.3f mm² (%+.2f %%); %.3f mm² without the roll",
		ours, len(f.places), energy, 100*(energy/ours-1), without)
	assert.Greater(t, ours, 1.05*without, "the roll is felt")
	assert.InEpsilon(t, ours, energy, 0.01)
}

// minimise returns the least energy of the fan and its heights, the springs made
// stiffer and stiffer.
func (f *fan) minimise(t *testing.T, pull float64) (energy float64, u []float64) {
	u = make([]float64, f.fixed)
	copy(u, f.top)
	for _, spring := range []float64{1, 10, 100, 1000} { // mm²/mm²
		problem := optimize.Problem{
			Func: func(x []float64) float64 { return f.energy(x, nil, pull, spring) },
			Grad: func(gradient, x []float64) { f.energy(x, gradient, pull, spring) },
		}
		result, err := optimize.Minimize(problem, u,
			&optimize.Settings{MajorIterations: 600, GradientThreshold: 1e-4}, &optimize.LBFGS{Store: 20})
		require.NoError(t, err)
		u, energy = result.X, result.F
	}
	return energy, u
}

// A roll in a groove with room for it comes down to the floor; in a narrower one it
// stops on the edges of the walls, by Pythagoras √(R²−w²) below its axis.
func TestARollComesDownAsFarAsTheGrooveIsWide(t *testing.T) {
	const depth = 4.0
	for _, half := range []float64{1.9, 2.7, 3.3} {
		walls := func(x float64) float64 {
			if math.Abs(x) <= half {
				return 0
			}
			return depth
		}
		const radius, turned = 3.0, 0.4
		d := onStep(t, Case{
			Frame: strip(10, 26, turned, walls), Pocket: boxPocket{20, 36, turned},
			Rolls: []Roll{straight(radius, turn(mgl64.Vec2{0, -15}, turned), turn(mgl64.Vec2{0, 15}, turned))},
		}, 0, defaultStep)
		want, resting := 0.0, 1.0
		if half < radius {
			want, resting = depth-(radius-math.Sqrt(radius*radius-half*half)), 0
		}
		p := d.Pressed()[0]
		t.Logf("half as wide as %.1f mm: stands %.3f mm over the floor, by Pythagoras %.3f", half, p.Stands, want)
		// Edges of walls are known to a tenth of a step or so, and the ball is steep there.
		assert.InDelta(t, want, p.Stands, 0.06)
		assert.InDelta(t, resting, p.Resting, 0.02)
		assert.InDelta(t, want, d.Height(mgl64.Vec2{}), 0.06)
	}
}

// Between frame and rolls the skin is kept at every node; every iteration lowers the
// energy, from a poor start without coarse grids; and plain relaxation, the slow and
// obvious way, ends in the same place.
func TestSkinIsKeptBetweenFrameAndRolls(t *testing.T) {
	c := rolled(0.3)
	for _, pull := range []float64{0, 1. / 9} {
		s, err := spanOf(c.Pocket, 0.8, 3)
		require.NoError(t, err)
		l, err := newLattice(context.Background(), s, 3, c, expected{})
		require.NoError(t, err)
		start := make([]float64, len(l.free))
		for k := range start {
			start[k] = 20 * math.Abs(math.Sin(float64(k))) // jagged
		}
		answer, err := l.settle(context.Background(), start, pull, limits{1e-7, 200})
		require.NoError(t, err)
		for n := 1; n < len(answer.energies); n++ {
			require.LessOrEqual(t, answer.energies[n], answer.energies[n-1]*(1+1e-14), "iteration %d", n)
		}
		under := 0
		for k, height := range answer.u {
			if l.free[k] {
				require.GreaterOrEqual(t, height, l.lower[k])
				require.LessOrEqual(t, height, l.upper[k])
				if height == l.upper[k] && height > l.lower[k] {
					under++
				}
			}
		}
		assert.Greater(t, under, 10, "nodes under a roll and off the frame")
		relaxed, sweeps := plainRelaxation(l, pull, 1e-9, 100000)
		t.Logf("pull %.3f /mm: %d iterations, %d sweeps, %d nodes under rolls", pull, answer.iterations, sweeps, under)
		assert.InDeltaSlice(t, relaxed, answer.u, 1e-4)
	}
}

// Taken off, rolls leave the skin as it lies without them.
func TestReleasedSkinLiesAsWithoutRolls(t *testing.T) {
	with, without := rolled(0.3), earlike(0.3)
	d, err := Lay(context.Background(), with, Options{Finest: defaultStep})
	require.NoError(t, err)
	free, err := Lay(context.Background(), without, Options{Finest: defaultStep})
	require.NoError(t, err)
	released, err := d.Released(context.Background(), 1e-3)
	require.NoError(t, err)
	assert.Greater(t, d.DrapeArea, free.DrapeArea+1, "rolls ask for skin")
	assert.InEpsilon(t, free.DrapeArea, released.DrapeArea, 0.001)
	// Nodes are drawn to walls as the skin before lay on them.
	assert.InDelta(t, free.PeakDepth().Height, released.PeakDepth().Height, 0.01)
	again, err := d.Again(context.Background(), with.BridgingRadius)
	require.NoError(t, err)
	assert.InEpsilon(t, d.DrapeArea, again.DrapeArea, 0.001, "the rolls stay on")
	assert.Empty(t, released.Pressed())
}

func TestRollsThatCannotBeLaidAreRefused(t *testing.T) {
	for name, roll := range map[string]Roll{
		"no radius":  straight(0, mgl64.Vec2{}, mgl64.Vec2{1, 0}),
		"NaN radius": straight(math.NaN(), mgl64.Vec2{}, mgl64.Vec2{1, 0}),
		"a point":    straight(2, mgl64.Vec2{}),
		"nowhere":    straight(2, mgl64.Vec2{}, mgl64.Vec2{math.NaN(), 0}),
		"far off":    straight(2, mgl64.Vec2{}, mgl64.Vec2{1e9, 0}),
	} {
		c := earlike(0)
		c.Rolls = []Roll{roll}
		_, err := Lay(context.Background(), c, Options{})
		assert.Error(t, err, name)
	}
	// No length, or beside the pocket: nothing is pressed, nothing breaks.
	for _, at := range []mgl64.Vec2{{0, 0}, {200, 0}} {
		c := earlike(0)
		c.Rolls = []Roll{straight(2, at, at)}
		_, err := Lay(context.Background(), c, Options{})
		assert.NoError(t, err)
	}
}
