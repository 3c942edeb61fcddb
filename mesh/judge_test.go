package mesh_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	"earframe/internal/meshtest"
	"earframe/mesh"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func judgedBox(low, high mgl64.Vec3) *mesh.Mesh { return (*mesh.Mesh)(solids.Box(low, high)) }

func judgedBall(centre mgl64.Vec3, radius float64, level int) *mesh.Mesh {
	return (*mesh.Mesh)(solids.Ball(centre, radius, level))
}

func judgedTorus(major, minor float64, round, across int) *mesh.Mesh {
	return (*mesh.Mesh)(solids.Torus(major, minor, round, across))
}

func judgedSum(meshes ...*mesh.Mesh) *mesh.Mesh {
	var parts []*solids.Solid
	for _, m := range meshes {
		parts = append(parts, (*solids.Solid)(m))
	}
	return (*mesh.Mesh)(solids.Sum(parts...))
}

// turnedInsideOut winds every triangle the other way.
func turnedInsideOut(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices}
	for _, t := range m.Triangles {
		out.Triangles = append(out.Triangles, [3]int32{t[0], t[2], t[1]})
	}
	return out
}

func TestJudgeMeasuresSoundSolids(t *testing.T) {
	ball := judgedBall(mgl64.Vec3{1, 2, 3}, 5, 5)
	for _, c := range []struct {
		name         string
		m            *mesh.Mesh
		volume, area float64
		within       float64 // relative
		genus        int
	}{
		// Prism: V = A h, S = 2A + P h. Euler characteristic 2 - 2·genus, and
		// F = 2(V - chi) (Henle, A Combinatorial Introduction to Topology).
		{"box", judgedBox(mgl64.Vec3{}, mgl64.Vec3{60, 35, 8}), 16800, 5720, 1e-12, 0},
		{"ball", ball, 4.0 / 3 * math.Pi * 125, 4 * math.Pi * 25, 1e-3, 0},
		// Pappus (do Carmo, Differential Geometry of Curves and Surfaces):
		// R = 25, rho = 2.5.
		{"torus", judgedTorus(25, 2.5, 600, 200), 3084.251375, 2467.401100, 3e-4, 1},
		{"box far away", judgedBox(mgl64.Vec3{1e6, 1e6, 1e6}, mgl64.Vec3{1e6 + 1, 1e6 + 1, 1e6 + 1}), 1, 6, 1e-12, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := mesh.Judge(c.m)
			require.NoError(t, v.Err())
			require.True(t, v.Sound())
			require.Len(t, v.Shells, 1)
			assert.InEpsilon(t, c.volume, v.Volume, c.within)
			assert.InEpsilon(t, c.area, v.Area, c.within)
			assert.Equal(t, c.genus, v.Shells[0].Genus)
			assert.Equal(t, 2-2*c.genus, v.Shells[0].Euler)
			assert.Equal(t, v.Vertices-v.Edges+v.Triangles, v.Shells[0].Euler)
			assert.Equal(t, 3*v.Triangles, 2*v.Edges)
			assert.Equal(t, v.Triangles, 2*(v.Vertices-v.Shells[0].Euler))
			lo, hi := c.m.Bounds()
			assert.Equal(t, lo, v.Low)
			assert.Equal(t, hi, v.High)
		})
	}
}

func TestJudgeFindsEachFault(t *testing.T) {
	box := func() *mesh.Mesh { return judgedBox(mgl64.Vec3{}, mgl64.Vec3{4, 3, 2}) }
	ball := func() *mesh.Mesh { return judgedBall(mgl64.Vec3{}, 5, 2) }
	nan := mgl64.Vec3{math.NaN(), 0, 0}
	for _, c := range []struct {
		name   string
		m      *mesh.Mesh
		faults map[mesh.Fault]int
		place  mgl64.Vec3 // of the first fault listed
	}{
		{"no triangles", &mesh.Mesh{}, map[mesh.Fault]int{mesh.FaultEmpty: 1}, nan},
		{"index too high", edited(box(), func(m *mesh.Mesh) { m.Triangles[0][1] = 8 }),
			map[mesh.Fault]int{mesh.FaultIndexOutOfRange: 1, mesh.FaultOpenEdge: 3}, nan},
		{"index negative", edited(box(), func(m *mesh.Mesh) { m.Triangles[0][1] = -1 }),
			map[mesh.Fault]int{mesh.FaultIndexOutOfRange: 1, mesh.FaultOpenEdge: 3}, nan},
		{"not a " +
			"number", edited(box(), func(m *mesh.Mesh) { m.Vertices[3][1] = math.NaN() }), map[mesh.Fault]int{mesh.FaultNotFinite: 1}, nan},
		{"infinite", edited(box(), func(m *mesh.Mesh) { m.Vertices[3][1] = math.Inf(-1) }), map[mesh.Fault]int{mesh.FaultNotFinite: 1}, nan},
		{"triangle left out", edited(box(), func(m *mesh.Mesh) { m.Triangles = m.Triangles[1:] }),
			map[mesh.Fault]int{mesh.FaultOpenEdge: 3}, nan},
		{"triangle turned", edited(box(), func(m *mesh.Mesh) { t := &m.Triangles[0]; t[1], t[2] = t[2], t[1] }),
			map[mesh.Fault]int{mesh.FaultWinding: 3}, nan},
		{"triangle twice", edited(box(), func(m *mesh.Mesh) { m.Triangles = append(m.Triangles, m.Triangles[0]) }),
			map[mesh.Fault]int{mesh.FaultSameTriangle: 1, mesh.FaultCrowdedEdge: 3, mesh.FaultSelfIntersection: 1}, nan},
		{"a loose leaf of two faces", edited(box(), func(m *mesh.Mesh) {
			m.Vertices = append(m.Vertices, mgl64.Vec3{9, 0, 0}, mgl64.Vec3{9, 1, 0}, mgl64.Vec3{9, 0, 1})
			m.Triangles = append(m.Triangles, [3]int32{8, 9, 10}, [3]int32{8, 10, 9})
		}), map[mesh.Fault]int{mesh.FaultSameTriangle: 1, mesh.FaultSelfIntersection: 1}, nan},
		{"a fin on an edge", edited(box(), func(m *mesh.Mesh) {
			m.Vertices = append(m.Vertices, mgl64.Vec3{2, -3, -3})
			m.Triangles = append(m.Triangles, [3]int32{0, 1, 8})
		}), map[mesh.Fault]int{mesh.FaultCrowdedEdge: 1, mesh.FaultOpenEdge: 2}, mgl64.Vec3{2, 0, 0}},
		{"corner named twice", edited(box(), func(m *mesh.Mesh) { m.Triangles = append(m.Triangles, [3]int32{2, 2, 3}) }),
			map[mesh.Fault]int{mesh.FaultRepeatedCorner: 1}, mgl64.Vec3{0, 3, 0}},
		{"triangle on a line", edited(box(), func(m *mesh.Mesh) { // a vertex in the middle of an edge, on one side only
			m.Vertices = append(m.Vertices, mgl64.Vec3{2, 0, 0})
			m.Triangles = append(m.Triangles, [3]int32{0, 1, 8})
		}), map[mesh.Fault]int{mesh.FaultNoArea: 1, mesh.FaultCrowdedEdge: 1, mesh.FaultOpenEdge: 2}, mgl64.Vec3{2, 0, 0}},
		{"unused vertex", edited(box(), func(m *mesh.Mesh) { m.Vertices = append(m.Vertices, mgl64.Vec3{1, 1, 1}) }),
			map[mesh.Fault]int{mesh.FaultUnusedVertex: 1}, mgl64.Vec3{1, 1, 1}},
		{"corner split in two", edited(box(), func(m *mesh.Mesh) {
			m.Vertices = append(m.Vertices, m.Vertices[0])
			m.Triangles[0] = replaced(m.Triangles[0], 0, 8)
		}), map[mesh.Fault]int{mesh.FaultSamePlace: 1, mesh.FaultOpenEdge: 4, mesh.FaultSelfIntersection: 5}, mgl64.Vec3{}},
		{"two boxes on one " +
			"corner", edited(judgedSum(box(), judgedBox(mgl64.Vec3{4, 3, 2}, mgl64.Vec3{5, 5, 5})), func(m *mesh.Mesh) {
			joinVertices(m, 8, 7)
		}), map[mesh.Fault]int{mesh.FaultSeveralFans: 1}, mgl64.Vec3{4, 3, 2}},
		{"two boxes on one " +
			"edge", edited(judgedSum(box(), judgedBox(mgl64.Vec3{4, 3, 0}, mgl64.Vec3{6, 6, 2})), func(m *mesh.Mesh) {
			joinVertices(m, 12, 7)
			joinVertices(m, 8, 3)
		}), map[mesh.Fault]int{mesh.FaultCrowdedEdge: 1}, mgl64.Vec3{4, 3, 1}},
		{"inside out", turnedInsideOut(ball()), map[mesh.Fault]int{mesh.FaultInsideOut: 1}, nan},
		{"a solid within a " +
			"solid", judgedSum(ball(), judgedBall(mgl64.Vec3{}, 2, 1)), map[mesh.Fault]int{mesh.FaultInsideOut: 1}, nan},
		{"a hollow " +
			"outside", judgedSum(ball(), turnedInsideOut(judgedBall(mgl64.Vec3{9, 9, 0}, 2, 1))), map[mesh.Fault]int{mesh.FaultInsideOut: 1}, nan},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := mesh.Judge(c.m)
			require.False(t, v.Sound())
			found := map[mesh.Fault]int{}
			for _, f := range v.Findings {
				found[f.Fault] = f.Count
				if f.Places != nil && c.faults[f.Fault] > 0 && !math.IsNaN(c.place[0]) && f.Fault == v.Findings[0].Fault {
					assert.True(t, slices.ContainsFunc(f.Places, func(p mgl64.Vec3) bool { return p.Sub(c.place).Len() < 1e-12 }),
						"%v is not among %v", c.place, f.Places)
				}
				assert.ErrorContains(t, v.Err(), string(f.Fault))
			}
			assert.Equal(t, c.faults, found)
			_, err := json.Marshal(v)
			assert.NoError(t, err, "the record can hold it")
		})
	}
}

func edited(m *mesh.Mesh, edit func(*mesh.Mesh)) *mesh.Mesh {
	edit(m)
	return m
}

func replaced(t [3]int32, old, replacement int32) [3]int32 {
	for k := range t {
		if t[k] == old {
			t[k] = replacement
		}
	}
	return t
}

// joinVertices makes two vertices one; the highest index takes the freed place.
func joinVertices(m *mesh.Mesh, gone, kept int32) {
	last := int32(len(m.Vertices) - 1)
	for i := range m.Triangles {
		m.Triangles[i] = replaced(replaced(m.Triangles[i], gone, kept), last, gone)
	}
	m.Vertices[gone] = m.Vertices[last]
	m.Vertices = m.Vertices[:last]
}

func TestJudgeFindsCrossingTouchingAndOverlap(t *testing.T) {
	box := judgedBox(mgl64.Vec3{}, mgl64.Vec3{4, 3, 2})
	for name, other := range map[string]*mesh.Mesh{
		"through one another":     judgedBox(mgl64.Vec3{1, 1, 1}, mgl64.Vec3{9, 9, 9}),
		"face on face":            judgedBox(mgl64.Vec3{1, 1, 2}, mgl64.Vec3{3, 2, 5}),
		"the same face":           judgedBox(mgl64.Vec3{0, 0, 2}, mgl64.Vec3{4, 3, 5}),
		"edge on face":            movedBox(judgedBox(mgl64.Vec3{}, mgl64.Vec3{1, 1, 1}), mgl64.Vec3{2, 1.5, 2}, math.Pi/4),
		"corner on corner":        judgedBox(mgl64.Vec3{4, 3, 2}, mgl64.Vec3{5, 5, 5}),
		"edge on edge":            judgedBox(mgl64.Vec3{4, 3, 0}, mgl64.Vec3{5, 5, 2}),
		"a hair into one another": judgedBox(mgl64.Vec3{1, 1, 2 - 0x1p-51}, mgl64.Vec3{3, 2, 5}),
	} {
		t.Run(name, func(t *testing.T) {
			v := mesh.Judge(judgedSum(box, other))
			f, is := v.Find(mesh.FaultSelfIntersection)
			require.True(t, is, v.Findings)
			assert.Positive(t, f.Count)
			assert.NotEmpty(t, f.Places)
		})
	}
	for name, gap := range map[string]float64{"a gap": 0.1, "a gap of one float64": 0x1p-51} {
		t.Run(name, func(t *testing.T) {
			v := mesh.Judge(judgedSum(box, judgedBox(mgl64.Vec3{1, 1, 2 + gap}, mgl64.Vec3{3, 2, 5})))
			assert.NoError(t, v.Err())
			assert.Len(t, v.Shells, 2)
		})
	}
}

// movedBox turns a mesh about the x axis and moves it.
func movedBox(m *mesh.Mesh, by mgl64.Vec3, turn float64) *mesh.Mesh {
	sin, cos := math.Sincos(turn)
	for i, p := range m.Vertices {
		m.Vertices[i] = mgl64.Vec3{p[0], p[1]*cos - p[2]*sin, p[1]*sin + p[2]*cos}.Add(by)
	}
	// The edge that points down lies exactly on the plane it touches.
	m.Vertices[0][2], m.Vertices[1][2] = by[2], by[2]
	return m
}

func TestJudgeFindsATriangleFoldedOntoItsNeighbour(t *testing.T) {
	// A tetrahedron with its tip pushed into the plane of its base: the three
	// sides lie on the base.
	m := &mesh.Mesh{
		Vertices:  []mgl64.Vec3{{0, 0, 0}, {4, 0, 0}, {0, 4, 0}, {1, 1, 1}},
		Triangles: [][3]int32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
	}
	require.NoError(t, mesh.Judge(m).Err())
	m.Vertices[3][2] = 0
	f, is := mesh.Judge(m).Find(mesh.FaultSelfIntersection)
	require.True(t, is)
	assert.Equal(t, 3, f.Count)
}

func TestJudgeCountsCavities(t *testing.T) {
	ball := judgedBall(mgl64.Vec3{}, 5, 3)
	hollow := turnedInsideOut(judgedBall(mgl64.Vec3{0, 0, 1}, 2, 2))
	kernel := judgedBall(mgl64.Vec3{0, 0, 1}, 1, 1)
	v := mesh.Judge(judgedSum(ball, hollow))
	require.NoError(t, v.Err())
	assert.Equal(t, 1, v.Cavities)
	assert.Equal(t, []bool{false, true}, []bool{v.Shells[0].Cavity, v.Shells[1].Cavity})
	assert.InEpsilon(t, mesh.Judge(ball).Volume+hollow.Volume(), v.Volume, 1e-12)

	v = mesh.Judge(judgedSum(ball, hollow, kernel)) // loose in the hollow
	require.NoError(t, v.Err())
	assert.Equal(t, 1, v.Cavities)
	assert.Len(t, v.Shells, 3)
}

func TestJudgeEndsOnAMeshThatCrossesItselfEverywhere(t *testing.T) {
	m := &mesh.Mesh{}
	for i := range 20000 {
		one := judgedBox(mgl64.Vec3{0, 0, float64(i) * 1e-6}, mgl64.Vec3{1, 1, 1 + float64(i)*1e-6})
		first := int32(len(m.Vertices))
		m.Vertices = append(m.Vertices, one.Vertices[:3]...)
		m.Triangles = append(m.Triangles, [3]int32{first, first + 1, first + 2})
	}
	f, is := mesh.Judge(m).Find(mesh.FaultOpenEdge)
	require.True(t, is)
	assert.Equal(t, 60000, f.Count)
	for i := range m.Vertices {
		m.Vertices[i][2] = float64(i % 7)
	}
	f, is = mesh.Judge(m).Find(mesh.FaultSelfIntersection)
	require.True(t, is)
	assert.True(t, f.AtLeast)
}

func TestJudgeStopsWhenAsked(t *testing.T) {
	const passes = 8 // over all vertices, sides or triangles, before the search for crossings
	m := judgedBall(mgl64.Vec3{}, 1, 2)
	for looks := range passes + 3 {
		_, err := mesh.JudgeContext(meshtest.ImpatientFor(looks), m)
		assert.ErrorIs(t, err, context.Canceled, "after %d looks", looks)
	}
}

func TestJudgeReportsTheFlattestTriangle(t *testing.T) {
	m := judgedBox(mgl64.Vec3{}, mgl64.Vec3{30, 40, 0.5})
	v := mesh.Judge(m)
	require.NoError(t, v.Err())
	// Right triangle with legs 0.5 and 30: altitude over the hypotenuse.
	assert.InEpsilon(t, 0.5*30/math.Hypot(0.5, 30), v.LeastAltitude, 1e-12)
}

// arbitraryMesh draws a ball, box or torus, turned and moved, sometimes two of
// them, sometimes damaged.
func arbitraryMesh() *rapid.Generator[*mesh.Mesh] {
	return rapid.Custom(func(t *rapid.T) *mesh.Mesh {
		var parts []*mesh.Mesh
		for i := range rapid.IntRange(1, 3).Draw(t, "parts") {
			kind := rapid.IntRange(0, 2).Draw(t, fmt.Sprint("kind", i))
			m := [](*mesh.Mesh){judgedBall(mgl64.Vec3{}, 2, 1), judgedBox(mgl64.Vec3{}, mgl64.Vec3{2, 3, 4}), judgedTorus(3, 1, 9, 5)}[kind]
			number := rapid.Float64Range(-4, 4)
			axis := mgl64.Vec3{number.Draw(t, "ax"), number.Draw(t, "ay"), 0.5}.Normalize()
			turn := mgl64.QuatRotate(number.Draw(t, "angle"), axis)
			by := mgl64.Vec3{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z")}
			for k := range m.Vertices {
				p := turn.Rotate(m.Vertices[k]).Add(by)
				m.Vertices[k] = mgl64.Vec3{mesh.Representable(p[0]), mesh.Representable(p[1]), mesh.Representable(p[2])}
			}
			parts = append(parts, m)
		}
		m := judgedSum(parts...)
		at := rapid.IntRange(0, len(m.Triangles)-1).Draw(t, "at")
		switch rapid.IntRange(0, 5).Draw(t, "damage") {
		case 0:
			m.Triangles = slices.Delete(m.Triangles, at, at+1)
		case 1:
			m.Triangles[at][0], m.Triangles[at][1] = m.Triangles[at][1], m.Triangles[at][0]
		case 2:
			gone, kept := m.Triangles[at][0], m.Triangles[(at+3)%len(m.Triangles)][1]
			if gone != kept {
				joinVertices(m, gone, kept)
			}
		}
		return m
	})
}

func TestJudgeAgreesWithAnIndependentJudge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := arbitraryMesh().Draw(t, "mesh")
		v := mesh.Judge(m)
		if _, is := v.Find(mesh.FaultRepeatedCorner); is {
			return // the other takes a line for a triangle
		}
		if _, is := v.Find(mesh.FaultSameTriangle); is {
			return
		}
		_, open := v.Find(mesh.FaultOpenEdge)
		_, crowded := v.Find(mesh.FaultCrowdedEdge)
		other := meshtest.Model(m.Vertices, m.Triangles)
		require.Equal(t, other.NeedsRepair(), open || crowded, v.Findings) // it does not look at winding
		fans, _ := v.Find(mesh.FaultSeveralFans)
		if !open && !crowded {
			require.Equal(t, len(other.SingularVertices()), fans.Count, v.Findings)
		}
		if other.SelfIntersections() > 0 { // the other sees proper crossings only
			_, crossing := v.Find(mesh.FaultSelfIntersection)
			require.True(t, crossing, v.Findings)
		}
		if v.Sound() {
			require.Zero(t, other.SelfIntersections())
			require.InEpsilon(t, other.Volume(), v.Volume, 1e-9)
			require.InEpsilon(t, other.Area(), v.Area, 1e-9)
			require.InEpsilon(t, m.Volume(), v.Volume, 1e-9)
		}
	})
}
