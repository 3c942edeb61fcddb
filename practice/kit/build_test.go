package kit_test

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/practice/kit"
	"earframe/template"
	"earframe/units"
)

// demoStep is the sampling step of the built-in example where clearances are
// measured to hundredths.
const demoStep = contour.DefaultStep

// demoFramework builds the built-in example, once.
var demoFramework = sync.OnceValues(func() (*assemble.Framework, error) { return demoAt(demoStep, false) })

// demoAt builds the built-in example at a sampling step, or its mirror image.
func demoAt(step float64, mirrored bool) (*assemble.Framework, error) {
	var replace []string
	if mirrored {
		replace = []string{"drawn: frame", "drawn: frame\n  mirror: true"}
	}
	plan, err := demotest.Load(replace...)
	if err != nil {
		return nil, err
	}
	plan.Step = step
	return assemble.Build(context.Background(), plan, assemble.Options{})
}

// demoKits holds the kits that several tests look at.
var demoKits sync.Map

// demoKit makes the demo's kit with a clearance, on a printer, once.
func demoKit(t testing.TB, printer string, clearance float64) *kit.Kit {
	t.Helper()
	type key struct {
		printer   string
		clearance float64
	}
	if k, ok := demoKits.Load(key{printer, clearance}); ok {
		return k.(*kit.Kit)
	}
	f, err := demoFramework()
	require.NoError(t, err)
	with := withPlan(f)
	with.Plan.Printer, _ = units.PrinterLimits(printer)
	with.Plan.Practice.Kit.Clearance = clearance
	k := made(t, with)
	demoKits.Store(key{printer, clearance}, k)
	return k
}

// withPlan copies a framework with a plan of its own.
func withPlan(f *assemble.Framework) *assemble.Framework {
	with, plan := *f, *f.Plan
	with.Plan = &plan
	return &with
}

func made(t testing.TB, f *assemble.Framework) *kit.Kit {
	t.Helper()
	k, err := kit.Make(context.Background(), f, nil, nil)
	require.NoError(t, err)
	return k
}

// box is a level unit of one rectangle.
func box(part units.Part, lo, hi mgl64.Vec3) *units.Unit {
	return slab(part, lo[2], hi[2]-lo[2], template.Ring{{lo[0], lo[1]}, {hi[0], lo[1]}, {hi[0], hi[1]}, {lo[0], hi[1]}})
}

func slab(part units.Part, rise, thickness float64, outer template.Ring, holes ...template.Ring) *units.Unit {
	return &units.Unit{
		Name: string(part), Part: part, Label: part.Label(), Thickness: thickness, Rise: units.Rise{Height: rise},
		Outlines: []template.Outline{{ID: string(part), Part: string(part), Outer: outer, Holes: holes}},
	}
}

// stacked builds units into a framework with a kit's usual settings.
func stacked(t testing.TB, parts ...*units.Unit) *assemble.Framework {
	t.Helper()
	return stackedAt(t, contour.DefaultStep, parts...)
}

// coarse is the sampling step where nothing is measured to hundredths.
const coarse = 0.5

func stackedAt(t testing.TB, step float64, parts ...*units.Unit) *assemble.Framework {
	t.Helper()
	printer, _ := units.PrinterLimits(units.Resin)
	plan := &units.Plan{Side: units.Left, Units: parts, Printer: printer, Step: step,
		Tolerance: simplify.DefaultTolerance}
	plan.Engrave.Depth = 0.3
	plan.Practice.Kit = units.Kit{Clearance: 0.25, BedWidth: 180, BedDepth: 180, Gap: 4}
	f, err := assemble.Build(context.Background(), plan, assemble.Options{})
	require.NoError(t, err)
	return f
}

// peer is a mesh as the independent library takes it.
func peer(m *mesh.Mesh) *model3d.Mesh {
	to := model3d.NewMesh()
	for _, t := range m.Triangles {
		var tri model3d.Triangle
		for k, v := range t {
			tri[k] = model3d.NewCoord3DArray(m.Vertices[v])
		}
		to.Add(&tri)
	}
	return to
}

// lettersDepth is the least depth of letters here: what is farther away than the
// clearance by half of it faces a letter's floor, or nothing.
const lettersDepth = 0.3

// gaps says how far two meshes are apart, measured by the independent library.
type gaps struct {
	least   float64    // of any point of one from the other
	facing  []float64  // along the normal, wherever another surface faces it squarely within a few clearances
	areas   []float64  // of surface that each stands for, mm²
	at      mgl64.Vec3 // where it is least
	pierced int        // points of one inside the other
}

// between samples the surface of a: triangles' middles, the triangles divided
// until they are small, and asks the peer about b.
func between(a, b *mesh.Mesh, clearance float64) gaps {
	sdf, collider := model3d.MeshToSDF(peer(b)), model3d.MeshToCollider(peer(b))
	g := gaps{least: math.Inf(1)}
	lo, hi := b.Bounds()
	far := clearance + lettersDepth/2
	var visit func(p, q, r mgl64.Vec3)
	visit = func(p, q, r mgl64.Vec3) {
		if max(p.Sub(q).Len(), q.Sub(r).Len(), r.Sub(p).Len()) > 1 {
			u, v, w := p.Add(q).Mul(0.5), q.Add(r).Mul(0.5), r.Add(p).Mul(0.5)
			visit(p, u, w)
			visit(u, q, v)
			visit(w, v, r)
			visit(u, v, w)
			return
		}
		c := p.Add(q).Add(r).Mul(1.0 / 3)
		for k := range c {
			if c[k] < lo[k]-far || c[k] > hi[k]+far {
				return
			}
		}
		at := model3d.NewCoord3DArray(c)
		if !collider.SphereCollision(at, far) {
			return // nothing of the other is that near
		}
		d := -sdf.SDF(at)
		if d < g.least {
			g.least, g.at = d, c
		}
		if d < 0 {
			g.pierced++
		}
		n := q.Sub(p).Cross(r.Sub(p))
		area := n.Len() / 2
		n = n.Normalize()
		hit, ok := collider.FirstRayCollision(&model3d.Ray{Origin: at, Direction: model3d.NewCoord3DArray(n)})
		if ok && hit.Scale < far && hit.Normal.Dot(model3d.NewCoord3DArray(n)) < -0.95 {
			g.facing = append(g.facing, hit.Scale)
			g.areas = append(g.areas, area)
		}
	}
	for _, t := range a.Triangles {
		visit(a.Vertices[t[0]], a.Vertices[t[1]], a.Vertices[t[2]])
	}
	return g
}

// within returns the share of the facing surface whose gap is within a tolerance
// of what was asked, and the facing area, mm².
func (g gaps) within(clearance, tolerance float64) (share, area float64) {
	good := 0.0
	for i, d := range g.facing {
		area += g.areas[i]
		if math.Abs(d-clearance) <= tolerance {
			good += g.areas[i]
		}
	}
	return good / math.Max(area, 1e-9), area
}
