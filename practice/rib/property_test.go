package rib

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/units"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawCartilage draws what a case file may say of the cartilage: any measure in
// its range, or none.
func drawCartilage(t *rapid.T) units.Cartilage {
	measure := func(name string, least, most float64) float64 {
		if rapid.Bool().Draw(t, "not measured") {
			return 0
		}
		// Small values are as likely as large ones.
		return least * math.Pow(most/least, rapid.Float64Range(0, 1).Draw(t, name))
	}
	c := units.Cartilage{
		Age:         rapid.Float64Range(units.ChildAge, units.AdultAge).Draw(t, "age"),
		JointWidth:  measure("joint width", 2, 60),
		JointHeight: measure("joint height", 8, 120),
	}
	for rib := 6; rib <= 9; rib++ {
		c.Measured = append(c.Measured, units.RibMeasure{
			Rib:         rib,
			Length:      measure("length", 10, 250),
			Height:      measure("height", 3, 60),
			Thickness:   measure("thickness", 2, 40),
			Radius:      measure("radius", 15, 10000),
			Taper:       measure("taper", 0.2, 1.5),
			HeightTaper: measure("height taper", 0.2, 3),
		})
	}
	return c
}

func TestAnyMeasurementGivesASoundMeshOrALocatedFault(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blanks, _, err := Blanks(planOf(drawCartilage(t)))
		if err != nil {
			require.Empty(t, blanks)
			for _, e := range err.(interface{ Unwrap() []error }).Unwrap() {
				var fault *Fault
				require.True(t, errors.As(e, &fault))
				require.True(t, strings.HasPrefix(fault.Path, "cartilage."))
				require.Regexp(t, `\d`, fault.Problem)
				require.Regexp(t, `^Give .*\d`, fault.Advice)
			}
			return
		}
		for _, b := range blanks {
			require.Positive(t, b.Outline.Area())
			require.Empty(t, trace(b.Solid, -0.01), "%s lies on the bed", b.Name)
			for _, v := range b.Values {
				require.NotEqual(t, 0.0, v.Value, v.Path)
			}
		}
		b := rapid.SampledFrom(blanks).Draw(t, "blank")
		box := b.Solid.Bounds()
		step := box.Max.Sub(box.Min).Len() / 30
		for _, size := range b.Sizes { // a coarser one may miss all of it
			step = min(step, size.Height/1.5, size.Thickness/1.5)
		}
		m, err := contour.Of(context.Background(), b.Solid, contour.Options{Step: step})
		require.NoError(t, err)
		require.NoError(t, mesh.Judge(m).Err(), b.Name)
	})
}

// Simplified as for a file, a blank is one piece without a hole.
func TestBlanksOfBothAgesAreSoundWhenSimplified(t *testing.T) {
	for _, age := range []float64{units.ChildAge, units.AdultAge} {
		for name, b := range blanksOf(t, planOf(units.Cartilage{Age: age})) {
			m, err := simplify.Of(context.Background(), meshOf(t, b, 0.5), simplify.Options{Tolerance: 0.05})
			require.NoError(t, err)
			verdict := mesh.Judge(m)
			require.NoError(t, verdict.Err(), "%s at %g", name, age)
			require.Len(t, verdict.Shells, 1)
			require.Zero(t, verdict.Shells[0].Genus)
		}
	}
}
