package rib

import (
	"errors"
	"math"
	"testing"

	"earframe/internal/demotest"
	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Published lengths: children of age 6 by CT, n = 37 (PMID 28692518); means of
// adolescents of 16.5 years, n = 35, by CT; adult cadavers, women 123.4 and men
// 137.5 (FASEB J 32, suppl 639.7). The child's 9th is scaled.
func TestRibsAreAsLongAsPublished(t *testing.T) {
	for _, c := range []struct {
		age    float64
		rib    string
		length float64
	}{
		{units.ChildAge, "rib-6", 76.1},
		{units.ChildAge, "rib-7", 102.6},
		{units.ChildAge, "rib-8", 75.4},
		{units.AdultAge, "rib-7", (123.4 + 137.5) / 2},
		{units.AdultAge, "rib-8", (88.6 + 90.5) / 2},
		{units.AdultAge, "rib-9", (63.2 + 58.2) / 2},
	} {
		b := blanksOf(t, planOf(units.Cartilage{Age: c.age}, 7))[c.rib]
		_, _, length := middleLine(meshOf(t, b, testStep))
		assert.InDelta(t, c.length, length, 0.3, "%s at %g", c.rib, c.age)
		assert.Equal(t, c.length, b.Length)
	}
}

// Width at the rib's end: 9.69 ± 1.67 mm by CT, 9.73 ± 1.64 mm harvested, mean
// age 8 years 5 months, 192 cartilages (CT study of microtia, 2013).
func TestChildRibsAreAsWideAtTheirEndAsPublished(t *testing.T) {
	for name, b := range blanksOf(t, planOf(units.Cartilage{Age: units.ChildAge}, 7)) {
		m := meshOf(t, b, testStep)
		points, tangents, _ := middleLine(m)
		lo, _ := m.Bounds()
		at, along := points[0], tangents[0]
		back := along.Mul(-(at[0] - lo[0] - 5)) // about 5 mm from the end
		_, _, height := sectionOf(m, at.Add(back.Vec3(0)), along, 15)
		assert.InDelta(t, 9.69, height, 0.75, name)
		assert.InDelta(t, 9.69, height, 1.67, name)
	}
}

// Mean face height, area over length, of the adult 7th: women 14.9 mm, men 17.4
// mm, from the areas and lengths of 312 cartilages (FASEB J 32, suppl 639.7).
func TestAdultSeventhIsAsHighAsPublished(t *testing.T) {
	b := blanksOf(t, planOf(units.Cartilage{Age: units.AdultAge}, 7))["rib-7"]
	m := meshOf(t, b, testStep)
	_, _, length := middleLine(m)
	height := silhouetteArea(m) / length
	assert.Greater(t, height, 14.9)
	assert.Less(t, height, 17.4)
}

// Adolescents of 16.5 years, n = 35, by CT: width 15.4 right and 14.7 left,
// height 28.5 and 30.7 mm. The child's width
// is scaled, its height that of both ribs. What was measured is kept.
func TestJointIsAsWideAndHighAsItSays(t *testing.T) {
	for name, c := range map[string]struct {
		cartilage     units.Cartilage
		width, height float64
	}{
		"adolescent": {units.Cartilage{Age: 16.5}, (15.4 + 14.7) / 2, (28.5 + 30.7) / 2},
		"child":      {units.Cartilage{Age: units.ChildAge}, 11.8, 28.66},
		"measured": {units.Cartilage{Age: units.ChildAge, JointWidth: 20, JointHeight: 22,
			Measured: []units.RibMeasure{{Rib: 6, Height: 10.5}, {Rib: 7, Height: 10.5}}}, 20, 22},
	} {
		t.Run(name, func(t *testing.T) {
			b := blanksOf(t, planOf(c.cartilage))["ribs-6-7"]
			sixth, seventh := heightsAt(b)
			width, height := jointOn(meshOf(t, b, testStep), b.Middle, math.Max(sixth, seventh))
			assert.InDelta(t, c.height, height, 0.1)
			assert.InDelta(t, c.width, width, 0.15)
			assert.Equal(t, c.height, b.Height)
		})
	}
}

// heightsAt returns the heights of ribs 6 and 7 at their joint.
func heightsAt(b Blank) (sixth, seventh float64) {
	return placeOn(shapeOf(b.Sizes[0]), jointAlongSixth, b.Joint.Width).height,
		placeOn(shapeOf(b.Sizes[1]), jointAlongSeventh, b.Joint.Width).height
}

// Depth, front to back: the 6th is deeper than 7 and 8 at any place, its medial
// part is the thickest, the medial part of the 8th the thinnest (Proc WV Acad
// Sci 89(1), 2017: a ranking, no numbers).
func TestDepthsRankAsPublished(t *testing.T) {
	for _, age := range []float64{units.ChildAge, units.AdultAge} {
		of, _ := standardsOf(age)
		lateral, medial := map[int]float64{}, map[int]float64{}
		for rib := 6; rib <= 8; rib++ {
			lateral[rib] = of(rib).thickness.value
			medial[rib] = lateral[rib] * of(rib).taper.value
		}
		for _, other := range []int{7, 8} {
			assert.Greater(t, math.Min(lateral[6], medial[6]), math.Max(lateral[other], medial[other]), "%g, %d", age,
				other)
		}
		assert.Greater(t, medial[6], lateral[6])
		assert.Less(t, medial[8], math.Min(lateral[8], math.Min(medial[7], lateral[7])))
	}
}

// A section swept along its centroid's path has the volume area × length
// (Pappus), the area that of the sections midway between many. At a blunt end, parallel sections
// follow one another: their area is A - P d + π d² (Steiner).
func TestVolumeIsThatOfPappus(t *testing.T) {
	for name, s := range map[string]units.RibMeasure{
		"straight":    {Rib: 7, Length: 80, Height: 14, Thickness: 9, Radius: 10000, Taper: 1, HeightTaper: 1},
		"bent":        {Rib: 7, Length: 80, Height: 14, Thickness: 9, Radius: 30, Taper: 1, HeightTaper: 1},
		"tapering":    {Rib: 7, Length: 80, Height: 14, Thickness: 9, Radius: 30, Taper: 0.5, HeightTaper: 0.5},
		"thinning":    {Rib: 7, Length: 80, Height: 14, Thickness: 9, Radius: 30, Taper: 0.5, HeightTaper: 1.2},
		"with a tip":  {Rib: 8, Length: 80, Height: 14, Thickness: 9, Radius: 30, Taper: 0.5, HeightTaper: 0.5},
		"thin tip":    {Rib: 8, Length: 80, Height: 14, Thickness: 9, Radius: 30, Taper: 0.5, HeightTaper: 1},
		"high, round": {Rib: 9, Length: 60, Height: 10, Thickness: 10, Radius: 40, Taper: 1, HeightTaper: 1},
	} {
		t.Run(name, func(t *testing.T) {
			plan := planOf(units.Cartilage{Age: units.AdultAge, Measured: []units.RibMeasure{s}}, 7)
			blanks, _, err := Blanks(plan)
			require.NoError(t, err)
			b := blanks[s.Rib-6]
			at := func(share float64) oval {
				return newOval(s.Height*(1+(s.HeightTaper-1)*share), s.Thickness*(1+(s.Taper-1)*share))
			}
			edge := blunting * at(0).end
			blunt := func(o oval) float64 {
				return ovalArea(o)*edge - ovalPerimeter(o)*edge*edge*(1-math.Pi/4) + math.Pi*edge*edge*edge*(5.0/3-math.Pi/2)
			}
			var want, reach float64
			if s.Rib == 7 {
				edge = blunting * math.Min(at(0).end, at(1).end)
				want, reach = blunt(at(0))+blunt(at(1)), 2*edge
			} else {
				want, reach = blunt(at(0))+halfTurned(at(1)), edge+s.HeightTaper*s.Height/2
			}
			const sections = 50
			for i := range sections {
				want += (s.Length - reach) / sections * ovalArea(at((float64(i)+0.5)/sections))
			}
			assert.InEpsilon(t, want, meshOf(t, b, testStep).Volume(), 0.004)
		})
	}
}

// ovalArea, ovalPerimeter and halfTurned are the oval's area, its length round,
// and half the volume of the body it makes when turned about its short way, by
// the trapezoidal rule on its outline.
func ovalArea(o oval) float64 {
	area := 0.0
	ring := outlineOf(o, 100000)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		area += (p[0]*q[1] - p[1]*q[0]) / 2
	}
	return math.Abs(area)
}

func ovalPerimeter(o oval) float64 {
	length := 0.0
	ring := outlineOf(o, 100000)
	for i, p := range ring {
		length += ring[(i+1)%len(ring)].Sub(p).Len()
	}
	return length
}

func halfTurned(o oval) float64 {
	volume := 0.0
	ring := outlineOf(o, 100000)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		volume += math.Pi * (p[0]*p[0] + q[0]*q[0]) / 2 * math.Abs(q[1]-p[1]) / 2 / 2
	}
	return volume
}

func TestBlankLiesOnItsBackAboutTheMiddle(t *testing.T) {
	for _, age := range []float64{units.ChildAge, units.AdultAge} {
		for name, b := range blanksOf(t, planOf(units.Cartilage{Age: age})) {
			assert.Empty(t, trace(b.Solid, -0.001), "%s: nothing is beneath the bed", name)
			assert.NotEmpty(t, trace(b.Solid, 0.02), "%s: it lies on it", name)
			assert.Empty(t, trace(b.Solid, b.ThicknessMost+0.001), name)
			assert.NotEmpty(t, trace(b.Solid, b.ThicknessMost-0.02), name)
			low, high := b.Outline.Outer[0], b.Outline.Outer[0]
			for _, p := range b.Outline.Outer {
				for k, v := range p {
					low[k], high[k] = math.Min(low[k], v), math.Max(high[k], v)
				}
			}
			assert.InDelta(t, 0, low.Add(high).Len(), 1e-9, name)
		}
	}
}

// The mesh's own error falls with the square of its step; what is left at these
// steps is less than the bound.
func TestOutlineIsTheSilhouetteOfTheMesh(t *testing.T) {
	named := blanksOf(t, planOf(units.Cartilage{Age: units.ChildAge}))
	for name, step := range map[string]float64{"ribs-6-7": 0.4, "rib-8": 0.3, "rib-9": 0.3} {
		b := named[name]
		m := meshOf(t, b, step)
		assert.InEpsilon(t, silhouetteArea(m), b.Outline.Area(), 0.0015, name)
		assert.Equal(t, name, b.Outline.ID)
		assert.Empty(t, b.Outline.Holes)
		lo, hi := m.Bounds()
		low, high := b.Outline.Outer[0], b.Outline.Outer[0]
		for _, p := range b.Outline.Outer {
			for k, v := range p {
				low[k], high[k] = math.Min(low[k], v), math.Max(high[k], v)
			}
		}
		for k := range low {
			assert.InDelta(t, lo[k], low[k], 0.03, name)
			assert.InDelta(t, hi[k], high[k], 0.03, name)
		}
	}
}

// A blank turned over is its own mirror image, so that one serves both sides.
func TestBlankTurnedOverIsItsMirrorImage(t *testing.T) {
	b := blanksOf(t, planOf(units.Cartilage{}))["ribs-6-7"]
	box := b.Solid.Bounds()
	for i := range 1000 {
		p := box.Min
		for k, prime := range []float64{0.7548776662, 0.5698402910, 0.4301597090} {
			p[k] += (box.Max[k] - box.Min[k]) * math.Mod(float64(i)*prime, 1)
		}
		q := p
		q[2] = 2*b.Middle - p[2]
		require.InDelta(t, distanceAt(b.Solid, p), distanceAt(b.Solid, q), 1e-12)
	}
}

// A plate of a slab's outline and thickness lies within the blank.
func TestSlabLiesWithinTheBlank(t *testing.T) {
	for name, b := range blanksOf(t, planOf(units.Cartilage{})) {
		last := b.Outline.Area()
		for _, thickness := range []float64{2, 3, 4} {
			slab := b.Slab(thickness)
			require.Len(t, slab, 1, "%s, %g mm", name, thickness)
			assert.Less(t, slab[0].Area(), last, "a thicker slab is smaller")
			last = slab[0].Area()
			for _, p := range slab[0].Outer {
				for _, z := range []float64{-thickness / 2, 0, thickness / 2} {
					assert.LessOrEqual(t, distanceAt(b.Solid, p.Vec3(b.Middle+z)), 0.001, name)
				}
			}
		}
		assert.Empty(t, b.Slab(b.ThicknessMost+0.1), name)
	}
}

func TestRibsSixAndSevenAreOnePieceUnlessOneAloneIsWanted(t *testing.T) {
	for name, c := range map[string]struct {
		ribs []int
		want []string
	}{
		"both":    {[]int{6, 7}, []string{"ribs-6-7", "rib-8", "rib-9"}},
		"neither": {[]int{8}, []string{"ribs-6-7", "rib-8", "rib-9"}},
		"one":     {[]int{7}, []string{"rib-6", "rib-7", "rib-8", "rib-9"}},
	} {
		blanks, _, err := Blanks(planOf(units.Cartilage{}, c.ribs...))
		require.NoError(t, err)
		var names []string
		for _, b := range blanks {
			names = append(names, b.Name)
		}
		assert.Equal(t, c.want, names, name)
	}
}

func TestEveryNumberSaysWhereItComesFrom(t *testing.T) {
	cartilage := units.Cartilage{
		Age: units.ChildAge, JointWidth: 13,
		Measured: []units.RibMeasure{{Rib: 8, Length: 82, Taper: 0.7}},
	}
	plan := planOf(cartilage)
	plan.Values = []units.Value{{Path: "cartilage.ribs[8].length", Value: 82.0, Origin: units.Given,
		Note: "case.yaml:7"}}
	origins := map[string]units.Origin{}
	for _, b := range blanksOf(t, plan) {
		for _, v := range b.Values {
			assert.NotContains(t, origins, v.Path, "given once")
			origins[v.Path] = v.Origin
			switch v.Origin {
			case units.Default:
				assert.Regexp(t, `\d{4}`, v.Note, "%s: a year or a number of the source", v.Path)
			case units.UnsourcedDefault:
				assert.Regexp(t, "no source|from memory|midway between", v.Note, v.Path)
			}
			if v.Path == "cartilage.ribs[8].length" {
				assert.Equal(t, "case.yaml:7", v.Note)
				assert.Equal(t, 82.0, v.Value)
			}
		}
	}
	assert.Len(t, origins, 4*6+2)
	for path, want := range map[string]units.Origin{
		"cartilage.ribs[6].length": units.Default, "cartilage.ribs[9].length": units.UnsourcedDefault,
		"cartilage.ribs[8].length": units.Given, "cartilage.ribs[8].taper": units.Given,
		"cartilage.ribs[8].height": units.Default, "cartilage.ribs[8].radius": units.UnsourcedDefault,
		"cartilage.joint.width": units.Given, "cartilage.joint.height": units.UnsourcedDefault,
	} {
		assert.Equal(t, want, origins[path], path)
	}
}

func TestMeasurementsThatNoRibHasAreRefusedWithTheirNumbers(t *testing.T) {
	for name, c := range map[string]struct {
		cartilage units.Cartilage
		want      string
	}{
		"tight bend": {units.Cartilage{Measured: []units.RibMeasure{{Rib: 8, Radius: 20, Height: 50}}},
			"cartilage.ribs[8].radius: at a radius of 20 mm a rib 50.0 mm high folds over itself on its concave " +
				"side. Give a radius of at least 30.0 mm, or a smaller height"},
		"full circle": {units.Cartilage{Measured: []units.RibMeasure{{Rib: 9, Length: 200, Radius: 20}}},
			"cartilage.ribs[9].length: 200 mm along a radius of 20 mm turn by 573 degrees, so that the ends run into " +
				"each other. Give a length of at most "},
		"stump": {units.Cartilage{Measured: []units.RibMeasure{{Rib: 7, Length: 10, Thickness: 12}}},
			"cartilage.ribs[7].length: a length of 10 mm is not more than the rib is broad, 15.7 mm. Give a length " +
				"of more than 15.7 mm, or a smaller height, thickness or taper"},
		"wide joint": {units.Cartilage{JointWidth: 60, Measured: []units.RibMeasure{{Rib: 6, Length: 50}}},
			"cartilage.joint.width: a joint 60 mm wide does not fit rib 6, which is 50 mm long with rounded ends. " +
				"Give a width of at most "},
		"low joint": {
			units.Cartilage{JointHeight: 15, Measured: []units.RibMeasure{{Rib: 6, Height: 12, Taper: 1},
				{Rib: 7, Height: 12}}},
			"cartilage.joint.height: a joint 15 mm high is lower than ribs 6 and 7 are together there, 12.0 and 12.0 " +
				"mm. Give a height of at least 24.0 mm, or the heights of ribs 6 and 7",
		},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := Blanks(planOf(c.cartilage))
			require.ErrorContains(t, err, c.want)
			var fault *Fault
			require.True(t, errors.As(err, &fault))
			assert.NotEmpty(t, fault.Advice)
		})
	}
}

func TestAllFaultsAreToldAtOnceWithTheirPlaces(t *testing.T) {
	plan := planOf(units.Cartilage{Measured: []units.RibMeasure{{Rib: 6, Length: 10, Height: 12},
		{Rib: 9, Radius: 15, Height: 40}}})
	plan.Values = []units.Value{{Path: "cartilage.ribs[9].radius", Origin: units.Given, Note: "case.yaml:9"}}
	_, _, err := Blanks(plan)
	require.ErrorContains(t, err, "cartilage.ribs[6].length")
	require.ErrorContains(t, err, "case.yaml:9: cartilage.ribs[9].radius")
}

// The advice is a way out, and no farther than it need be.
func TestLongestLengthIsTheLongestThatFits(t *testing.T) {
	s := Size{Rib: 9, Length: 200, Height: 10, Thickness: 8, Radius: 20, Taper: 0.6, HeightTaper: 0.6}
	most := longest(s)
	for _, c := range []struct {
		length float64
		fits   bool
	}{{most, true}, {most + 1, false}} {
		_, _, err := Blanks(planOf(units.Cartilage{Measured: []units.RibMeasure{{Rib: 9, Length: c.length, Height: 10,
			Thickness: 8, Radius: 20, Taper: 0.6, HeightTaper: 0.6}}}))
		assert.Equal(t, c.fits, err == nil, "%g mm", c.length)
	}
}

func TestRibsWhoseHeightWasNotMeasuredFitAMeasuredJoint(t *testing.T) {
	b := blanksOf(t, planOf(units.Cartilage{Age: units.AdultAge, JointHeight: 24}))["ribs-6-7"]
	sixth, seventh := heightsAt(b)
	assert.Less(t, sixth+seventh, 24.0)
	assert.Greater(t, sixth+seventh, 22.5)
	for _, v := range b.Values {
		if v.Path == "cartilage.ribs[7].height" {
			assert.Equal(t, b.Sizes[1].Height, v.Value)
			assert.Contains(t, v.Note, "what the measured height of the joint leaves")
		}
	}
}

func TestAJointNotMeasuredFitsMeasuredRibs(t *testing.T) {
	measured := []units.RibMeasure{{Rib: 6, Height: 18}, {Rib: 7, Height: 20}}
	b := blanksOf(t, planOf(units.Cartilage{Age: units.AdultAge, Measured: measured}))["ribs-6-7"]
	sixth, seventh := heightsAt(b)
	assert.Greater(t, b.Joint.Height, sixth+seventh)
	assert.Less(t, b.Joint.Height, 1.1*(sixth+seventh))
}

func TestWhatIsOddAboutAJointIsSaid(t *testing.T) {
	for name, c := range map[string]struct {
		cartilage units.Cartilage
		want      string
		rule      string
	}{
		"ribs bent against one another": {units.Cartilage{Measured: []units.RibMeasure{{Rib: 6, Radius: 5000}}},
			"run into each other over", "ribs-run-together"},
		"no gap": {
			units.Cartilage{JointHeight: 20.02, Measured: []units.RibMeasure{{Rib: 6, Height: 10, Taper: 1},
				{Rib: 7, Height: 10}}},
			"only 0.02 mm apart beside their joint, which closes in a filament print",
			"ribs-too-close",
		},
		"far apart": {units.Cartilage{JointHeight: 60}, "apart at their joint, more than a rib's height of 9.7 mm",
			"ribs-far-apart"},
	} {
		t.Run(name, func(t *testing.T) {
			plan := planOf(c.cartilage)
			plan.Printer, _ = units.PrinterLimits(units.Filament)
			_, findings, err := Blanks(plan)
			require.NoError(t, err)
			require.Len(t, findings, 1)
			assert.Contains(t, findings[0].Message, c.want)
			assert.Equal(t, map[string]units.Severity{c.rule: units.Warning}, demotest.Kinds(t, findings))
			assert.Equal(t, "ribs-6-7", findings[0].Unit)
			assert.NotEmpty(t, findings[0].Advice)
		})
	}
}
