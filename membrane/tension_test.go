package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// under lays at one step only, tightly, beginning to look at a radius, mm.
func under(t *testing.T, c Case, s Suction, start, step float64) *Drape {
	t.Helper()
	b := &Balance{Suction: s, slope: guessedSlope, next: start}
	drape, err := lay(context.Background(), c, 0, b, Options{Step: step, Finest: step, Tolerance: 1e-5})
	require.NoError(t, err)
	return drape
}

// Between rigid edges a strip of membrane hangs as a cylinder of radius T/p and a
// disc as a cap of a sphere of radius 2T/p (Laplace): over a gap of half width a the
// one sags by R − √(R² − a²). Twice the suction is half the radius where the skin
// has its natural tension alone.
func TestSkinBetweenRigidEdgesHangsAsThePressureOverTheTension(t *testing.T) {
	const half, height, rim = 4.0, 4.0, 12.0
	slot := formula{rim, func(p mgl64.Vec2) float64 {
		if math.Abs(p[0]) < half || math.Abs(p[0]) > rim/2 || math.Abs(p[1]) > 40 {
			return 0
		}
		return height
	}}
	slot.reach = 40
	hole := formula{rim, func(p mgl64.Vec2) float64 {
		if r := p.Len(); r < half || r > rim/2 {
			return 0
		}
		return height
	}}
	for _, pressure := range []float64{3, 6} {
		s := Suction{Pressure: pressure, Natural: 13.5, Thickness: 2}
		radius := 27 / pressure // T/p with T = 27 N/m
		long := under(t, Case{Frame: slot, Pocket: boxPocket{20, 60, 0}}, s, 5, defaultStep)
		round := under(t, Case{Frame: hole, Pocket: roundPocket{radius: 20}}, s, 5, defaultStep)
		for _, c := range []struct {
			name   string
			drape  *Drape
			radius float64
		}{{"strip", long, radius}, {"disc", round, 2 * radius}} {
			assert.InEpsilon(t, radius, c.drape.BridgingRadius(), 1e-4, c.name)
			sag := c.radius - math.Sqrt(c.radius*c.radius-half*half)
			t.Logf("%s at %g kPa: sags by %.4f mm, closed form %.4f", c.name, pressure, height-c.drape.Height(mgl64.Vec2{}), sag)
			assert.InEpsilon(t, sag, height-c.drape.Height(mgl64.Vec2{}), 0.02, c.name)
		}
	}
}

// bisected returns where a falling function crosses 0.
func bisected(low, high float64, f func(x float64) float64) float64 {
	for range 100 {
		if middle := (low + high) / 2; f(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// A taut string over a half cylinder of radius 1, drawn in by suction: from the
// anchor at (L, 0) to where it touches the cylinder it is an arc of radius R, whose
// centre lies 1 + R from the cylinder's. Its length gives the strain, the strain the
// tension, and that the radius: solved by halving. The ends of a strip of skin are no
// string, and their share falls with its length: two lengths tell what an endless one
// would do.
func TestBalanceOverAHalfCylinderIsThatOfATautString(t *testing.T) {
	const cylinder, anchor = 6.0, 15.0
	s := Suction{Pressure: 2, Natural: 13.5, Modulus: 129, Thickness: 1.5}
	stretch := func(radius float64) float64 {
		x := (anchor*anchor + cylinder*cylinder + 2*cylinder*radius) / (2 * anchor)
		z := math.Sqrt((cylinder+radius)*(cylinder+radius) - x*x)
		arc := math.Atan2(x, z) - math.Atan2(x-anchor, z)
		require.Less(t, anchor, x+1e-9+2*anchor, "the arc comes down on the anchor, not on the bed")
		return (cylinder*math.Atan2(x, z) + radius*arc) / anchor
	}
	want := bisected(1, 100, func(radius float64) float64 { return s.Radius(stretch(radius)-1) - radius })
	var found [2]float64
	for n, length := range []float64{120, 240} {
		d := under(t, Case{
			Frame:  strip(cylinder, length/2-4, 0, func(x float64) float64 { return math.Sqrt(max(cylinder*cylinder-x*x, 0)) }),
			Pocket: boxPocket{anchor, length / 2, 0},
		}, s, 8, 2*defaultStep)
		found[n] = d.BridgingRadius()
		assert.InDelta(t, d.Balance.Suction.Radius(d.SkinDemand()-1), d.BridgingRadius(), 2e-4*found[n], "it agrees with "+
			"itself")
	}
	endless := 2*found[1] - found[0]
	t.Logf("bridging radius %.3f mm, by hand %.3f (%.3f and %.3f with their ends)", endless, want, found[0], found[1])
	assert.InEpsilon(t, want, endless, 0.01)
}

// Around a low plateau in a disc the skin is a linear membrane under suction:
// u = A + B ln r + r²/4R, whose area exceeds the disc's by ½∫|∇u|². Flaps count as
// pocket, and skin that is left over is not pressed together.
func TestBalanceAroundAPlateauIsThatOfALinearMembrane(t *testing.T) {
	const inner, outer, height = 10.0, 30.0, 8 * small
	area := math.Pi * outer * outer
	excess := func(radius float64) float64 {
		log, ring := math.Log(outer/inner), outer*outer-inner*inner
		b := -(height + ring/(4*radius)) / log
		return math.Pi * (b*b*log + b*ring/(2*radius) + ring*(outer*outer+inner*inner)/(16*radius*radius))
	}
	c := Case{Frame: round(mgl64.Vec2{}, inner, plateau(inner, height)), Pocket: roundPocket{radius: outer}}
	for _, extra := range []float64{0, 0.02, 1} { // mm²
		s := Suction{Pressure: 0.015, Natural: 13.5, Modulus: 4e5, Thickness: 2, Extra: extra}
		want := bisected(10, 1e5, func(radius float64) float64 {
			return s.Radius(max((area+excess(radius))/(area+extra)-1, 0)) - radius
		})
		require.Greater(t, want, 1500.0, "the skin touches the bed nowhere")
		d := under(t, c, s, 2000, defaultStep)
		t.Logf("flaps %g mm²: radius %.1f mm, by hand %.1f; strain %.3g", extra, d.BridgingRadius(), want, d.Balance.Strain)
		assert.InEpsilon(t, want, d.BridgingRadius(), 0.005)
	}
}

// There is one radius that agrees with its own drape, wherever it is looked for
// from, and laying the skin with it gives that drape; but for nodes that are drawn to
// the walls as the skin lay on coarser grids.
func TestBalanceIsTheSameFromThreeStarts(t *testing.T) {
	c := earlike(0.3)
	s := Suction{Pressure: 15.68, Natural: 13.5, Modulus: 129, Thickness: 2}
	var first *Drape
	for _, start := range []float64{0.3, 6, 300} {
		d := under(t, c, s, start, defaultStep)
		require.LessOrEqual(t, math.Abs(d.Balance.Residual), 1e-4*d.BridgingRadius())
		if first == nil {
			first = d
		}
		t.Logf("from %g mm: %.5f mm in %d steps, off by %.1e "+
			"mm", start, d.BridgingRadius(), d.Balance.Steps, d.Balance.Residual)
		assert.InEpsilon(t, first.BridgingRadius(), d.BridgingRadius(), 1e-3)
		assert.Less(t, d.Balance.Steps, 20)
	}
	c.BridgingRadius = first.BridgingRadius()
	given, err := Lay(t.Context(), c, Options{Step: defaultStep, Finest: defaultStep})
	require.NoError(t, err)
	assert.InEpsilon(t, given.DrapeArea, first.DrapeArea, 1e-4)
}

// Another suction laid from a drape is what is laid anew, and no suction has no end
// of a radius.
func TestAnotherSuctionFromADrapeIsAsLaidAnew(t *testing.T) {
	c := earlike(0.3)
	s := Suction{Pressure: 15.68, Natural: 13.5, Modulus: 129, Thickness: 2}
	d, err := LayUnder(t.Context(), c, s, Options{})
	require.NoError(t, err)
	for _, change := range []func(s *Suction){
		func(s *Suction) { s.Pressure /= 2 }, func(s *Suction) { s.Pressure = 0 },
		func(s *Suction) { s.Natural += 5 }, func(s *Suction) { s.Natural -= 5 },
	} {
		other := s
		change(&other)
		again, err := d.AgainUnder(t.Context(), other, 1e-3)
		require.NoError(t, err)
		anew, err := LayUnder(t.Context(), c, other, Options{})
		require.NoError(t, err)
		assert.InEpsilon(t, anew.DrapeArea, again.DrapeArea, 2e-3, "%+v", other)
		if other.Pressure == 0 {
			assert.True(t, math.IsInf(again.BridgingRadius(), 1) && math.IsInf(anew.BridgingRadius(), 1))
			continue
		}
		assert.InEpsilon(t, anew.BridgingRadius(), again.BridgingRadius(), 0.01, "%+v", other)
	}
	assert.Equal(t, d.Heights, func() []float64 {
		same, err := LayUnder(t.Context(), c, s, Options{})
		require.NoError(t, err)
		return same.Heights
	}(), "what is laid from a drape leaves it as it is")
}

func TestSuctionThatCannotBeIsRefused(t *testing.T) {
	good := Suction{Pressure: 15, Natural: 13.5, Modulus: 129, Thickness: 2}
	for name, spoil := range map[string]func(s *Suction){
		"suction":                     func(s *Suction) { s.Pressure = -1 },
		"natural tension of the skin": func(s *Suction) { s.Natural = 0 },
		"modulus of the skin":         func(s *Suction) { s.Modulus = math.NaN() },
		"thickness of the skin":       func(s *Suction) { s.Thickness = math.Inf(1) },
		"skin brought in":             func(s *Suction) { s.Extra = -1 },
	} {
		bad := good
		spoil(&bad)
		_, err := LayUnder(t.Context(), earlike(0), bad, Options{})
		var value *ValueError
		require.ErrorAs(t, err, &value, name)
		assert.Equal(t, name, value.Name)
	}
}
