package membrane

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strip is a long frame of one section, along y, turned by an angle.
func strip(reach, halfLength, turned float64, section func(x float64) float64) formula {
	return formula{math.Hypot(reach, halfLength), func(p mgl64.Vec2) float64 {
		p = turn(p, -turned)
		if math.Abs(p[1]) > halfLength || math.Abs(p[0]) > reach {
			return 0
		}
		return section(p[0])
	}}
}

// A taut string over a half cylinder of radius 1 anchored at ±L:
// length 2(√(L²−1) + π/2 − arccos(1/L)), by elementary geometry; and over a
// step of height h at distance d from its anchor: stretch √(1 + (h/d)²).
func TestSkinAcrossALongFrameIsATautString(t *testing.T) {
	const radius = 8.0
	halfCylinder := func(x float64) float64 { return math.Sqrt(max(radius*radius-x*x, 0)) }
	plate := func(half, height float64) func(x float64) float64 {
		return func(x float64) float64 {
			if math.Abs(x) > half {
				return 0
			}
			return height
		}
	}
	for _, c := range []struct {
		name    string
		section func(x float64) float64
		reach   float64
		anchor  float64 // half the pocket's width
		from    float64 // section measured from here to the anchor
		want    float64
	}{
		{"half cylinder, L = 1.5", halfCylinder, radius, 1.5 * radius, -1.5 * radius, 1.231841},
		{"half cylinder, L = 2", halfCylinder, radius, 2 * radius, -2 * radius, 1.127825},
		{"half cylinder, L = 3", halfCylinder, radius, 3 * radius, -3 * radius, 1.056088},
		{"step of 8 at 10", plate(6.1, 8), 6.1, 16.1, 6.1, 1.2806},
		{"step of 8 at 8", plate(6.1, 8), 6.1, 14.1, 6.1, 1.4142},
	} {
		for _, degrees := range []float64{0, 30} {
			turned := degrees * math.Pi / 180
			const halfLength = 60.0
			d := onStep(t, Case{
				Frame:  strip(c.reach, halfLength-4, turned, c.section),
				Pocket: boxPocket{c.anchor, halfLength, turned},
			}, 0, defaultStep)
			got, err := d.SectionStretch(turn(mgl64.Vec2{c.from, 0.1}, turned), turn(mgl64.Vec2{c.anchor, 0.1}, turned))
			require.NoError(t, err)
			t.Logf("%s, grid turned by %g°: stretch %.6f, closed form %.6f", c.name, degrees, got, c.want)
			assert.InEpsilon(t, c.want, got, 0.005, c.name)
		}
	}
}

// Beside a long plate of height h the skin meets the bed in an arc of radius R:
// seen from the plate's edge, u(x) = R − √(R² − (m − x)²) up to
// m = √(R² − (R−h)²), by elementary geometry.
func TestSuctionBendsSkinToTheBridgingRadius(t *testing.T) {
	const height, half = 3.0, 6.1
	plate := func(x float64) float64 {
		if math.Abs(x) > half {
			return 0
		}
		return height
	}
	for _, bridging := range []float64{4, 8} {
		for _, turned := range []float64{0, 0.5} {
			d := onStep(t, Case{Frame: strip(half, 30, turned, plate), Pocket: boxPocket{half + 14, 42, turned}}, 1/bridging, defaultStep)
			meets := math.Sqrt(bridging*bridging - (bridging-height)*(bridging-height))
			worst := 0.0
			for x := 0.0; x < 12; x += 0.1 {
				left := max(meets-x, 0)
				want := bridging - math.Sqrt(bridging*bridging-left*left)
				worst = max(worst, math.Abs(d.Height(turn(mgl64.Vec2{half + x, 0.3}, turned))-want))
			}
			t.Logf("bridging radius %g mm, turned by %g: worst difference from the arc %.4f mm", bridging, turned, worst)
			// Straight pieces of one step under a curve of second derivative
			// (1 + u'²)^(3/2)/R, steepest at the plate; and half as much again
			// for the diagonal of a turned cell.
			steepest := math.Pow(bridging/(bridging-height), 3) / bridging
			assert.Less(t, worst, 1.5*defaultStep*defaultStep/8*steepest)
		}
	}
}

// earlike is a plate with a tall rim round part of it, an oblong in an oblong
// pocket; nothing in it is aligned with anything.
func earlike(turned float64) Case {
	frame := formula{32, func(p mgl64.Vec2) float64 {
		p = turn(p, -turned)
		x, y := p[0]/15.3, p[1]/27.1
		r := x*x + y*y
		switch {
		case r > 1:
			return 0
		case r > 0.72 && p[0] > -7:
			return 8
		case math.Abs(p[0]-1) < 2.5 && math.Abs(p[1]) < 14:
			return 5.5
		}
		return 3
	}}
	return Case{Frame: frame, Pocket: oval{25.3, 37.1, turned}, BridgingRadius: 9}
}

// oval is an ellipse; its distance is the usual first-order one, f/|∇f|, which
// is 0 on the edge and right beside it.
type oval struct{ a, b, turned float64 }

func (o oval) Bounds() (lo, hi mgl64.Vec2) {
	s, c := math.Sincos(o.turned)
	corner := mgl64.Vec2{math.Hypot(o.a*c, o.b*s), math.Hypot(o.a*s, o.b*c)}
	return corner.Mul(-1), corner
}

func (o oval) Distance(p mgl64.Vec2) float64 {
	p = turn(p, -o.turned)
	x, y := p[0]/o.a, p[1]/o.b
	r := math.Hypot(x, y)
	steep := math.Hypot(x/o.a, y/o.b)
	if r == 0 {
		return -min(o.a, o.b)
	}
	// r − 1 divided by |∇r|, kept to the size that a true distance could have.
	return max((r-1)*r/steep, -min(o.a, o.b))
}

func TestTurningTheGridDoesNotTurnTheAnswer(t *testing.T) {
	var demand, peak, free [2]float64
	for n, degrees := range []float64{0, 30} {
		d, err := Lay(context.Background(), earlike(degrees*math.Pi/180), Options{Step: defaultStep, Finest: defaultStep})
		require.NoError(t, err)
		demand[n], peak[n], free[n] = d.SkinDemand(), d.PeakDepth().Height, d.ContactShares().Free
	}
	t.Logf("skin demand %.6f and %.6f, peak %.4f and %.4f mm, off the frame %.4f and "+
		"%.4f", demand[0], demand[1], peak[0], peak[1], free[0], free[1])
	assert.InEpsilon(t, demand[0]-1, demand[1]-1, 0.01, "the excess over 1, which is the harder test")
	assert.InEpsilon(t, peak[0], peak[1], 0.01)
	assert.InDelta(t, free[0], free[1], 0.01)
}

func TestTheNumberOfCoresDoesNotShow(t *testing.T) {
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	var first *Drape
	for _, cores := range []int{1, 2, 3, 7} {
		runtime.GOMAXPROCS(cores)
		d, err := Lay(context.Background(), rolled(0.4), Options{})
		require.NoError(t, err)
		skin, err := d.Skin(context.Background(), 2)
		require.NoError(t, err)
		if first == nil {
			first = d
			continue
		}
		again, err := first.Skin(context.Background(), 2)
		require.NoError(t, err)
		assert.Equal(t, first.Heights, d.Heights)
		assert.Equal(t, first.Energies, d.Energies)
		assert.Equal(t, first.Refinements, d.Refinements)
		assert.Equal(t, first.Pressed(), d.Pressed())
		assert.Equal(t, again.Heights, skin.Heights)
	}
}

// From a poor start without any coarse grid, every iteration lowers the energy
// or leaves it, and the skin never cuts into the frame.
func TestEnergyNeverRisesAndContactIsKept(t *testing.T) {
	c := earlike(0)
	for _, pull := range []float64{0, 1. / 9, 1. / 2} {
		s, err := spanOf(c.Pocket, defaultStep, 4)
		require.NoError(t, err)
		l, err := newLattice(context.Background(), s, 4, c, expected{})
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
		for k, height := range answer.u {
			if l.free[k] {
				require.GreaterOrEqual(t, height, l.lower[k])
			}
		}
		t.Logf("pull %.3f /mm: energy %.3f to %.6f mm² in %d iterations from a jagged "+
			"start", pull, answer.energies[0], answer.energies[len(answer.energies)-1], answer.iterations)
	}
}

// On the plain grid the answer does not lie below the frame by more than 0.01 mm.
func TestContactIsKeptOnThePlainGrid(t *testing.T) {
	for _, radius := range []float64{math.Inf(1), 9, 3} {
		c := earlike(0.3)
		c.BridgingRadius = radius
		d, err := Lay(context.Background(), c, Options{})
		require.NoError(t, err)
		worst := 0.0
		for k, inside := range d.Inside {
			if inside {
				worst = max(worst, d.Frame[k]-d.Heights[k])
			}
		}
		t.Logf("bridging radius %g mm: deepest cut into the frame %.4f mm; refinements %+v", radius, worst, d.Refinements)
		assert.LessOrEqual(t, worst, 0.01)
	}
}

// The grid is refined until both numbers stand still, and says what it saw.
func TestRefinementGoesOnUntilTheNumbersStand(t *testing.T) {
	c := earlike(0.3)
	c.BridgingRadius = 3
	const first = 2 * defaultStep
	d, err := Lay(context.Background(), c, Options{Step: first})
	require.NoError(t, err)
	count := len(d.Refinements)
	last, before := d.Refinements[count-1], d.Refinements[count-2]
	assert.True(t, d.Resolved)
	assert.Less(t, last.Step, first, "the first step is not enough for this one")
	assert.Equal(t, last.Step, d.Grid.Step)
	assert.Equal(t, before.Step, 2*last.Step)
	assert.LessOrEqual(t, last.DemandChange, defaultChange)
	assert.Greater(t, before.DemandChange, defaultChange)
	assert.InDelta(t, math.Abs(last.SkinDemand-before.SkinDemand)/last.SkinDemand, last.DemandChange, 1e-9)

	d, err = Lay(context.Background(), c, Options{Step: first, Finest: first})
	require.NoError(t, err)
	assert.False(t, d.Resolved, "stopped at the finest step allowed")
}
