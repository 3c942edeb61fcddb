package kit

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/simplify"
	"earframe/template"
	"earframe/units"
)

// ramp is a plane that rises along x.
type ramp float64

func (r ramp) Height(x, _ float64) (z, slopeX, slopeY float64) { return float64(r) * x, float64(r), 0 }
func (r ramp) Steepest() float64                               { return math.Abs(float64(r)) }
func (r ramp) Span(lo, hi mgl64.Vec2) (low, high float64) {
	a, b := float64(r)*lo[0], float64(r)*hi[0]
	return min(a, b), max(a, b)
}

func rectangle(x0, y0, x1, y1 float64) template.Ring {
	return template.Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func prismOf(t require.TestingT, ring template.Ring, under field.Surface, thickness float64) field.Field {
	region, err := field.NewRegion(ring)
	require.NoError(t, err)
	f, err := field.NewPrism(field.Prism{Region: region, Underside: under, Thickness: field.Level(thickness)})
	require.NoError(t, err)
	return f
}

func contoured(t require.TestingT, f field.Field, step float64) *mesh.Mesh {
	m, _, err := surface(context.Background(), f, step, simplify.DefaultTolerance)
	require.NoError(t, err)
	return m
}

func valueAt(f field.Field, p mgl64.Vec3) float64 {
	var out [1]float64
	f.Distances([]mgl64.Vec3{p}, out[:])
	return out[0]
}

// roomAround is the room that is made for a solid.
func roomAround(t testing.TB, solid field.Field, surface *mesh.Mesh, grown, step float64) *around {
	room, err := newAround(context.Background(), solid, surface, grown, step)
	require.NoError(t, err)
	return room
}

// Under a slope s a point at distance c along the normal has the sheared field's
// value c √(1+s²): the field's own offset would leave the gap short of c.
func TestRoomUnderASlopeIsTrueDistance(t *testing.T) {
	const slope, clearance = 0.8, 0.25
	bar := prismOf(t, rectangle(-6, -3, 6, 3), ramp(slope), 3)
	room := roomAround(t, bar, contoured(t, bar, 0.2), clearance, 0.2)
	normal := mgl64.Vec3{slope, 0, -1}.Normalize()
	for _, x := range []float64{-3, -1, 0.5, 2.5} {
		p := mgl64.Vec3{x, 0.3, slope * x}.Add(normal.Mul(clearance))
		assert.InDelta(t, 0, valueAt(room, p), 0.005)
		own := valueAt(field.Offset(bar, clearance), p)
		assert.InDelta(t, clearance*(math.Hypot(1, slope)-1), own, 1e-9)
		assert.Greater(t, own, 0.03, "which is why the field's own offset will not do")
	}
}

func TestRoomIsTheDistanceToTheNearestTriangle(t *testing.T) {
	bar := prismOf(t, rectangle(-4, -2, 4, 2), ramp(0.5), 2)
	m := contoured(t, bar, 0.5)
	const clearance = 0.3
	room := roomAround(t, bar, m, clearance, 0.2)
	random := rand.New(rand.NewPCG(1, 2))
	near := 0
	for range 4000 {
		p := mgl64.Vec3{random.Float64()*10 - 5, random.Float64()*6 - 3, random.Float64()*8 - 4}
		slow := math.Inf(1)
		for _, c := range m.Triangles {
			slow = min(slow, onSegments(p, m.Vertices[c[0]], m.Vertices[c[1]], m.Vertices[c[2]]))
		}
		want := math.Copysign(min(slow, room.reach), valueAt(bar, p)) - clearance
		require.InDelta(t, want, valueAt(room, p), 1e-9, "%v", p)
		if slow < room.reach {
			near++
		}
	}
	assert.Greater(t, near, 500)
}

// onSegments is the distance to a triangle: to its plane within it, else to its
// sides.
func onSegments(p, a, b, c mgl64.Vec3) float64 {
	n := b.Sub(a).Cross(c.Sub(a)).Normalize()
	foot := p.Sub(n.Mul(p.Sub(a).Dot(n)))
	inside, least := true, math.Inf(1)
	for _, e := range [][2]mgl64.Vec3{{a, b}, {b, c}, {c, a}} {
		along := e[1].Sub(e[0])
		if along.Cross(foot.Sub(e[0])).Dot(n) < 0 {
			inside = false
		}
		t := min(max(p.Sub(e[0]).Dot(along)/along.LenSqr(), 0), 1)
		least = min(least, p.Sub(e[0].Add(along.Mul(t))).Len())
	}
	if inside {
		return p.Sub(foot).Len()
	}
	return least
}

// slivers returns the material beside a strip's seat near a recess and an edge.
func slivers(t require.TestingT) *sliver {
	base := &units.Unit{Name: "base", Part: units.Base, Thickness: 3,
		Outlines: []template.Outline{{ID: "base", Outer: rectangle(-10, -8, 10, 8)}}}
	base.Recesses = []units.Recess{{Name: "scapha", Depth: 1.2, Wall: 0.6,
		Outlines: []template.Outline{{ID: "scapha", Outer: rectangle(-6, 2, 6, 5)}}}}
	strip := &units.Unit{Name: "helix", Part: units.Helix, Thickness: 3, Rise: units.Rise{Height: 3},
		Outlines: []template.Outline{{ID: "helix", Outer: rectangle(-8, -7.5, 8, 1.4)}}}
	solid, err := base.Solid()
	require.NoError(t, err)
	k := &Kit{Clearance: 0.2}
	printer, _ := units.PrinterLimits(units.Filament)
	f, err := k.newSliver(&Print{Unit: base, plain: solid}, strip, nil, &units.Plan{Printer: printer})
	require.NoError(t, err)
	return f.(*sliver)
}

func TestWhatIsTooThinBesideASeatGoesDownToItsFloor(t *testing.T) {
	s := slivers(t)
	for _, c := range []struct {
		at   mgl64.Vec3
		gone bool
		why  string
	}{
		{mgl64.Vec3{0, 1.8, 2.9}, true, "0.4 mm between the seat (to 1.6) and the recess (from 2)"},
		{mgl64.Vec3{0, 1.8, 2.7}, false, "under the seat's floor"},
		{mgl64.Vec3{0, -7.8, 2.9}, true, "0.3 mm between the seat and the outline"},
		{mgl64.Vec3{9, -7.8, 2.9}, false, "beside the seat's end, 1.8 mm from the side"},
		{mgl64.Vec3{0, 6.5, 2.9}, false, "beyond the recess"},
		{mgl64.Vec3{-8.6, 0, 2.9}, false, "1.8 mm to the outline"},
	} {
		assert.Equal(t, c.gone, valueAt(s, c.at) < 0, c.why)
	}
}

func TestRangesHoldEveryValueInABox(t *testing.T) {
	bar := prismOf(t, rectangle(-4, -2, 4, 2), ramp(0.6), 2)
	turn := mgl64.Rotate3DZ(0.4).Mul3(mgl64.Rotate3DX(1.1))
	fields := map[string]field.Field{
		"room":   roomAround(t, bar, contoured(t, bar, 0.4), 0.25, 0.2),
		"sliver": slivers(t),
		"turned": turnedField{bar, turn},
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.Float64Range(-9, 9)
		lo := mgl64.Vec3{r.Draw(t, "x"), r.Draw(t, "y"), r.Draw(t, "z")}
		size := rapid.Float64Range(0.01, 3).Draw(t, "size")
		box := field.Box{Min: lo, Max: lo.Add(mgl64.Vec3{size, size / 2, size / 3})}
		unit := rapid.Float64Range(0, 1)
		p := box.Min
		for k := range p {
			p[k] += unit.Draw(t, "share") * (box.Max[k] - box.Min[k])
		}
		for name, f := range fields {
			low, high := f.Range(box)
			d := valueAt(f, p)
			require.LessOrEqual(t, low, d+1e-9, name)
			require.GreaterOrEqual(t, high, d-1e-9, name)
		}
	})
}

func TestATurnedSolidIsTheSolidTurned(t *testing.T) {
	bar := prismOf(t, rectangle(-4, -2, 4, 2), field.Level(0), 2)
	turn := mgl64.Rotate3DZ(0.4).Mul3(mgl64.Rotate3DX(1.1))
	f := turnedField{bar, turn}
	p := mgl64.Vec3{4.5, 0.3, 1}
	var d [1]float64
	var g [1]mgl64.Vec3
	f.Gradients([]mgl64.Vec3{turn.Mul3x1(p)}, d[:], g[:])
	assert.InDelta(t, 0.5, d[0], 1e-9)
	assert.InDelta(t, 0, g[0].Sub(turn.Mul3x1(mgl64.Vec3{1, 0, 0})).Len(), 1e-9)
	m := contoured(t, f, 0.2)
	assert.InEpsilon(t, 8*4*2, m.Volume(), 0.002)
}

func TestAHullHoldsItsPointsAndABoxStandsOnItsSixSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Whole coordinates: many points in one plane, on one line, at one place.
		n := rapid.IntRange(4, 60).Draw(t, "points")
		points := make([]mgl64.Vec3, n)
		r := rapid.IntRange(0, 4)
		for i := range points {
			points[i] = mgl64.Vec3{float64(r.Draw(t, "x")), float64(r.Draw(t, "y")), float64(r.Draw(t, "z"))}
		}
		for _, f := range hullOf(points) {
			for _, p := range points {
				require.LessOrEqual(t, f.over(p), 3*joggle)
			}
		}
	})
	m := contoured(t, prismOf(t, rectangle(0, 0, 8, 5), field.Level(0), 3), 0.5)
	found, err := rests(t.Context(), m)
	require.NoError(t, err)
	require.Len(t, found, 6)
	for i, area := range []float64{40, 40, 24, 24, 15, 15} {
		assert.InDelta(t, area, found[i].area, 0.1)
	}
}

func TestATopHeavyPieceStandsWhereItDoesNotTip(t *testing.T) {
	// A slab with a long arm to one side: it does not stand on the slab's end.
	m := contoured(t, field.Union(
		prismOf(t, rectangle(0, 0, 4, 4), field.Level(0), 12),
		prismOf(t, rectangle(0, 0, 30, 4), field.Level(10), 2)), 0.5)
	found, err := rests(t.Context(), m)
	require.NoError(t, err)
	for _, r := range found {
		if r.normal[2] < -0.999 {
			t.Error("its middle of mass lies beyond the foot")
		}
	}
}
