package centreline

import (
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/internal/strips"
	"earframe/template"
)

// A lens: pointed at both ends.
func pointed(w float64) func(t float64) float64 {
	return func(t float64) float64 { return 4*w*t*(1-t) + 0.02 }
}

func TestCentrelineLengthIsTheLengthOfTheCurveTheStripWasDrawnAlong(t *testing.T) {
	for name, c := range map[string]struct {
		at    func(t float64) mgl64.Vec2
		width func(t float64) float64
	}{
		"straight bar, 40 mm": {func(t float64) mgl64.Vec2 { return mgl64.Vec2{40 * t, 0} }, strips.Even(6)},
		"short bar, three " +
			"widths": {func(t float64) mgl64.Vec2 { return mgl64.Vec2{5 + 18*t, 3 * t} }, strips.Even(6)},
		"half ring of radius 20":           {strips.Arc(20, 20, 0, math.Pi), strips.Even(5)},
		"three quarters of a ring":         {strips.Arc(15, 15, 0.3, 0.3+1.5*math.Pi), strips.Even(6)},
		"nearly closed ring":               {strips.Arc(20, 20, 0, 1.9*math.Pi), strips.Even(5)},
		"ellipse arc":                      {strips.Arc(30, 17, -1, 2.5), strips.Even(5)},
		"ellipse arc, pointed at the ends": {strips.Arc(30, 17, -1, 2.5), pointed(6)},
		"wedge":                            {func(t float64) mgl64.Vec2 { return mgl64.Vec2{0, 30 * t} }, func(t float64) float64 { return 6 - 5*t }},
	} {
		t.Run(name, func(t *testing.T) {
			line, err := New(strips.Along(c.at, c.width, 400))
			require.NoError(t, err)
			want := strips.Length(c.at)
			assert.InEpsilon(t, want, line.Length(), 0.01)
			forward, turned := 0.0, 0.0
			for i := range 101 {
				f := float64(i) / 100
				p := line.At(f)
				forward = math.Max(forward, nearestCurve(c.at, p))
				turned = math.Max(turned, math.Abs(line.WidthAt(f)-c.width(f)))
			}
			assert.Less(t, forward, 0.25, "mm off the curve")
			t.Logf("length %.3f of %.3f, %.3f mm off", line.Length(), want, forward)
		})
	}
}

func nearestCurve(at func(t float64) mgl64.Vec2, p mgl64.Vec2) float64 {
	best := math.Inf(1)
	for i := range 4001 {
		best = math.Min(best, at(float64(i)/4000).Sub(p).Len())
	}
	return best
}

func TestCurvatureIsPositiveToTheLeft(t *testing.T) {
	const radius = 12.0
	points := make([]mgl64.Vec2, 21)
	for i := range points {
		sin, cos := math.Sincos(float64(i) * 0.01)
		points[i] = mgl64.Vec2{radius * cos, radius * sin}
	}
	assert.InEpsilon(t, 1/radius, Curvature(points), 0.005, "a parabola over a fifth of a radian")
	slices.Reverse(points)
	assert.InEpsilon(t, -1/radius, Curvature(points), 0.005, "a parabola over a fifth of a radian")
	assert.InEpsilon(t, radius, BendRadius(points), 0.005)
	for i := range points {
		points[i] = mgl64.Vec2{float64(i), 2 * float64(i)}
	}
	assert.Zero(t, Curvature(points))
	assert.True(t, math.IsInf(BendRadius(points), 1))
}

func TestLeastRadiusIsThatOfTheTightestBend(t *testing.T) {
	ring, err := New(strips.Along(strips.Arc(20, 20, 0, math.Pi), strips.Even(5), 400))
	require.NoError(t, err)
	radius, _ := ring.LeastRadius()
	assert.InEpsilon(t, 20, radius, 0.03)

	// An ellipse is tightest at the end of its long axis: b²/a.
	ellipse, err := New(strips.Along(strips.Arc(30, 17, -1, 1), strips.Even(3), 400))
	require.NoError(t, err)
	radius, at := ellipse.LeastRadius()
	assert.InEpsilon(t, 17.0*17/30, radius, 0.05)
	assert.InDelta(t, 0.5, at, 0.02)

	bar, err := New(strips.Along(func(t float64) mgl64.Vec2 { return mgl64.Vec2{40 * t, 0} }, strips.Even(6), 10))
	require.NoError(t, err)
	radius, _ = bar.LeastRadius()
	assert.Greater(t, radius, 1000.0)
}

func TestWhatIsNoStripHasNoCentreline(t *testing.T) {
	disc := strips.Along(strips.Arc(5, 5, 0, 2*math.Pi), strips.Even(0), 60)
	disc.Outer = disc.Outer[:60]
	for name, outline := range map[string]template.Outline{
		"square": {Outer: template.Ring{{0, 0}, {10, 0}, {10, 10}, {0, 10}}},
		"disc":   disc,
		"cross": {Outer: template.Ring{
			{-2, -20}, {2, -20}, {2, -2}, {20, -2}, {20, 2}, {2, 2}, {2, 20}, {-2, 20}, {-2, 2}, {-20, 2}, {-20, -2}, {-2, -2},
		}},
		"plate with a " +
			"hole": {Outer: template.Ring{{0, 0}, {40, 0}, {40, 6}, {0, 6}}, Holes: []template.Ring{{{1, 1}, {1, 2}, {2, 2}}}},
		"no width": {Outer: template.Ring{{0, 0}, {40, 0}, {40, 1e-6}}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := New(outline)
			assert.ErrorIs(t, err, ErrNotStrip)
		})
	}
}

func TestCentrelineOfRandomSmoothStrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.Float64Range(2, 6).Draw(t, "width")
		taper := rapid.Float64Range(0, 0.8).Draw(t, "taper")
		turns := rapid.SliceOfN(rapid.Float64Range(-1, 1), 4, 4).Draw(t, "turns")
		const length = 70.0
		// The heading turns smoothly, nowhere tighter than a radius of 9 mm and
		// never more than about half a turn, so that the strip cannot meet itself.
		heading := func(s float64) float64 {
			angle := 0.0
			for k, turn := range turns {
				angle += turn * 0.31 / float64(k+1) * math.Sin(math.Pi*float64(k+1)*s)
			}
			return angle * 2
		}
		const n = 1400
		points := make([]mgl64.Vec2, n+2)
		for i := 1; i < len(points); i++ {
			a := heading((float64(i) - 0.5) / n)
			points[i] = points[i-1].Add(mgl64.Vec2{math.Cos(a), math.Sin(a)}.Mul(length / n))
		}
		at := func(t float64) mgl64.Vec2 {
			u := math.Min(math.Max(t, 0)*n, n)
			i := int(u)
			return points[i].Mul(1 - (u - float64(i))).Add(points[i+1].Mul(u - float64(i)))
		}
		across := func(s float64) float64 { return width * (1 - taper*s*s) }
		line, err := New(strips.Along(func(t float64) mgl64.Vec2 { return at(t) }, across, 300))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(line.Length()-length) > 0.01*length+0.2 {
			t.Fatalf("length %.2f mm, drawn along %.2f mm", line.Length(), length)
		}
		if at(0).Sub(line.At(0)).Len() > at(1).Sub(line.At(0)).Len() {
			line = line.Reversed()
		}
		for _, f := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
			if off := at(f).Sub(line.At(f)).Len(); off > 1 {
				t.Fatalf("%.2f mm off at %.1f", off, f)
			}
			if w := line.WidthAt(f); math.Abs(w-across(f)) > 0.15*width {
				t.Fatalf("width %.2f mm at %.1f, drawn with %.2f mm", w, f, across(f))
			}
		}
	})
}

func TestAnyOutlineGivesACentrelineOrAReason(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := math.Pow(10, rapid.Float64Range(-4, 4).Draw(t, "scale"))
		squeeze := rapid.Float64Range(0.01, 1).Draw(t, "squeeze")
		radii := rapid.SliceOfN(rapid.Float64Range(0.05, 1), 3, 24).Draw(t, "radii")
		var ring template.Ring
		for i, r := range radii {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(radii)))
			ring = append(ring, mgl64.Vec2{scale * r * cos, scale * squeeze * r * sin})
		}
		line, err := New(template.Outline{ID: "star", Outer: ring})
		if err != nil {
			return
		}
		for _, p := range line.Points {
			if math.IsNaN(p[0] + p[1]) {
				t.Fatal("a point that is not a number")
			}
		}
		if length, longest := line.Length(), LengthOf(ring, true); !(length > 0 && length < longest) {
			t.Fatalf("%g mm long in an outline of %g mm", length, longest)
		}
		if r, _ := line.LeastRadius(); !(r > 0) {
			t.Fatalf("least bend radius %g mm", r)
		}
	})
}
