package budget

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"

	"earframe/internal/demotest"
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

var tenPercent = units.Cartilage{Material: units.Silicone, StrainLimit: 0.1, HelixReserve: 3}

// bendOf returns how the unit is bent from a straight strip.
func bendOf(t *testing.T, u *units.Unit, c units.Cartilage) *Bend {
	t.Helper()
	w, err := newBow(u, c)
	require.NoError(t, err)
	return w.bend(nil, c.HelixReserve)
}

// Half an ellipse is 2 a E(1 - b²/a²) long, E the complete elliptic integral of
// the second kind; half a circle π r.
func TestADevelopedLengthIsTheArcsLength(t *testing.T) {
	for _, c := range []struct{ a, b float64 }{{20, 20}, {25, 15}, {18, 26}} {
		b := bendOf(t, helixOf(t, ellipseStrip(c.a, c.b, 3)), tenPercent)
		long, short := max(c.a, c.b), min(c.a, c.b)
		want := 2 * long * mathext.CompleteE(1-short*short/(long*long))
		assert.InEpsilon(t, want, b.Length, 0.003, "%g × %g", c.a, c.b)
		assert.InDelta(t, 3, b.Width, 0.05)
		assert.Equal(t, 3.0, b.Reserve)
	}
}

// Worked from ε = t / (2R) for a straight bar (Gere and Goodno, Mechanics of
// Materials, chapter 5): 2, 3 and 4 mm at a radius of 10, 15 and 20 mm.
func TestAStraightBarsStrainIsWidthOverTwiceTheRadius(t *testing.T) {
	for radius, percents := range map[float64][3]float64{10: {10, 15, 20}, 15: {6.7, 10, 13.3}, 20: {5, 7.5, 10}} {
		for i, want := range percents {
			width := float64(i + 2)
			assert.InDelta(t, want, percent*Strain(width, 1/radius), 0.05)
		}
	}
	assert.Zero(t, Strain(4, 0), "a bar left as it is is not strained")
}

// Plane sections stay plane: of an arc bent to another radius, the middle keeps its
// length and the outer edge has that of its own arc.
func TestACurvedBarsStrainIsThatOfItsOuterArc(t *testing.T) {
	const width, long = 4.0, 50.0
	for _, c := range [][2]float64{{80, 12}, {95, 20}, {40, 100}, {60, -15}} {
		before, after := long/c[0]*(c[0]+width/2), long/c[1]*(c[1]+width/2)
		assert.InDelta(t, math.Abs(after-before)/long, Strain(width, 1/c[1]-1/c[0]), 1e-12)
	}
}

func TestABentStripHasTheStrainOfItsRadius(t *testing.T) {
	for _, c := range []struct{ radius, width float64 }{{10, 2}, {15, 3}, {20, 4}} {
		b := bendOf(t, helixOf(t, ellipseStrip(c.radius, c.radius, c.width)), tenPercent)
		assert.InEpsilon(t, percent*Strain(c.width, 1/c.radius), b.Strain, 0.03)
		assert.InEpsilon(t, c.radius, b.LeastRadius, 0.03)
	}
	// An ellipse is bent most at the ends of its long axis, to b²/a; seen from
	// the middle of its upper half that is at neither end, but of one that stands
	// upright it is the middle.
	b := bendOf(t, helixOf(t, ellipseStrip(12, 20, 2)), tenPercent)
	assert.InEpsilon(t, percent*Strain(2, 20/144.0), b.Strain, 0.05)
	assert.InDelta(t, 0.5, b.StrainAt, 0.03)
	require.Len(t, b.Thin, 1, "about its middle")
	assert.InDelta(t, 0.5, (b.Thin[0].From+b.Thin[0].Until)/2, 0.03)
	assert.InDelta(t, (b.Thin[0].Until-b.Thin[0].From)*b.Length, b.Thin[0].Length, 0.2)
}

// arcStrip returns a strip of the width about an arc of that length.
func arcStrip(radius, length, width float64) template.Outline {
	return strip(width, func(f float64) (p, normal mgl64.Vec2) {
		sin, cos := math.Sincos((f - 0.5) * length / radius)
		return mgl64.Vec2{radius * sin, radius * cos}, mgl64.Vec2{sin, cos}
	})
}

// A helix cut along its rib's curve is bent by the difference of the curves, if
// way round is chosen: by their sum, if it is not.
func TestAStripCutAlongItsRibIsBentFromTheRibsCurve(t *testing.T) {
	for _, c := range []struct {
		rib, helix, length  float64
		stretched, thinFrom Edge
	}{
		{60, 20, 60, OuterEdge, OuterEdge}, {100, 25, 70, OuterEdge, OuterEdge}, {300, 30, 80, OuterEdge, OuterEdge},
		{40, 120, 60, InnerEdge, InnerEdge}, // straightened
	} {
		for _, mirror := range []float64{1, -1} {
			const width = 4
			o := arcStrip(c.helix, c.length, width)
			for i := range o.Outer {
				o.Outer[i][1] *= mirror
			}
			if mirror < 0 {
				slices.Reverse(o.Outer)
			}
			plan := planOf(t, helixOf(t, o))
			plan.Practice.Cartilage.Material = units.YoungCartilage
			got := check(t, plan, ribPiece("rib-8", []int{8}, c.length+12, 10, 8, c.rib)).Units[0]
			require.Equal(t, Fits, got.Verdict, got.Text)
			b := got.Bend
			assert.InDelta(t, percent*Strain(width, 1/c.helix-1/c.rib), b.Strain, 0.3, "%g from %g", c.helix, c.rib)
			assert.Equal(t, InnerEdge, b.Concave)
			assert.Equal(t, c.stretched, b.Stretched)
			assert.Equal(t, c.thinFrom.Other(), b.Perichondrium)
			assert.Contains(t, got.Text, "its concave border becomes the inner edge. Leave the perichondrium on the "+
				string(b.Perichondrium)+" and thin it from the other")
		}
	}
}

// Of an arc, a bar as wide as advised reaches the limit and does not pass it; one a
// tenth wider does.
func TestThinnedAsAdvisedAStripBearsItsBend(t *testing.T) {
	const radius = 12.0
	b := bendOf(t, helixOf(t, arcStrip(radius, 35, 4)), tenPercent)
	require.Len(t, b.Thin, 1)
	thin := b.Thin[0]
	assert.InEpsilon(t, 2*0.1*radius, thin.To, 0.05)
	assert.InDelta(t, 4-thin.To, thin.Off, 0.1)
	for width, passes := range map[float64]bool{0.97 * thin.To: false, 1.1 * thin.To: true} {
		again := bendOf(t, helixOf(t, arcStrip(radius, 35, width)), tenPercent)
		assert.Equal(t, passes, len(again.Thin) > 0, "%.2f mm", width)
	}
}

// Each part of a helix cut in two is bent from the curve of its own rib.
func TestEachPartIsBentFromTheCurveOfItsOwnRib(t *testing.T) {
	const width, tight, wide, long = 4.0, 15.0, 40.0, 80.0
	o := strip(width, func(f float64) (p, normal mgl64.Vec2) { // two arcs that go on into each other
		radius, middle, along := tight, mgl64.Vec2{0, -tight}, long*(f-0.5)
		if along > 0 {
			radius, middle = wide, mgl64.Vec2{0, -wide}
		}
		sin, cos := math.Sincos(along / radius)
		normal = mgl64.Vec2{sin, cos}
		return middle.Add(normal.Mul(radius)), normal
	})
	w, err := newBow(helixOf(t, o), tenPercent)
	require.NoError(t, err)
	c := checker{cartilage: tenPercent}
	d := done{unit: w.unit, result: Unit{Bend: w.bend(nil, 3), Taken: -1}}
	halves := [2]float64{wide, tight}
	if math.Abs(w.round[bendPlaces/4]) > math.Abs(w.round[3*bendPlaces/4]) {
		halves = [2]float64{tight, wide}
	}
	for k, share := range [][2]float64{{0, 0.5}, {0.5, 1}} {
		rib := map[float64]float64{tight: 30, wide: 200}[halves[k]]
		p, err := newPiece(ribPiece("rib", []int{8}, 60, 10, 8, rib), k)
		require.NoError(t, err)
		i, err := c.strip(w.unit, d.result.Bend, "part", share)
		require.NoError(t, err)
		d.placed = append(d.placed, placed{laid{item: i, along: true, line: p.lines[0], from: 8}, p, false})
	}
	require.NoError(t, c.settleBend(&d))
	assert.Equal(t, InnerEdge, d.result.Bend.Concave)
	own := make([]float64, bendPlaces+1)
	for _, l := range d.placed {
		w.cut(own, l.laid)
	}
	for k, at := range []int{bendPlaces / 4, 3 * bendPlaces / 4} {
		change := 1/halves[k] - 1/map[float64]float64{tight: 30, wide: 200}[halves[k]]
		assert.InDelta(t, change, math.Abs(w.change(own, at)), 0.001)
	}
}

// Out of a joined piece a strip is cut along one of its ribs.
func TestAStripOutOfAJoinedPieceFollowsOneOfItsRibs(t *testing.T) {
	joined := ribPiece("block", []int{8}, 110, 30, 8, 70)
	joined.Each = []template.Outline{ribPiece("rib", []int{8}, 110, 10, 8, 70).Outline}
	got := check(t, planOf(t, helixOf(t, arcStrip(20, 80, 4))), joined).Units[0]
	require.Equal(t, Fits, got.Verdict, got.Text)
	assert.InDelta(t, percent*Strain(4, 1/20.0-1/70.0), got.Bend.Strain, 0.3)
	assert.InEpsilon(t, 70, got.Bend.Own, 0.03)
}

// Bent both ways a corner of a rectangle's section is as far from both middle planes
// as can be: the strains add up.
func TestBentBothWaysTheCornerTakesTheSum(t *testing.T) {
	u := helixOf(t, arcStrip(30, 70, 3))
	u.Rise.Profile = []units.RisePoint{{At: 0, Height: 0}, {At: 0.3, Height: 0}, {At: 0.7, Height: 4}, {At: 1, Height: 4}}
	c := tenPercent
	b := bendOf(t, u, c)
	assert.InEpsilon(t, b.Strain+b.Rise, b.Corner, 0.03)
	assert.InDelta(t, b.RiseAt, b.CornerAt, 0.02)
	c.StrainLimit = (b.Corner + math.Max(b.Strain, b.Rise)) / 2 / percent
	k := checker{cartilage: c}
	found := k.bendFindings(Unit{Unit: "helix", Bend: bendOf(t, u, c)})
	require.Equal(t, map[string]units.Severity{"strip-bent-too-sharply": units.Warning}, demotest.Kinds(t, found))
	assert.Contains(t, found[0].Message, "bent round and up or down at once, a corner of it stretches by")
	c.StrainLimit = 1.01 * b.Corner / percent
	assert.Empty(t, k.bendFindings(Unit{Unit: "helix", Bend: bendOf(t, u, c)}), "a warning only where the limit is passed")
	c.StrainLimit = b.Corner / 2 / percent
	b = bendOf(t, u, c)
	require.NotEmpty(t, b.Thin)
	require.NotEmpty(t, b.Lower)
	least := func(all []Thinning) float64 {
		return slices.MinFunc(all, func(a, b Thinning) int { return cmp.Compare(a.To, b.To) }).To
	}
	assert.InEpsilon(t, 3.0/2, least(b.Thin), 0.02, "half as wide and half as high it bears it")
	assert.InEpsilon(t, u.Thickness/2, least(b.Lower), 0.02)
}

// The demo's helix was bent beyond the ten percent of old cartilage whatever it was
// made of.
func TestTheDemosHelixIsJudgedByItsMaterial(t *testing.T) {
	plan := demotest.Plan(t)
	for _, c := range []struct {
		material string
		limit    float64
		want     map[string]units.Severity
	}{
		{units.Silicone, 0.8, map[string]units.Severity{}},
		{units.OldCartilage, 0.1, map[string]units.Severity{"strip-bent-too-sharply": units.Warning,
			"strip-raised-too-steeply": units.Warning}},
	} {
		plan.Practice.Cartilage.Material, plan.Practice.Cartilage.StrainLimit = c.material, c.limit
		w, err := newBow(plan.Unit("helix"), plan.Practice.Cartilage)
		require.NoError(t, err)
		k := checker{cartilage: plan.Practice.Cartilage}
		found := k.bendFindings(Unit{Unit: "helix", Bend: w.bend(nil, 3)})
		assert.Equal(t, c.want, demotest.Kinds(t, found))
		for _, f := range found {
			assert.Contains(t, f.Message, "old cartilage is taken to bear 10 percent")
			assert.Regexp(t, `to \d\.\d mm, by \d\.\d mm at most, from \d+ to \d+ percent of its length \(\d+ mm\)`,
				f.Advice)
		}
	}
}

// Between two level stretches a profile climbs as a cubic without slope at its
// ends, z = h (3u² - 2u³), u = x / l, which is bent most there: |z″| = 6 h / l².
func TestARiseIsBentAsItsProfile(t *testing.T) {
	u := helixOf(t, ellipseStrip(40, 40, 3))
	const height = 6.0
	u.Rise.Profile = []units.RisePoint{{At: 0, Height: 1}, {At: 0.2, Height: 1}, {At: 0.8, Height: 1 + height},
		{At: 1, Height: 1 + height}}
	b := bendOf(t, u, tenPercent)
	long := 0.6 * b.Length
	assert.InEpsilon(t, percent*Strain(u.Thickness, 6*height/(long*long)), b.Rise, 0.15,
		"the fit averages over the strip's thickness")
	assert.InDelta(t, u.Thickness+height, b.RiseHeight, 0.02)
}

func TestAStraightHelixIsNotStrained(t *testing.T) {
	helix := helixOf(t, rectangle(60, 4))
	b := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 90, 12, 8, 300))
	u := b.Units[0]
	require.NotNil(t, u.Bend)
	assert.InDelta(t, 60, u.Bend.Length, 0.1)
	assert.InDelta(t, percent*Strain(4, 1/300.0), u.Bend.Strain, 0.1, "the rib's own curve is straightened")
	assert.Empty(t, b.Findings)
	_, err := json.Marshal(b)
	assert.NoError(t, err, "the record holds finite numbers only")
}

func TestWhatIsNeitherAStripNorRisesIsNotBent(t *testing.T) {
	w, err := newBow(&units.Unit{Name: "base", Part: units.Base, Thickness: 3}, tenPercent)
	require.NoError(t, err)
	assert.Nil(t, w)
}
