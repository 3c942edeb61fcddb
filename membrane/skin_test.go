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

// surface samples a height on a grid about the origin.
func surface(half, step float64, height func(p mgl64.Vec2) float64) (Grid, []float64) {
	count := 2*int(half/step) + 1
	g := Grid{mgl64.Vec2{-half, -half}, step, count, count}
	heights := make([]float64, count*count)
	for k := range heights {
		heights[k] = height(g.Place(k))
	}
	return g, heights
}

// Skin of thickness t over a plane of slope m lies t√(1+m²) above it, measured
// upward, by elementary geometry.
func TestSkinOverASlopeIsThickerUpward(t *testing.T) {
	for _, slope := range []mgl64.Vec2{{0, 0}, {1, 0}, {0.3, -2}, {-4, 3}} {
		g, u := surface(12, 0.4, func(p mgl64.Vec2) float64 { return slope.Dot(p) })
		const thickness = 2
		top, err := Dilate(context.Background(), g, u, thickness)
		require.NoError(t, err)
		for k := range top {
			if p := g.Place(k); max(math.Abs(p[0]), math.Abs(p[1])) < 12-thickness-0.4 {
				require.InDelta(t, u[k]+thickness*math.Sqrt(1+slope.LenSqr()), top[k], 1e-9, "at %v on slope %v", p, slope)
			}
		}
	}
}

// Skin of thickness t over a ball of radius r is a ball of radius r + t.
func TestSkinOverABallIsALargerBall(t *testing.T) {
	for _, step := range []float64{0.4, 0.2} {
		const radius, thickness = 9, 2
		g, u := surface(12, step, func(p mgl64.Vec2) float64 {
			if p.Len() > radius {
				return math.Inf(-1)
			}
			return math.Sqrt(radius*radius - p.LenSqr())
		})
		top, err := Dilate(context.Background(), g, u, thickness)
		require.NoError(t, err)
		worst := 0.0
		for k := range top {
			if r := g.Place(k).Len(); r < 8 {
				worst = max(worst, math.Abs(top[k]-math.Sqrt((radius+thickness)*(radius+thickness)-r*r)))
			}
		}
		// A triangle over a cell lies s²/4r below the ball where that is level;
		// on its side chords are longer by 1/cos, squared, and upward is longer
		// than along the normal by another.
		cosine := math.Sqrt(1 - 64./(radius+thickness)/(radius+thickness))
		bound := step * step / 4 / radius / math.Pow(cosine, 3)
		t.Logf("step %g mm: worst %.5f mm, bound %.5f mm", step, worst, bound)
		assert.Less(t, worst, bound)
	}
}

// The volume and the area of a convex body's skin follow Steiner's formula,
// V(r) = V + Sr + Mr² + 4πr³/3 (Schneider, Convex Bodies, ch. 4, from memory;
// numbers computed in double precision). Half of the body stands on the grid,
// its middle plane at height 0, so half of the volume lies under the envelope.
func TestSkinOverAPlateFollowsSteiner(t *testing.T) {
	box := func(p mgl64.Vec2) bool { return math.Abs(p[0]) <= 30+1e-9 && math.Abs(p[1]) <= 17.5+1e-9 }
	ellipse := func(p mgl64.Vec2) bool { return p[0]*p[0]/900+p[1]*p[1]/289 <= 1 }
	for _, c := range []struct {
		name      string
		within    func(p mgl64.Vec2) bool
		half      float64 // thickness of the half body, mm
		radius    float64
		footprint float64 // of the body with skin, mm²: the plane's formula
		volume    float64 // of the whole body with skin, mm³
	}{
		{"box 60 × 35 × 8, r = 1", box, 4, 1, 2100 + 190 + math.Pi, 22847.772834},
		{"box 60 × 35 × 8, r = 2", box, 4, 2, 2100 + 380 + 4*math.Pi, 29567.846495},
		{"elliptic plate 60 × 34 × 3, r = 1", ellipse, 1.5, 1, 1755.846562, 8712.546388},
		{"elliptic plate 60 × 34 × 3, r = 2", ellipse, 1.5, 2, 1915.764056, 13135.225123},
	} {
		var errs [2]float64
		for n, step := range []float64{0.5, 0.25} {
			g, u := surface(34, step, func(p mgl64.Vec2) float64 {
				if c.within(p) {
					return c.half
				}
				return math.Inf(-1)
			})
			top, err := Dilate(context.Background(), g, u, c.radius)
			require.NoError(t, err)
			over := 0.0
			for _, height := range top {
				over += max(height-c.half, 0) * step * step
			}
			errs[n] = 2*(over+c.half*c.footprint)/c.volume - 1
		}
		t.Logf("%s: %+.4f %% at 0.5 mm, %+.4f %% at 0.25 mm", c.name, 100*errs[0], 100*errs[1])
		assert.Less(t, math.Abs(errs[1]), 0.005, c.name)
	}
}

// areaOver returns the area of a graph over a ring about a centre, the cells on
// its edges counted by places in them.
func areaOver(g Grid, heights []float64, centre mgl64.Vec2, inner, outer float64) float64 {
	const parts = 8
	area, per := 0.0, 1/g.Step
	for k := range len(heights) - g.Columns - 1 {
		a, b, c, d := heights[k], heights[k+1], heights[k+g.Columns], heights[k+g.Columns+1]
		inside := 0
		middle := g.Place(k).Add(mgl64.Vec2{g.Step, g.Step}.Mul(0.5)).Sub(centre).Len()
		if middle < inner-g.Step || middle > outer+g.Step {
			continue
		}
		for n := range parts * parts {
			at := mgl64.Vec2{float64(n%parts) + 0.5, float64(n/parts) + 0.5}.Mul(g.Step / parts)
			if r := g.Place(k).Add(at).Sub(centre).Len(); r > inner && r < outer {
				inside++
			}
		}
		if inside == 0 {
			continue
		}
		share := g.Step * g.Step * float64(inside) / (parts * parts) / 4
		for _, x := range [2]float64{(b - a) * per, (d - c) * per} {
			for _, y := range [2]float64{(c - a) * per, (d - b) * per} {
				area += share * math.Sqrt(1+x*x+y*y)
			}
		}
	}
	return area
}

// Steiner's formula for the area of a parallel surface, A(t) = A + 2Mt + Gt² with
// M the integral of the mean curvature and G of the Gaussian one (Schneider,
// Convex Bodies, ch. 4, from memory), in closed form for parts of a sphere and a
// torus that are nowhere steeper than 45°: on both, M and G make of the radius ρ
// a radius ρ + t.
func TestAreaOfSkinOverRoundBodiesFollowsSteiner(t *testing.T) {
	const radius, ring = 9., 16.
	slant := math.Sin(math.Pi / 4)
	for _, thickness := range []float64{1, 2, 3} {
		larger := radius + thickness
		for _, c := range []struct {
			name         string
			height       func(r float64) float64
			inner, outer float64
			area         float64
		}{
			{"ball", func(r float64) float64 { return math.Sqrt(radius*radius - r*r) },
				-1, slant * larger, 2 * math.Pi * larger * larger * (1 - math.Cos(math.Pi/4))},
			{"torus", func(r float64) float64 { return math.Sqrt(radius*radius - (r-ring)*(r-ring)) },
				ring - slant*larger, ring + slant*larger, math.Pi * math.Pi * ring * larger},
		} {
			var errs [2]float64
			for n, step := range []float64{0.4, 0.2} {
				g, u := surface(ring+radius+1, step, func(p mgl64.Vec2) float64 {
					if height := c.height(p.Sub(offLattice).Len()); !math.IsNaN(height) {
						return height
					}
					return math.Inf(-1)
				})
				top, err := Dilate(context.Background(), g, u, thickness)
				require.NoError(t, err)
				errs[n] = areaOver(g, top, offLattice, c.inner, c.outer)/c.area - 1
			}
			t.Logf("%s, skin of %g mm: area %+.4f %% at 0.4 mm, %+.4f %% at 0.2 mm", c.name, thickness, 100*errs[0], 100*errs[1])
			assert.Less(t, math.Abs(errs[0]), 0.002, c.name)
			assert.Less(t, math.Abs(errs[1]), 0.001, c.name)
		}
	}
}

// From the plate to the pocket's edge the drape is a catenoid, whose mean
// curvature is 0: the outside of its skin has the area A − 2πt²(cos β − cos α)
// with α and β the slants at its inner and outer rim, cos² = 1 − c²/r².
func TestAreaOfSkinOverACatenoidFollowsSteiner(t *testing.T) {
	const catenary, inner, outer = 4.367625568, 12., 26.
	d := onStep(t, Case{Frame: round(offLattice, 10, plateau(10, 5)), Pocket: roundPocket{offLattice, 30}}, 0, defaultStep)
	upright := func(r float64) float64 { return math.Sqrt(1 - catenary*catenary/r/r) }
	primitive := func(r float64) float64 {
		return (r*math.Sqrt(r*r-catenary*catenary) + catenary*catenary*math.Acosh(r/catenary)) / 2
	}
	for _, thickness := range []float64{1, 2, 4} {
		skin, err := d.Skin(context.Background(), thickness)
		require.NoError(t, err)
		// A place at radius r is carried outward by the slant of its normal.
		from, to := inner+thickness*catenary/inner, outer+thickness*catenary/outer
		want := 2 * math.Pi * (primitive(outer) - primitive(inner) - thickness*thickness*(upright(outer)-upright(inner)))
		flat := math.Pi * (to*to - from*from)
		got := areaOver(skin.Grid, skin.Heights, offLattice, from, to)
		t.Logf("skin of %g mm: area %.3f mm², closed form %.3f mm², flat %.3f mm²", thickness, got, want, flat)
		assert.InEpsilon(t, want, got, 1e-4)
		assert.InEpsilon(t, want-flat, got-flat, 0.005, "what the slopes add")
	}
}

// The slow, obvious way: balls on a dense sampling of the surface.
func TestSkinMeetsBallsPutEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const count, dense = 9, 8
		g := Grid{Step: rapid.SampledFrom([]float64{0.4, 1}).Draw(t, "step"), Columns: count, Rows: count}
		radius := rapid.Float64Range(0.3, 2.5).Draw(t, "radius")
		rough := rapid.SampledFrom([]float64{0, 0.1, 1, 6}).Draw(t, "rough")
		u := make([]float64, count*count)
		for k := range u {
			u[k] = rough * rapid.Float64Range(0, 1).Draw(t, "height")
			if rapid.IntRange(0, 30).Draw(t, "hole") == 0 {
				u[k] = math.Inf(-1)
			}
		}
		top, err := Dilate(context.Background(), g, u, radius)
		if err != nil {
			t.Fatal(err)
		}
		e := &envelope{Grid: g, u: u}
		slow := make([]float64, len(u))
		for k := range slow {
			slow[k] = math.Inf(-1)
		}
		for j := range (count-1)*dense + 1 {
			for i := range (count-1)*dense + 1 {
				x, y := float64(i)/dense, float64(j)/dense
				height := onTriangles(e, x, y)
				for k := range slow {
					p := g.Place(k)
					if rest := radius*radius - p.Sub(mgl64.Vec2{x, y}.Mul(g.Step)).LenSqr(); rest >= 0 {
						slow[k] = max(slow[k], height+math.Sqrt(rest))
					}
				}
			}
		}
		for k := range top {
			if top[k] < slow[k]-1e-9 {
				t.Fatalf("node %d: %g lies below a ball at %g", k, top[k], slow[k])
			}
			// A dense sample is at most half a dense step away from where the
			// envelope's ball lies; allow for its slope there.
			if g.Step == 0.4 && radius > 1 && rough < 1 && top[k] > slow[k]+0.03 && !math.IsInf(slow[k], -1) && interior(k, count) {
				t.Fatalf("node %d: %g lies above every ball, %g", k, top[k], slow[k])
			}
		}
	})
}

func interior(k, count int) bool {
	i, j := k%count, k/count
	return i > 2 && j > 2 && i < count-3 && j < count-3
}

// onTriangles returns the surface's height at grid units (x, y), −Inf off it.
func onTriangles(e *envelope, x, y float64) float64 {
	i, j := min(int(x), e.Columns-2), min(int(y), e.Rows-2)
	fx, fy := x-float64(i), y-float64(j)
	k := j*e.Columns + i
	a, b, c, d := e.u[k], e.u[k+1], e.u[k+e.Columns], e.u[k+e.Columns+1]
	if math.IsInf(a+b+c+d, -1) {
		switch {
		case fx == 0 && fy == 0:
			return a
		case fx == 1 && fy == 0:
			return b
		case fx == 0 && fy == 1:
			return c
		case fx == 1 && fy == 1:
			return d
		}
		return math.Inf(-1)
	}
	switch {
	case e.split(k) && fy <= fx:
		return a + fx*(b-a) + fy*(d-b)
	case e.split(k):
		return a + fy*(c-a) + fx*(d-c)
	case fx+fy <= 1:
		return a + fx*(b-a) + fy*(c-a)
	}
	return d + (1-fx)*(c-d) + (1-fy)*(b-d)
}

// Untouched surroundings carry skin of its own thickness, and the skin over a
// wide plateau stands that much above it.
func TestSkinStandsItsThicknessOverFrameAndBed(t *testing.T) {
	d, err := Lay(context.Background(), Case{Frame: round(offLattice, 10, plateau(10, 5)), Pocket: roundPocket{offLattice, 30}, BridgingRadius: math.Inf(1)}, Options{})
	require.NoError(t, err)
	skin, err := d.Skin(context.Background(), 2)
	require.NoError(t, err)
	assert.InDelta(t, 2, skin.Heights[0], 1e-12)
	middle := d.Grid.Rows/2*d.Grid.Columns + d.Grid.Columns/2
	require.Less(t, d.Grid.Place(middle).Len(), 5.0)
	assert.InDelta(t, 7, skin.Heights[middle], 1e-9)
	assert.InDelta(t, 7, skin.Height(offLattice), 1e-9)
	assert.InDelta(t, 2, skin.Height(mgl64.Vec2{1000, 0}), 1e-12)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err := d.Skin(context.Background(), bad)
		var value *ValueError
		require.ErrorAs(t, err, &value)
	}
}

// Skin lying flat has the pocket's area; over a plate in a taut catenoid its
// volume is more by what the plate and the dead space hold, and some for the
// slope.
func TestSkinAreaAndVolumeAreThoseOverThePocket(t *testing.T) {
	d, err := Lay(context.Background(), Case{Frame: flatFrame(), Pocket: roundPocket{offLattice, 30}, BridgingRadius: 5}, Options{})
	require.NoError(t, err)
	skin, err := d.Skin(context.Background(), 2)
	require.NoError(t, err)
	assert.InEpsilon(t, d.PocketArea, skin.Area(), 1e-9)
	assert.InEpsilon(t, 2*d.PocketArea, skin.Volume(), 1e-9)

	// A shallow dome clinging everywhere, a spherical cap of radius ρ from its
	// rim at a: the skin's outside over it is a cap of radius ρ + t.
	const sphere, rim, thickness = 40., 20., 2.
	dome := round(offLattice, rim, func(r float64) float64 {
		return math.Sqrt(sphere*sphere-min(r, rim)*min(r, rim)) - math.Sqrt(sphere*sphere-rim*rim)
	})
	d, err = Lay(context.Background(), Case{Frame: dome, Pocket: roundPocket{offLattice, rim}, BridgingRadius: 1}, Options{})
	require.NoError(t, err)
	skin, err = d.Skin(context.Background(), thickness)
	require.NoError(t, err)
	big := sphere + thickness
	drop := math.Sqrt(sphere*sphere - rim*rim)
	area := 2 * math.Pi * big * (big - math.Sqrt(big*big-rim*rim))
	volume := 2*math.Pi/3*(big*big*big-math.Pow(big*big-rim*rim, 1.5)) - math.Pi*rim*rim*drop
	t.Logf("area %.2f mm², closed form %.2f; volume %.1f mm³, closed form %.1f", skin.Area(), area, skin.Volume(), volume)
	assert.InEpsilon(t, area, skin.Area(), 0.002)
	assert.InEpsilon(t, volume, skin.Volume(), 0.002)
}

func BenchmarkSkin(b *testing.B) {
	for _, step := range []float64{0.8, 0.4, 0.2} {
		d, err := Lay(context.Background(), earlike(0.3), Options{Step: step, Finest: step})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(number(step), func(b *testing.B) {
			for b.Loop() {
				if _, err := d.Skin(context.Background(), 2); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
