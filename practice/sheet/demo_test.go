package sheet

import (
	"context"
	"math"
	"sync"
	"testing"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/demotest"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

// demoPlan is the built-in example as a plan of its own, of either side.
func demoPlan(t testing.TB, side units.Side) *units.Plan {
	t.Helper()
	if side == units.Right {
		return demotest.Plan(t, "side: left", "side: right", "file: template.svg", "file: template.svg\n  mirror: true")
	}
	return demotest.Plan(t)
}

// demoContacts are the pairs of the demo's units that touch.
func demoContacts() []assemble.Contact {
	var contacts []assemble.Contact
	for _, pair := range [][2]string{{"base", "helix"}, {"base", "antihelix"}, {"base", "tragus"}, {"base", "concha"},
		{"helix", "concha"}} {
		contacts = append(contacts, assemble.Contact{A: pair[0], B: pair[1], Area: 1})
	}
	return append(contacts, assemble.Contact{A: "tragus", B: "helix", Gap: 2})
}

// demoFixations are places where the helix, the antihelix and the tragus lie on
// the base frame, 3 mm apart at least.
func demoFixations(plan *units.Plan) []Fixation {
	var all []Fixation
	base := plan.Unit("base")
	for _, name := range []string{"helix", "antihelix", "tragus"} {
		first := len(all)
		forLattice(plan.Unit(name).Outlines[0], func(p mgl64.Vec2) {
			for _, f := range all[first:] {
				if f.At.Vec2().Sub(p).Len() < 3 {
					return
				}
			}
			if contains(base.Outlines, p) && clearance(rings(plan.Unit(name).Outlines), p) > 1.5 {
				all = append(all, Fixation{Number: len(all) + 1, Upper: name, Lower: "base",
					At: mgl64.Vec3{p[0], p[1], 3}})
			}
		})
	}
	return all
}

var demoHeights = sync.OnceValues(func() (*assemble.DepthMap, error) {
	plan, err := demotest.Load()
	if err != nil {
		return nil, err
	}
	solids, err := plan.Solids(context.Background())
	if err != nil {
		return nil, err
	}
	var fields []field.Field
	for _, s := range solids {
		fields = append(fields, s.Field)
	}
	return assemble.Depth(context.Background(), field.Union(fields...), 0.25)
})

// demoInput is everything that the demo's carving sheets show.
func demoInput(t testing.TB, side units.Side) Input {
	t.Helper()
	plan := demoPlan(t, side)
	heights, err := demoHeights()
	require.NoError(t, err)
	if side == units.Right {
		heights = mirrored(heights)
	}
	return Input{Plan: plan, Contacts: demoContacts(), Fixations: demoFixations(plan), Heights: heights}
}

// mirrored is a map in the mirror of x = 0.
func mirrored(m *assemble.DepthMap) *assemble.DepthMap {
	out := *m
	out.Origin = mgl64.Vec2{-(m.Origin[0] + float64(m.Columns-1)*m.Step), m.Origin[1]}
	out.Top = make([]float64, len(m.Top))
	for k := range m.Top {
		row, column := k/m.Columns, k%m.Columns
		out.Top[row*m.Columns+m.Columns-1-column] = m.Top[k]
	}
	return &out
}

var (
	carvings     = map[[2]string]*Document{}
	carvingsLock sync.Mutex
)

// demoCarving is the demo's carving sheets, drawn once and not to be changed.
func demoCarving(t testing.TB, paper string, side units.Side) *Document {
	t.Helper()
	carvingsLock.Lock()
	defer carvingsLock.Unlock()
	key := [2]string{paper, string(side)}
	if carvings[key] == nil {
		in := demoInput(t, side)
		in.Plan.Practice.Sheets.Paper = paper
		d, err := Carving(in)
		require.NoError(t, err)
		carvings[key] = d
	}
	return carvings[key]
}

// surface is a map of a surface of revolution about the origin, without
// framework beyond a radius.
func surface(radius, step float64, height func(r float64) float64) *assemble.DepthMap {
	n := 2*int(math.Ceil(radius/step)) + 3
	m := &assemble.DepthMap{Step: step, Columns: n, Rows: n, Top: make([]float64, n*n)}
	m.Origin = mgl64.Vec2{-float64(n-1) / 2 * step, -float64(n-1) / 2 * step}
	for k := range m.Top {
		m.Top[k] = math.NaN()
		if r := m.Place(k).Len(); r <= radius {
			m.Top[k] = height(r)
		}
	}
	return m
}
