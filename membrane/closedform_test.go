package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
)

// small turns the minimal surface into the linear membrane: heights and pull
// are scaled by it, the answer is scaled back; what is left of the area's own
// non-linearity is of the order of its square.
const small = 0.025

// heightAtRadius averages the drape over a circle, so that one number tells.
func heightAtRadius(d *Drape, centre mgl64.Vec2, radius float64) float64 {
	const points = 360
	sum := 0.0
	for n := range points {
		s, c := math.Sincos(2 * math.Pi * float64(n) / points)
		sum += d.Height(centre.Add(mgl64.Vec2{c * radius, s * radius}))
	}
	return sum / points
}

// contactRadius is the radius of the disc with the area of the touched frame.
func contactRadius(d *Drape) float64 {
	return math.Sqrt(d.ContactShares().OnFrame * d.PocketArea / math.Pi)
}

func excessArea(d *Drape) float64 { return d.l.energy(context.Background(), d.u, 0) }

// closedForm is one number of one case with a closed form.
type closedForm struct {
	name   string
	frame  func(r float64) float64 // of revolution; nil for none
	reach  float64
	pocket float64 // radius, mm
	pull   float64 // 1/mm
	got    func(d *Drape) float64
	want   float64
	source string
}

// closedForms lists the published cases. Lengths are multiples of the unit
// radius of the tables, so that an ear-sized pocket has the table's shape.
func closedForms() []closedForm {
	const unit = 15.0
	ring := func(height float64) func(r float64) float64 { return plateau(10, height) }
	scaled := func(f func(float64) float64) func(r float64) float64 {
		return func(r float64) float64 { return small * f(r) }
	}
	paraboloid := func(h float64) func(r float64) float64 {
		return func(r float64) float64 { return h * unit * max(1-r*r/unit/unit, 0) }
	}
	at := func(radius, scale float64) func(d *Drape) float64 {
		return func(d *Drape) float64 { return heightAtRadius(d, offLattice, radius) / scale }
	}
	linearEnergy := func(d *Drape) float64 { return excessArea(d) / small / small }
	perUnit := func(d *Drape) float64 { return d.DrapeArea / unit / unit }
	const (
		g6  = "Laplace on an annulus, e.g. Evans, Partial Differential Equations (from memory)"
		g7a = "hemisphere under a linear membrane; contact radius 0.697965148223 as in the obstacle example of the PETSc " +
			"library (snes tutorial ex9, its number from memory)"
		g7b  = "paraboloid under a linear membrane; equation published, root computed"
		g8   = "catenoid r = c cosh(z/c) over an annulus, e.g. Osserman, A Survey of Minimal Surfaces (from memory)"
		g8b  = "hemisphere under a minimal surface, from the catenoid by tangency"
		film = "soap film under pressure: spherical cap of radius 2T/p"
	)
	cases := []closedForm{
		{"linear annulus, energy", scaled(ring(8)), 10, 30, 0, linearEnergy, 183.014456, g6},
		{"linear annulus, height at 20", scaled(ring(8)), 10, 30, 0, at(20, small), 2.952562, g6},
		{"linear disc under pressure, height at 0", nil, 1, 30, -small / 40, at(0, small), 900. / 160, g6},
		{"linear hemisphere R/ρ = 2, height at 1.5ρ", scaled(hemisphere(unit)), unit, 2 * unit, 0, at(1.5*unit, small*unit),
			0.680259411892 * math.Log(2/1.5), g7a},
		{"linear hemisphere R/ρ = 2, energy", scaled(hemisphere(unit)), unit, 2 * unit, 0,
			func(d *Drape) float64 { return linearEnergy(d) / unit / unit }, 1.814171819, g7a},
		{"linear paraboloid R/ρ = 2, height at 1.2ρ", scaled(paraboloid(1)), unit, 2 * unit, 0, at(1.2*unit, small*unit),
			2 * 0.520393468 * 0.520393468 * math.Log(2/1.2), g7b},
		{"plateau under a minimal surface, " +
			"area", ring(5), 10, 30, 0, func(d *Drape) float64 { return d.DrapeArea }, 2583.304258 + 100*math.Pi, g8},
		{"plateau under a minimal surface, height at 20", ring(5), 10, 30, 0, at(20, 1), 1.800620056, g8},
		{"disc under pressure, area", nil, 1, 30, -1. / 40, func(d *Drape) float64 { return d.DrapeArea },
			2 * math.Pi * 80 * (80 - math.Sqrt(80*80-900)), film},
		{"disc under pressure, height at 0", nil, 1, 30, -1. / 40, at(0, 1), 80 - math.Sqrt(80*80-900), film},
	}
	for _, c := range []struct{ pocket, contact, z, area float64 }{
		{1.5, 0.837174210, 0.546936324, 9.096231797},
		{2, 0.756903550, 0.653526599, 14.216730245},
		{3, 0.673799133, 0.738914561, 29.589132973},
	} {
		catenary := c.contact * c.contact
		middle := (c.contact + c.pocket) / 2
		height := catenary * (math.Acosh(c.pocket/catenary) - math.Acosh(middle/catenary))
		cases = append(cases,
			closedForm{"hemisphere under a minimal surface, area, R/ρ " +
				"= " + number(c.pocket), hemisphere(unit), unit, c.pocket * unit, 0, perUnit, c.area, g8b},
			closedForm{"hemisphere under a minimal surface, height off it, R/ρ " +
				"= " + number(c.pocket), hemisphere(unit), unit, c.pocket * unit, 0, at(middle*unit, unit), height, g8b})
	}
	for _, c := range []struct{ height, contact float64 }{{0.2, 0.524061720}, {0.5, 0.542715521}, {1, 0.599939981}} {
		slope := 2 * c.height * c.contact
		catenary := c.contact * slope / math.Sqrt(1+slope*slope)
		height := catenary * (math.Acosh(2/catenary) - math.Acosh(1.2/catenary))
		cases = append(cases, closedForm{"paraboloid under a minimal surface, height at 1.2ρ, h = " + number(c.height),
			paraboloid(c.height), unit, 2 * unit, 0, at(1.2*unit, unit), height, g8b})
	}
	return cases
}

func (c closedForm) lay(t *testing.T, step float64) *Drape {
	t.Helper()
	frame := formula{c.reach, func(mgl64.Vec2) float64 { return 0 }}
	if c.frame != nil {
		frame = round(offLattice, c.reach, c.frame)
	}
	return onStep(t, Case{Frame: frame, Pocket: roundPocket{offLattice, c.pocket}}, c.pull, step)
}

// Every case of the tables, to 0.5 % at the default step, and closer as the
// grid gets finer.
func TestDrapeMeetsItsClosedForms(t *testing.T) {
	for _, c := range closedForms() {
		t.Run(c.name, func(t *testing.T) {
			var errs [3]float64
			for n, step := range []float64{1.6, 0.8, defaultStep} {
				errs[n] = c.got(c.lay(t, step))/c.want - 1
			}
			order := math.Log2(math.Abs(errs[0]/errs[2])) / 2
			t.Logf("%+.5f %% at 1.6 mm, %+.5f %% at 0.8 mm, %+.5f %% at 0.4 mm; observed order %.2f; "+
				"%s", 100*errs[0], 100*errs[1], 100*errs[2], order, c.source)
			assert.Less(t, math.Abs(errs[2]), 0.005)
			assert.Less(t, math.Abs(errs[2]), 0.5*math.Abs(errs[0])+1e-4, "no closer on a finer grid")
		})
	}
}

// The touched disc is known to about a grid step, being counted in nodes.
func TestContactIsWhereTheClosedFormsPutIt(t *testing.T) {
	for _, c := range []struct{ pocket, contact float64 }{{1.5, 0.837174210}, {2, 0.756903550}, {3, 0.673799133}} {
		d := closedForm{frame: hemisphere(15), reach: 15, pocket: 15 * c.pocket}.lay(t, defaultStep)
		// Where the skin leaves the frame it stays within the contact
		// accuracy δ for another √(2δ/κ) or so, with κ the difference in
		// curvature; 1/15 of the sphere and as much of the catenoid.
		late := math.Sqrt(2 * overTheBed / (2.0 / 15))
		got := contactRadius(d)
		t.Logf("R/ρ = %g: contact radius %.3f mm, closed form %.3f mm", c.pocket, got, 15*c.contact)
		assert.InDelta(t, 15*c.contact, got, late+defaultStep)
	}
}
