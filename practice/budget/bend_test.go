package budget

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"

	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"
)

// strip returns an even strip about a curve, which is given with its unit normal
// at fractions of a parameter.
func strip(width float64, curve func(f float64) (p, normal mgl64.Vec2)) template.Outline {
	const n = 400
	var inner, outer template.Ring
	for i := range n + 1 {
		p, normal := curve(float64(i) / n)
		inner, outer = append(inner, p.Sub(normal.Mul(width/2))), append(outer, p.Add(normal.Mul(width/2)))
	}
	for i := n; i >= 0; i-- {
		outer = append(outer, inner[i])
	}
	if outer.Area() < 0 {
		for i, j := 0, len(outer)-1; i < j; i, j = i+1, j-1 {
			outer[i], outer[j] = outer[j], outer[i]
		}
	}
	return template.Outline{ID: "helix", Part: "helix", Outer: outer}
}

// ellipseStrip returns a strip of the width about an ellipse's upper half.
func ellipseStrip(a, b, width float64) template.Outline {
	return strip(width, func(f float64) (p, normal mgl64.Vec2) {
		sin, cos := math.Sincos(math.Pi * f)
		return mgl64.Vec2{a * cos, b * sin}, mgl64.Vec2{b * cos, a * sin}.Normalize()
	})
}

// helixOf returns a helix of the outline, 4 mm thick.
func helixOf(t *testing.T, o template.Outline) *units.Unit {
	t.Helper()
	line, err := centreline.New(o)
	require.NoError(t, err)
	return &units.Unit{
		Name: "helix", Part: units.Helix, Label: "Helix", Outlines: []template.Outline{o},
		Thickness: 4, Ribs: []int{8}, Centreline: line,
	}
}

var tenPercent = units.Cartilage{StrainLimit: 0.1, HelixReserve: 3}

// Half an ellipse is 2 a E(1 - b²/a²) long, E the complete elliptic integral of
// the second kind; half a circle π r.
func TestADevelopedLengthIsTheArcsLength(t *testing.T) {
	for _, c := range []struct{ a, b float64 }{{20, 20}, {25, 15}, {18, 26}} {
		b, err := bendOf(helixOf(t, ellipseStrip(c.a, c.b, 3)), tenPercent)
		require.NoError(t, err)
		long, short := max(c.a, c.b), min(c.a, c.b)
		want := 2 * long * mathext.CompleteE(1-short*short/(long*long))
		assert.InEpsilon(t, want, b.Length, 0.003, "%g × %g", c.a, c.b)
		assert.InDelta(t, 3, b.Width, 0.05)
		assert.Equal(t, 3.0, b.Reserve)
	}
}

// Worked from ε = t / (2R) (Gere and Goodno, Mechanics of Materials, chapter 5):
// 2, 3 and 4 mm at a radius of 10, 15 and 20 mm.
func TestStrainIsWidthOverTwiceTheRadius(t *testing.T) {
	for radius, percents := range map[float64][3]float64{10: {10, 15, 20}, 15: {6.7, 10, 13.3}, 20: {5, 7.5, 10}} {
		for i, want := range percents {
			width := float64(i + 2)
			assert.InDelta(t, want, percent*Strain(width, radius), 0.05)
			assert.InDelta(t, width, ThinTo(radius, Strain(width, radius)), 1e-12,
				"thinning is the strain turned round")
		}
	}
	assert.Zero(t, Strain(4, math.Inf(1)), "a straight strip is not strained")
}

func TestABentStripHasTheStrainOfItsRadius(t *testing.T) {
	for _, c := range []struct{ radius, width float64 }{{10, 2}, {15, 3}, {20, 4}} {
		b, err := bendOf(helixOf(t, ellipseStrip(c.radius, c.radius, c.width)), tenPercent)
		require.NoError(t, err)
		assert.InEpsilon(t, percent*Strain(c.width, c.radius), b.Strain, 0.03)
		assert.InEpsilon(t, ThinTo(c.radius, 0.1), b.ThinTo, 0.03, "it may be that wide there")
		assert.InEpsilon(t, c.radius, b.LeastRadius, 0.03)
	}
	// An ellipse is bent most at the ends of its long axis, to b²/a; seen from
	// the middle of its upper half that is at neither end, but of one that stands
	// upright it is the middle.
	b, err := bendOf(helixOf(t, ellipseStrip(12, 20, 2)), tenPercent)
	require.NoError(t, err)
	assert.InEpsilon(t, percent*Strain(2, 144.0/20), b.Strain, 0.05)
	assert.InDelta(t, 0.5, b.StrainAt, 0.03)
	assert.Positive(t, b.Beyond)
	assert.Less(t, b.Beyond, b.Length)
}

// Between two level stretches a profile climbs as a cubic without slope at its
// ends, z = h (3u² - 2u³), u = x / l, which is bent most there: |z″| = 6 h / l².
func TestARiseIsBentAsItsProfile(t *testing.T) {
	u := helixOf(t, ellipseStrip(40, 40, 3))
	const height = 6.0
	u.Rise.Profile = []units.RisePoint{{At: 0, Height: 1}, {At: 0.2, Height: 1}, {At: 0.8, Height: 1 + height},
		{At: 1, Height: 1 + height}}
	b, err := bendOf(u, tenPercent)
	require.NoError(t, err)
	long := 0.6 * b.Length
	assert.InEpsilon(t, percent*Strain(u.Thickness, long*long/(6*height)), b.Rise, 0.15,
		"the fit averages over the strip's thickness")
	assert.InDelta(t, u.Thickness+height, b.RiseHeight, 0.02)
	assert.InEpsilon(t, u.Thickness*b.Limit/b.Rise, b.RiseThin, 1e-9)
}

func TestAStraightHelixIsNotStrained(t *testing.T) {
	helix := helixOf(t, rectangle(60, 4))
	b := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 90, 12, 8, 300))
	u := b.Units[0]
	require.NotNil(t, u.Bend)
	assert.InDelta(t, 60, u.Bend.Length, 0.1)
	assert.InDelta(t, 0, u.Bend.Strain, 0.1, "its middle line is found, and straight to a micrometre or so")
	assert.Empty(t, b.Findings)
	_, err := json.Marshal(b)
	assert.NoError(t, err, "the record holds finite numbers only")
}

func TestWhatIsNeitherAStripNorRisesIsNotBent(t *testing.T) {
	b, err := bendOf(&units.Unit{Name: "base", Part: units.Base, Thickness: 3}, tenPercent)
	require.NoError(t, err)
	assert.Nil(t, b)
}
