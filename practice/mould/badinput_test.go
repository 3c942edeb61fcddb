package mould

import (
	"context"
	"math"
	"testing"
	"time"

	"earframe/field"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNumbersThatNoMouldCanBeMadeTo(t *testing.T) {
	solid := plate(t, rectangle(t, 12, 8), 0, 4, 0, 0)
	for name, test := range map[string]struct {
		spoil func(*Options)
		says  string
	}{
		"wall thinner than printable": {func(o *Options) { o.Wall = 0.5 },
			"casting.wall is 0.5 mm, at least the 0.9 mm that the filament printer makes"},
		"wall of no number": {func(o *Options) { o.Wall = math.NaN() }, "casting.wall"},
		"endless wall":      {func(o *Options) { o.Wall = math.Inf(1) }, "casting.wall"},
		"negative clearance": {func(o *Options) { o.Printer.Clearance = -0.1 },
			"clearance of the mould's keys is -0.1 mm"},
		"clearance of no number": {func(o *Options) { o.Printer.Clearance = math.NaN() },
			"printer's limits are not complete"},
		"no printer": {func(o *Options) { o.Printer = units.Printer{} },
			"printer's limits are not complete"},
		"negative draft":         {func(o *Options) { o.Draft = -0.1 }, "casting.draft"},
		"draft of no number":     {func(o *Options) { o.Draft = math.NaN() }, "casting.draft"},
		"draft of a right angle": {func(o *Options) { o.Draft = math.Pi / 2 }, "casting.draft"},
		"growth":                 {func(o *Options) { o.Shrinkage = -0.1 }, "casting.shrinkage"},
		"shrinkage to nothing":   {func(o *Options) { o.Shrinkage = 1 }, "casting.shrinkage"},
		"kind unknown":           {func(o *Options) { o.Kind = "lost wax" }, `casting.mould is "lost wax"`},
		"cast unknown":           {func(o *Options) { o.Cast = "" }, `casting.cast is ""`},
		"negative step":          {func(o *Options) { o.Step = -1 }, "sampling step"},
	} {
		t.Run(name, func(t *testing.T) {
			o := options(t, units.MouldFitting)
			test.spoil(&o)
			_, err := Make(context.Background(), Part{Name: "tragus", Solid: solid}, o)
			require.Error(t, err)
			assert.Contains(t, err.Error(), "tragus")
			assert.Contains(t, err.Error(), test.says)
		})
	}
}

func TestSeveralFaultsAreSaidAtOnce(t *testing.T) {
	o := options(t, units.MouldFitting)
	o.Wall, o.Draft = 0, -1
	_, err := Make(context.Background(), Part{Name: "tragus"}, o)
	require.Error(t, err)
	for _, says := range []string{"no solid", "casting.wall", "casting.draft"} {
		assert.Contains(t, err.Error(), says)
	}
}

func TestPartsThatCannotBeCast(t *testing.T) {
	ball := field.Ball(mgl64.Vec3{}, 5)
	for name, part := range map[string]Part{
		"nothing":             {},
		"endless":             {Solid: field.Ball(mgl64.Vec3{}, math.Inf(1))},
		"no number":           {Solid: field.Ball(mgl64.Vec3{math.NaN(), 0, 0}, 5)},
		"smaller than a step": {Solid: field.Ball(mgl64.Vec3{}, 0.01)},
		"a house":             {Solid: field.Ball(mgl64.Vec3{}, 5000)},
		"mesh of no number": {Solid: ball, Mesh: &mesh.Mesh{Vertices: []mgl64.Vec3{{math.NaN(), 0, 0}},
			Triangles: [][3]int32{{0, 0, 0}}}},
		"mesh of nothing": {Solid: ball, Mesh: &mesh.Mesh{}},
	} {
		t.Run(name, func(t *testing.T) {
			part.Name = "concha"
			_, err := Make(context.Background(), part, options(t, units.MouldFitting))
			require.Error(t, err)
			assert.Contains(t, err.Error(), "concha")
		})
	}
}

func TestAnOpenMouldNeedsAFlatFace(t *testing.T) {
	_, err := Make(context.Background(), Part{Name: "rib-8", Solid: field.Ball(mgl64.Vec3{}, 6)},
		options(t, units.MouldOpen))
	require.ErrorIs(t, err, ErrNoFlatFace)
	assert.Contains(t, err.Error(), "rib-8")
	assert.Contains(t, err.Error(), "casting.mould: fitting or two-part")
}

// Letters cut into the opening would be mould that hangs on nothing.
func TestAMouldThatFallsApartIsRefused(t *testing.T) {
	lettered := field.Difference(plate(t, rectangle(t, 20, 10), 0, 4, 0, 0),
		plate(t, rectangle(t, 6, 2), -1, 0.8, 0, 0))
	o := options(t, units.MouldFitting)
	m, err := Make(context.Background(), Part{Name: "base", Solid: lettered}, o)
	require.NoError(t, err)
	assert.False(t, m.Turned, "the other side is taken")
	both := field.Difference(lettered, plate(t, rectangle(t, 6, 2), 3.2, 5, 0, 0))
	o.Kind = units.MouldOpen
	_, err = Make(context.Background(), Part{Name: "base", Solid: both}, o)
	require.ErrorIs(t, err, ErrLoose)
	assert.Contains(t, err.Error(), "base")
}

func TestACancelledMouldEndsSoon(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	begun := time.Now()
	_, err := Make(ctx, Part{Name: "arch", Solid: arch(t)}, options(t, units.MouldTwoPart))
	require.ErrorIs(t, err, context.Canceled)
	assert.Less(t, time.Since(begun), time.Second)
}
