package mould

import (
	"context"
	"math"
	"runtime"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

func TestAFlatPartIsCastInAnOpenMouldItsFlatFaceUp(t *testing.T) {
	rounded := plate(t, rectangle(t, 20, 10), 5, 9, 1, 0)
	m := makeOf(t, "plate", rounded, options(t, units.MouldFitting))
	assert.Equal(t, units.MouldOpen, m.Kind)
	assert.True(t, m.Turned, "its flat face is the underside")
	assert.InDelta(t, 1, m.FlatShare, 0.01)
	assert.Empty(t, m.Undercuts)
	assert.Empty(t, m.Findings)
	assert.InDelta(t, 4+3, m.Size[2], 1e-9, "one wall beneath the part, and its top is the opening")

	upward := plate(t, rectangle(t, 20, 10), 5, 9, 0, 1)
	m = makeOf(t, "plate", upward, options(t, units.MouldFitting))
	assert.Equal(t, units.MouldOpen, m.Kind)
	assert.False(t, m.Turned)
}

func TestARoundPartIsCastInTwoPartsAtItsEquator(t *testing.T) {
	m := makeOf(t, "ball", field.Ball(mgl64.Vec3{3, 4, 5}, 6), options(t, units.MouldFitting))
	require.Equal(t, units.MouldTwoPart, m.Kind)
	require.True(t, m.Parting.Planar)
	equator := m.placing.intoMould(mgl64.Vec3{3, 4, 5})
	assert.InDelta(t, equator[2], m.Parting.Lowest, 0.1)
	assert.Empty(t, m.Undercuts)
	assert.Len(t, m.Funnels, 1)
	assert.NotEmpty(t, m.Vents, "air goes another way than what is poured")
	assert.Len(t, m.Keys, 3)
	assert.InDelta(t, 0, m.placing.intoPart(equator).Sub(mgl64.Vec3{3, 4, 5}).Len(), 1e-12)
}

// keyGap is the room between pegs and sockets: the clearance over the pegs' sides
// and tips, to the first order of the clearance.
func keyGap(m *Mould) (gap float64) {
	for _, k := range m.Keys {
		foot := k.peg.radiusLow - (k.At[2]-k.peg.low)*math.Tan(keyTaper)
		tip := k.peg.radiusHigh
		side := math.Pi * (foot + tip) * k.Height / math.Cos(keyTaper)
		gap += k.Clearance * (side + math.Pi*tip*tip)
	}
	return gap
}

// The mould and its cavity make up the block: nothing else is taken out or added
// but the channels and the room around the keys.
func TestMouldAndCavityMakeUpTheBlock(t *testing.T) {
	for name, test := range map[string]struct {
		solid field.Field
		kind  string
	}{
		"open, plate":       {plate(t, rectangle(t, 24, 12), 0, 5, 1, 0), units.MouldOpen},
		"open, half ball":   {cutBall(t, 8, 0), units.MouldOpen},
		"two parts, ball":   {field.Ball(mgl64.Vec3{}, 7), units.MouldTwoPart},
		"two parts, ring":   {field.Torus(mgl64.Vec3{}, 7, 3), units.MouldTwoPart},
		"two parts, arched": {arch(t), units.MouldTwoPart},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := options(t, test.kind)
			o.Step = 0.5
			m := makeOf(t, "part", test.solid, o)
			require.Equal(t, test.kind, m.Kind)
			var pieces float64
			for _, p := range m.Pieces {
				pieces += p.Mesh.Volume()
			}
			all := pieces + 1000*m.PourML() + keyGap(m)
			assert.InEpsilon(t, 1000*m.BlockML, all, 0.001)
			assert.InEpsilon(t, contoured(t, m.Block, 0.8).Volume(), 1000*m.BlockML, 0.0005,
				"the closed form of the block")
			assert.InEpsilon(t, contoured(t, test.solid, 0.3).Volume(), 1000*m.CavityML, 0.003,
				"the cavity is the part")
		})
	}
}

// cavityWall are points of the piece's surface that the cavity made: the facet
// looks against the part's surface, and the part's surface is near.
func cavityWall(t testing.TB, m *Mould, p *Section, spacing float64) (wall []mgl64.Vec3) {
	const near = 0.3
	samples, err := samplesOf(t.Context(), p.Mesh, p.Solid, spacing)
	require.NoError(t, err)
	points, out, gradient := make([]mgl64.Vec3, len(samples)), make([]float64, len(samples)), make([]mgl64.Vec3,
		len(samples))
	for i, s := range samples {
		points[i] = s.at
	}
	m.Cavity.Gradients(points, out, gradient)
	for i, s := range samples {
		if besideChannel(m, s.at) {
			continue // there the cast has its sprue
		}
		length := gradient[i].Len()
		if length > 0 && math.Abs(out[i]) < near && s.normal.Dot(gradient[i]) < -0.9*length {
			wall = append(wall, s.at)
		}
	}
	return wall
}

// besideChannel reports whether the place is at the foot of a funnel or vent.
func besideChannel(m *Mould, p mgl64.Vec3) bool {
	for _, c := range append(append([]Channel(nil), m.Funnels...), m.Vents...) {
		if c.At.Vec2().Sub(p.Vec2()).Len() < c.Diameter/2+m.Step {
			return true
		}
	}
	return false
}

// cavityBound, mm, is how far the cavity may be from the part.
const cavityBound = 0.05

// The cavity's wall, as an independent library measures it, lies on the part's
// surface, contoured more finely.
func TestTheCavityIsThePart(t *testing.T) {
	plan := demotest.Plan(t)
	for name, solid := range map[string]field.Field{
		"tragus": demoParts(t)["tragus"].Solid,    // at the step of units
		"ring":   field.Torus(mgl64.Vec3{}, 6, 3), // at that of blanks
	} {
		m := makeOf(t, name, solid, OptionsOf(plan))
		distance := model3d.MeshToSDF(peer(contoured(t, m.Cavity, 0.12)))
		worst, count := 0.0, 0
		for i := range m.Pieces {
			for _, p := range cavityWall(t, m, &m.Pieces[i], 0.7) {
				worst = math.Max(worst, math.Abs(distance.SDF(model3d.NewCoord3DArray(p))))
				count++
			}
		}
		assert.Greater(t, count, 300)
		assert.LessOrEqual(t, worst, cavityBound, name)
	}
}

// So does that of the helix, as its field says, to the first order: distance
// over slope.
func TestTheCavityOfTheHelixIsTheHelix(t *testing.T) {
	m := makeOf(t, "helix", demoParts(t)["helix"].Solid, OptionsOf(demotest.Plan(t)))
	for i := range m.Pieces {
		wall := cavityWall(t, m, &m.Pieces[i], 0.3)
		out, gradient := make([]float64, len(wall)), make([]mgl64.Vec3, len(wall))
		m.Cavity.Gradients(wall, out, gradient)
		worst := 0.0
		for k, d := range out {
			worst = math.Max(worst, math.Abs(d)/gradient[k].Len())
		}
		assert.Greater(t, len(wall), 2000)
		assert.LessOrEqual(t, worst, cavityBound, m.Pieces[i].Name)
	}
}

func TestShrinkageMakesTheCavityLarger(t *testing.T) {
	o := options(t, units.MouldOpen)
	solid := plate(t, rectangle(t, 20, 10), 5, 9, 0, 0)
	o.Shrinkage = 0.02
	m := makeOf(t, "plate", solid, o)
	assert.InEpsilon(t, 0.8/math.Pow(0.98, 3), m.CavityML, 1e-3)
	assert.InDelta(t, 2.0, m.Shrinkage, 1e-12)
	assert.InDelta(t, 3+4/0.98, m.Size[2], 1e-9)
}

func TestPiecesArePrintedFlatSideDown(t *testing.T) {
	m := makeOf(t, "ball", field.Ball(mgl64.Vec3{}, 6), options(t, units.MouldTwoPart))
	for i := range m.Pieces {
		p := &m.Pieces[i]
		printed := p.Printed()
		lo, _ := printed.Bounds()
		var flat float64
		const level = 1e-4 // mm
		for _, face := range printed.Triangles {
			a, b, c := printed.Vertices[face[0]], printed.Vertices[face[1]], printed.Vertices[face[2]]
			if max(a[2], b[2], c[2]) < lo[2]+level {
				flat += b.Sub(a).Cross(c.Sub(a)).Len() / 2
			}
		}
		box := m.Block.Bounds()
		assert.Greater(t, flat, 0.45*(box.Max[0]-box.Min[0])*(box.Max[1]-box.Min[1]), "%s stands on its flat outside",
			p.Name)
		verdict := mesh.Judge(printed)
		assert.NoError(t, verdict.Err())
		assert.InDelta(t, p.Mesh.Volume(), printed.Volume(), 1e-6, "turned, not mirrored")
	}
}

// Every piece is the boundary of one solid, as our judge and an independent
// library see it.
func TestPiecesAreSound(t *testing.T) {
	parts := demoParts(t)
	o := OptionsOf(demotest.Plan(t))
	o.Step = 0.5
	for _, name := range []string{"base", "helix", "antihelix", "tragus", "concha"} {
		t.Run(name, func(t *testing.T) {
			m, err := Make(context.Background(), parts[name], o)
			require.NoError(t, err)
			assert.Equal(t, name == "helix", m.Kind == units.MouldTwoPart, "only the helix has no flat face")
			for _, p := range m.Pieces {
				require.NoError(t, p.Verdict.Err())
				require.Len(t, p.Verdict.Shells, 1)
				other := peer(p.Mesh)
				assert.False(t, other.NeedsRepair())
				assert.Empty(t, other.SingularVertices())
				assert.Empty(t, crossings(other))
				_, flipped := other.RepairNormals(1e-6)
				assert.Zero(t, flipped)
			}
			for _, f := range m.Findings {
				assert.Equal(t, units.Note, f.Severity, "%s", f)
			}
		})
	}
}

// peerRounding, mm: the library computes where two triangles meet in floating
// point. Of slivers that share no corner and pass within some 10⁻⁵ mm of one
// another it says that they meet, along less than this; our judge decides that
// exactly.
const peerRounding = 1e-5

// crossings are the places where the library finds that triangles cross.
func crossings(m *model3d.Mesh) (found []model3d.Segment) {
	collider := model3d.MeshToCollider(m)
	m.Iterate(func(t *model3d.Triangle) {
		for _, s := range collider.TriangleCollisions(t) {
			if s[0].Dist(s[1]) > peerRounding {
				found = append(found, s)
			}
		}
	})
	return found
}

func TestAMouldIsTheSameOnAnyNumberOfCores(t *testing.T) {
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	o := options(t, units.MouldTwoPart)
	o.Step = 0.8
	var first *Mould
	for _, n := range []int{1, 3} {
		runtime.GOMAXPROCS(n)
		m := makeOf(t, "arch", arch(t), o)
		if first == nil {
			first = m
			continue
		}
		for i, p := range m.Pieces {
			assert.Equal(t, first.Pieces[i].Mesh, p.Mesh)
		}
		assert.Equal(t, first.Vents, m.Vents)
		assert.Equal(t, first.Findings, m.Findings)
	}
}
