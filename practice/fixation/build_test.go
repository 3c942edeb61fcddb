package fixation_test

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/practice/fixation"
	"earframe/template"
	"earframe/units"
)

// coarse is the sampling step of the demo's meshes here: fixations come from the
// fields, meshes are what they are checked against.
const coarse = 0.25

// demoFramework builds the built-in example once.
var demoFramework = sync.OnceValues(func() (*assemble.Framework, error) {
	plan, err := demotest.Load()
	if err != nil {
		return nil, err
	}
	plan.Step = coarse
	return assemble.Build(context.Background(), plan, assemble.Options{})
})

func demoPlan(t testing.TB) (*assemble.Framework, *fixation.Plan) {
	t.Helper()
	f, err := demoFramework()
	require.NoError(t, err)
	p, err := fixation.Make(context.Background(), f)
	require.NoError(t, err)
	return f, p
}

// slab is a level unit of one outline.
func slab(part units.Part, rise, thickness float64, outer template.Ring, holes ...template.Ring) *units.Unit {
	return &units.Unit{
		Name: string(part), Part: part, Label: part.Label(), Thickness: thickness, Rise: units.Rise{Height: rise},
		Outlines: []template.Outline{{ID: string(part), Part: string(part), Outer: outer, Holes: holes}},
	}
}

// rectangle returns a rectangle about a middle, turned.
func rectangle(middle mgl64.Vec2, length, width, turn float64) template.Ring {
	sin, cos := math.Sincos(turn)
	var ring template.Ring
	for _, p := range []mgl64.Vec2{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		x, y := p[0]*length/2, p[1]*width/2
		ring = append(ring, middle.Add(mgl64.Vec2{x*cos - y*sin, x*sin + y*cos}))
	}
	return ring
}

// circle returns a polygon of many corners, counter-clockwise or, for a hole,
// clockwise.
func circle(radius float64, hole bool) template.Ring {
	const corners = 360
	ring := make(template.Ring, corners)
	for i := range ring {
		turn := 2 * math.Pi * float64(i) / corners
		if hole {
			turn = -turn
		}
		ring[i] = mgl64.Vec2{radius * math.Cos(turn), radius * math.Sin(turn)}
	}
	return ring
}

// laid lays units on one another without making meshes, which fixations do not
// need; every pair is said to touch.
func laid(t require.TestingT, asked units.Fixation, parts ...*units.Unit) *assemble.Framework {
	printer, _ := units.PrinterLimits(units.Filament)
	f := &assemble.Framework{Plan: &units.Plan{Side: units.Left, Units: parts, Printer: printer, Step: coarse,
		Tolerance: 0.01}}
	f.Plan.Practice.Fixation = asked
	solids, err := f.Plan.Solids(context.Background())
	require.NoError(t, err)
	for i, s := range solids {
		f.Pieces = append(f.Pieces, assemble.Piece{Unit: s.Unit, Solid: s.Field})
		for _, other := range solids[:i] {
			f.Contacts = append(f.Contacts, assemble.Contact{A: other.Unit.Name, B: s.Unit.Name, Area: 30})
		}
	}
	return f
}

func planned(t testing.TB, asked units.Fixation, parts ...*units.Unit) *fixation.Plan {
	t.Helper()
	p, err := fixation.Make(context.Background(), laid(t, asked, parts...))
	require.NoError(t, err)
	return p
}

var usual = units.Fixation{Spacing: 3, Wire: 0.1, Allowance: 60}
