package pocket

import (
	"context"
	"math"
	"runtime"
	"testing"

	"earframe/internal/demotest"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// edge is an edge of a mesh with the triangle on its left.
type edge struct{ from, to int32 }

// normals returns the triangles' normals, and which triangle lies left of each edge.
func normals(m *mesh.Mesh) ([]mgl64.Vec3, map[edge]int) {
	all, left := make([]mgl64.Vec3, len(m.Triangles)), map[edge]int{}
	for i, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		all[i] = b.Sub(a).Cross(c.Sub(a)).Normalize()
		for k := range 3 {
			left[edge{t[k], t[(k+1)%3]}] = i
		}
	}
	return all, left
}

// ragged returns how long the creases of a skin's model are, mm, and how long the
// part of them is that zigzags: the mesh turns in by more than 40° along a crease,
// and where a crease runs on its direction turns by more than 50° in a zigzag.
func ragged(m *mesh.Mesh) (length, zigzag float64) {
	facing, left := normals(m)
	at := map[int32][]int32{}
	for e, i := range left {
		j := left[edge{e.to, e.from}]
		way := m.Vertices[e.to].Sub(m.Vertices[e.from])
		if e.from < e.to && facing[i].Dot(facing[j]) < math.Cos(40*math.Pi/180) &&
			facing[i].Cross(facing[j]).Dot(way) < 0 {
			at[e.from], at[e.to] = append(at[e.from], e.to), append(at[e.to], e.from)
			length += way.Len()
		}
	}
	for v, others := range at {
		if len(others) != 2 {
			continue
		}
		a, b := m.Vertices[v].Sub(m.Vertices[others[0]]), m.Vertices[others[1]].Sub(m.Vertices[v])
		if a.Normalize().Dot(b.Normalize()) < math.Cos(50*math.Pi/180) {
			zigzag += (a.Len() + b.Len()) / 2
		}
	}
	return length, zigzag
}

// Contoured on a lattice, one millimetre in twenty zigzagged at radii of 1 and 2 mm.
func TestCreasesOfTheHealedSkinRunSmoothly(t *testing.T) {
	radii := []string{"1", "2", "6", "30"}
	if testing.Short() {
		radii = []string{"2"}
	}
	for _, radius := range radii {
		r := check(t, demotest.Plan(t, "side: left\n", "side: left\npocket: {bridging_radius: "+radius+"}\n"),
			Options{NoAdvice: true})
		o, err := r.SkinModel(context.Background())
		require.NoError(t, err)
		length, zigzag := ragged(o.Mesh)
		t.Logf("radius %s mm: %d triangles, creases of %.0f mm, %.1f mm of them zigzag", radius,
			len(o.Mesh.Triangles), length, zigzag)
		assert.LessOrEqual(t, zigzag, 0.006*length, radius)
	}
}

func TestSkinModelIsTheSameOnAnyNumberOfCores(t *testing.T) {
	r := check(t, demotest.Plan(t), Options{NoAdvice: true, ModelStep: 1.2})
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone, err := r.SkinModel(context.Background())
	require.NoError(t, err)
	runtime.GOMAXPROCS(2)
	together, err := r.SkinModel(context.Background())
	require.NoError(t, err)
	assert.Equal(t, alone.Mesh, together.Mesh)
}
