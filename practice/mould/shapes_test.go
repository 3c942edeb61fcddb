package mould

import (
	"context"
	"math"
	"sync"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// rectangle is a region of the size about the origin, mm.
func rectangle(t testing.TB, width, depth float64) *field.Region {
	t.Helper()
	x, y := width/2, depth/2
	r, err := field.NewRegion([]mgl64.Vec2{{-x, -y}, {x, -y}, {x, y}, {-x, y}})
	require.NoError(t, err)
	return r
}

// round is a regular polygon of 180 corners about the centre.
func round(t testing.TB, centre mgl64.Vec2, radius float64) *field.Region {
	t.Helper()
	var ring []mgl64.Vec2
	for i := range 180 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 90)
		ring = append(ring, centre.Add(mgl64.Vec2{radius * cos, radius * sin}))
	}
	r, err := field.NewRegion(ring)
	require.NoError(t, err)
	return r
}

// plate is a level prism.
func plate(t testing.TB, region *field.Region, low, high, edgeTop, edgeBottom float64) field.Field {
	t.Helper()
	f, err := field.NewPrism(field.Prism{
		Region: region, Underside: field.Level(low), Thickness: field.Level(high - low),
		EdgeTop: edgeTop, EdgeBottom: edgeBottom,
	})
	require.NoError(t, err)
	return f
}

// cutBall is a ball about the origin without what lies above the level.
func cutBall(t testing.TB, radius, level float64) field.Field {
	t.Helper()
	return field.Intersection(field.Ball(mgl64.Vec3{}, radius),
		plate(t, rectangle(t, 4*radius, 4*radius), -2*radius, level, 0, 0))
}

// newArch returns a bar that rises to 6 mm along x, 4 mm thick, with a round top.
func newArch() (field.Field, error) {
	const columns, rows = 61, 21
	var heights []float64
	for range rows {
		for i := range columns {
			x := (float64(i) - columns/2) / 15
			heights = append(heights, 6*math.Exp(-x*x))
		}
	}
	under, err := field.NewHeightMap(field.HeightMap{
		Origin: mgl64.Vec2{-columns / 2, -rows / 2}, Spacing: 1, Columns: columns, Rows: rows, Heights: heights,
	})
	if err != nil {
		return nil, err
	}
	region, err := field.NewRegion([]mgl64.Vec2{{-18, -3}, {18, -3}, {18, 3}, {-18, 3}})
	if err != nil {
		return nil, err
	}
	return field.NewPrism(field.Prism{Region: region, Underside: under, Thickness: field.Level(4), EdgeTop: 1.5})
}

func arch(t testing.TB) field.Field {
	t.Helper()
	f, err := newArch()
	require.NoError(t, err)
	return f
}

func printer(t testing.TB, name string) units.Printer {
	t.Helper()
	p, ok := units.PrinterLimits(name)
	require.True(t, ok)
	return p
}

func options(t testing.TB, kind string) Options {
	return Options{Kind: kind, Cast: units.CastElastic, Wall: 3, Printer: printer(t, units.Filament), Step: 0.5}
}

// archMould is made once for the tests that only look at it.
var archMould = sync.OnceValues(func() (*Mould, error) {
	p, _ := units.PrinterLimits(units.Filament)
	solid, err := newArch()
	if err != nil {
		return nil, err
	}
	return Make(context.Background(), Part{Name: "arch", Solid: solid},
		Options{Kind: units.MouldFitting, Cast: units.CastElastic, Wall: 3, Printer: p, Step: 0.5})
})

func archMade(t testing.TB) *Mould {
	t.Helper()
	m, err := archMould()
	require.NoError(t, err)
	return m
}

func makeOf(t testing.TB, name string, solid field.Field, o Options) *Mould {
	t.Helper()
	m, err := Make(context.Background(), Part{Name: name, Solid: solid}, o)
	require.NoError(t, err)
	return m
}

// demoParts are the demo's units without engraving.
func demoParts(t testing.TB) map[string]Part {
	t.Helper()
	solids, err := demotest.Plan(t).Solids(t.Context())
	require.NoError(t, err)
	parts := map[string]Part{}
	for _, s := range solids {
		parts[s.Unit.Name] = Part{Name: s.Unit.Name, Label: s.Unit.Label, Solid: s.Field}
	}
	return parts
}

// peer is the mesh as the independent library takes it.
func peer(m *mesh.Mesh) *model3d.Mesh {
	out := model3d.NewMesh()
	for _, t := range m.Triangles {
		var face model3d.Triangle
		for k := range face {
			face[k] = model3d.NewCoord3DArray(m.Vertices[t[k]])
		}
		out.Add(&face)
	}
	return out
}

// piece returns the piece of that name.
func piece(t testing.TB, m *Mould, name string) *Section {
	t.Helper()
	for i := range m.Pieces {
		if m.Pieces[i].Name == name {
			return &m.Pieces[i]
		}
	}
	require.Fail(t, "no such piece", name)
	return nil
}
