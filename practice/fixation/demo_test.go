package fixation_test

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"

	"earframe/assemble"
	"earframe/field"
	"earframe/practice/fixation"
)

// peer is a piece's mesh as the independent library takes it.
func peer(p *assemble.Piece) *model3d.Mesh {
	m := model3d.NewMesh()
	for _, t := range p.Mesh.Triangles {
		var tri model3d.Triangle
		for k, v := range t {
			tri[k] = model3d.NewCoord3DArray(p.Mesh.Vertices[v])
		}
		m.Add(&tri)
	}
	return m
}

func pieceOf(f *assemble.Framework, name string) *assemble.Piece {
	for i := range f.Pieces {
		if f.Pieces[i].Unit.Name == name {
			return &f.Pieces[i]
		}
	}
	return nil
}

func TestTheDemoIsWiredAlongEverySeam(t *testing.T) {
	_, p := demoPlan(t)
	seams := map[string]int{}
	for _, s := range p.Seams {
		seams[s.Upper+" over "+s.Lower]++
		assert.Positive(t, s.Count, s.Name)
		assert.InDelta(t, 3, s.Step, 0.5, s.Name)
	}
	assert.Equal(t, map[string]int{
		"helix over base": 1, "antihelix over base": 3, "tragus over base": 1, "base over concha": 1,
		"helix over concha": 1,
	}, seams, "the antihelix has a body and two crura")
	assert.Equal(t, len(p.Points), p.Count)
	assert.InDelta(t, 79, p.Count, 3)
}

// Distances and depths are measured by an independent library on the meshes.
func TestDemoFixationsLieOnBothUnitsAndPassThroughThem(t *testing.T) {
	f, p := demoPlan(t)
	sdf, collider := map[string]model3d.SDF{}, map[string]model3d.Collider{}
	for i := range f.Pieces {
		m := peer(&f.Pieces[i])
		sdf[f.Pieces[i].Unit.Name] = model3d.MeshToSDF(m)
		collider[f.Pieces[i].Unit.Name] = model3d.MeshToCollider(m)
	}
	for _, q := range p.Points {
		at, along := model3d.NewCoord3DArray(q.At), model3d.NewCoord3DArray(q.Direction)
		for _, name := range []string{q.Upper, q.Lower} {
			assert.InDelta(t, 0, sdf[name].SDF(at), 0.1, "%d on %s", q.Number, name)
		}
		assert.InDelta(t, 1, q.Direction.Len(), 1e-9)
		assert.Negative(t, q.Direction[2], "inward")
		for _, c := range []struct {
			name  string
			along model3d.Coord3D
			depth float64
		}{{q.Upper, along.Scale(-1), q.UpperMM}, {q.Lower, along, q.LowerMM}} {
			require.Positive(t, c.depth, "%d passes %s", q.Number, c.name)
			// From the middle of the material on, the ray comes out after the other half.
			middle := at.Add(c.along.Scale(c.depth / 2))
			assert.Positive(t, sdf[c.name].SDF(middle), "%d inside %s", q.Number, c.name)
			hit, ok := collider[c.name].FirstRayCollision(&model3d.Ray{Origin: middle, Direction: c.along})
			require.True(t, ok)
			assert.InDelta(t, c.depth/2, hit.Scale, 0.06, "%d through %s", q.Number, c.name)
		}
	}
}

// Where a seam tapers, a fixation stands up to half a step farther within, or is left
// out between two that hold.
func TestDemoFixationsAreEvenlySpacedWithinTheOutlines(t *testing.T) {
	f, p := demoPlan(t)
	even, gaps := 0, 0
	for i, q := range p.Points {
		s := p.Seams[q.Seam]
		assert.True(t, q.EdgeMM >= 1 || s.Count == 1, "%s, point %d: %.2f mm off the edge", s.Name, q.Number, q.EdgeMM)
		if i > 0 && p.Points[i-1].Seam == q.Seam {
			gap := q.At.Sub(p.Points[i-1].At).Len() / s.Step
			assert.Greater(t, gap, 0.45, "%s, point %d", s.Name, q.Number)
			assert.Less(t, gap, 2.05, "%s, point %d", s.Name, q.Number)
			gaps++
			if math.Abs(gap-1) < 0.04 {
				even++
			}
		}
		for _, name := range []string{q.Upper, q.Lower} {
			o := pieceOf(f, name).Unit.Outlines[0]
			rings := [][]mgl64.Vec2{o.Outer}
			for _, h := range o.Holes {
				rings = append(rings, h)
			}
			region, err := field.NewRegion(rings...)
			require.NoError(t, err)
			assert.Less(t, region.Distance(q.At.Vec2()), -0.4, "%d in the outline of %s", q.Number, name)
		}
	}
	ends := 0
	for _, s := range p.Seams {
		if s.Closed || s.Count == 0 {
			continue
		}
		from := firstOf(p, s.Name).At.Sub(s.Line[0]).Len() / s.Step
		assert.Greater(t, from, 0.45, "%s begins half a step from its end", s.Name)
		assert.Less(t, from, 1.55, "%s begins half a step from its end, or one more", s.Name)
		ends++
	}
	assert.Greater(t, float64(even), 0.9*float64(gaps))
	assert.Equal(t, 6, ends)
}

func firstOf(p *fixation.Plan, seam string) fixation.Point {
	for _, q := range p.Points {
		if p.Seams[q.Seam].Name == seam {
			return q
		}
	}
	return fixation.Point{}
}

// Where the underside slopes, the wire is square to it: the normal of the
// helix's underside, from its own heights.
func TestDemoWiresAreSquareToASlopingContact(t *testing.T) {
	f, p := demoPlan(t)
	under, err := f.Plan.Unit("helix").Underside()
	require.NoError(t, err)
	steepest := 0.0
	for _, q := range p.Points {
		if q.Upper != "helix" {
			continue
		}
		_, x, y := under.Height(q.At[0], q.At[1])
		n := math.Sqrt(x*x + y*y + 1)
		assert.InDelta(t, x/n, q.Direction[0], 1e-6)
		assert.InDelta(t, y/n, q.Direction[1], 1e-6)
		assert.InDelta(t, -1/n, q.Direction[2], 1e-6)
		steepest = math.Max(steepest, math.Hypot(x, y))
	}
	assert.Greater(t, steepest, 0.2, "some of them do slope")
}

func TestTheSamePlanComesOutEachTime(t *testing.T) {
	_, a := demoPlan(t)
	_, b := demoPlan(t)
	assert.Equal(t, a, b)
}

func BenchmarkDemo(b *testing.B) {
	f, err := demoFramework()
	require.NoError(b, err)
	for b.Loop() {
		_, err := fixation.Make(b.Context(), f)
		require.NoError(b, err)
	}
}
