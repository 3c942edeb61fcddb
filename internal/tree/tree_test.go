package tree

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"earframe/internal/meshtest"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// scattered returns triangles of about a millimetre in a box of 20 mm, a third of
// them level.
func scattered(seed uint64, count int) (vertices []mgl64.Vec3, triangles [][3]int32) {
	random := rand.New(rand.NewPCG(seed, 1))
	for i := range count {
		centre := mgl64.Vec3{random.Float64() * 20, random.Float64() * 20, random.Float64() * 20}
		first := int32(len(vertices))
		for range 3 {
			p := mgl64.Vec3{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}
			if i%3 == 0 {
				p[2] = 0
			}
			vertices = append(vertices, centre.Add(p))
		}
		triangles = append(triangles, [3]int32{first, first + 1, first + 2})
	}
	return vertices, triangles
}

func all(int) bool { return true }

func newTree(t testing.TB, vertices []mgl64.Vec3, triangles [][3]int32, usable func(i int) bool) *Tree {
	t.Helper()
	tree, err := New(context.Background(), vertices, triangles, usable)
	require.NoError(t, err)
	return tree
}

func TestPairsAreAllWhoseBoxesOverlap(t *testing.T) {
	for _, count := range []int{0, 1, 3, 5, 9, 2500} {
		vertices, triangles := scattered(2, count)
		tree := newTree(t, vertices, triangles, all)
		want := map[[2]int32]int{}
		for i := range triangles {
			for k := i + 1; k < len(triangles); k++ {
				a, b := BoxOf(vertices, triangles, []int32{int32(i)}), BoxOf(vertices, triangles, []int32{int32(k)})
				if a.Overlaps(&b) {
					want[[2]int32{int32(i), int32(k)}] = 1
				}
			}
		}
		got := map[[2]int32]int{}
		for part := range tree.Parts() {
			tree.Pairs(part, func(s, o int32) bool {
				got[[2]int32{min(s, o), max(s, o)}]++
				return true
			})
		}
		require.Equal(t, want, got)
		if count == 2500 {
			assert.Greater(t, tree.Parts(), 3)
			assert.Greater(t, len(got), 500)
		}
	}
}

func TestPairsEndWhenNoMoreAreWanted(t *testing.T) {
	vertices, triangles := scattered(3, 500)
	for i := range triangles {
		vertices[3*i] = mgl64.Vec3{} // all boxes overlap
	}
	tree := newTree(t, vertices, triangles, all)
	seen := 0
	tree.Pairs(0, func(_, _ int32) bool {
		seen++
		return seen < 7
	})
	assert.Equal(t, 7, seen)
}

func TestTheNearestPointIsThatOfALibraryThatIsNotOurs(t *testing.T) {
	vertices, triangles := scattered(4, 600)
	other := model3d.NewMesh()
	for _, c := range triangles {
		other.Add(&model3d.Triangle{
			model3d.NewCoord3DArray(vertices[c[0]]), model3d.NewCoord3DArray(vertices[c[1]]), model3d.NewCoord3DArray(vertices[c[2]]),
		})
	}
	distance := model3d.MeshToSDF(other)
	tree := newTree(t, vertices, triangles, all)
	random := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		p := mgl64.Vec3{random.Float64()*30 - 5, random.Float64()*30 - 5, random.Float64()*30 - 5}
		want := math.Abs(distance.SDF(model3d.NewCoord3DArray(p)))
		at, away, ok := tree.Nearest(p, 100)
		require.True(t, ok)
		require.InDelta(t, want, away, 1e-9)
		require.InDelta(t, away, at.Sub(p).Len(), 1e-9)
		_, _, ok = tree.Nearest(p, away*(1-1e-9))
		require.False(t, ok, "nothing is nearer than the nearest")
	}
}

func TestARayMeetsTheNearestOfAllTriangles(t *testing.T) {
	vertices, triangles := scattered(6, 400)
	tree := newTree(t, vertices, triangles, all)
	random := rand.New(rand.NewPCG(7, 8))
	hits := 0
	for range 3000 {
		from := mgl64.Vec3{random.Float64() * 20, random.Float64() * 20, random.Float64() * 20}
		along := mgl64.Vec3{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}.Normalize()
		except, way := int32(random.IntN(400)), Passage(random.IntN(2) == 0)
		nearest := math.Inf(1)
		for i := range triangles {
			if int32(i) != except {
				nearest = math.Min(nearest, tree.rayMeets(int32(i), from, along, way))
			}
		}
		length, hit := tree.FirstHit(from, along, except, way, math.Inf(1))
		require.Equal(t, nearest, length)
		require.Equal(t, math.IsInf(nearest, 1), hit < 0)
		if hit >= 0 {
			hits++
		}
	}
	assert.Greater(t, hits, 300)
}

func TestARayLeavesThroughTheBackAndEntersThroughTheFront(t *testing.T) {
	vertices := []mgl64.Vec3{{0, 0, 1}, {2, 0, 1}, {0, 2, 1}} // faces up
	tree := newTree(t, vertices, [][3]int32{{0, 1, 2}}, all)
	below, above := mgl64.Vec3{0.5, 0.5, 0}, mgl64.Vec3{0.5, 0.5, 3}
	up, down := mgl64.Vec3{0, 0, 1}, mgl64.Vec3{0, 0, -1}
	for _, c := range []struct {
		from, along mgl64.Vec3
		way         Passage
		length      float64
	}{
		{below, up, Leaving, 1}, {below, up, Entering, math.Inf(1)},
		{above, down, Entering, 2}, {above, down, Leaving, math.Inf(1)},
	} {
		length, _ := tree.FirstHit(c.from, c.along, -1, c.way, math.Inf(1))
		assert.Equal(t, c.length, length)
	}
}

func TestTrianglesThatAreNotUsableTakeNoPart(t *testing.T) {
	vertices, triangles := scattered(9, 50)
	tree := newTree(t, vertices, triangles, func(i int) bool { return i%2 == 1 })
	assert.Len(t, tree.Triangles(), 25)
	for _, i := range tree.Triangles() {
		assert.Equal(t, int32(1), i%2)
	}
	none := newTree(t, vertices, triangles, func(int) bool { return false })
	_, _, ok := none.Nearest(mgl64.Vec3{}, math.Inf(1))
	assert.False(t, ok)
	_, hit := none.FirstHit(mgl64.Vec3{}, mgl64.Vec3{1, 0, 0}, -1, Leaving, math.Inf(1))
	assert.Equal(t, int32(-1), hit)
}

func TestTheTreeIsTheSameOnAnyNumberOfCores(t *testing.T) {
	vertices, triangles := scattered(10, 50000)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone := newTree(t, vertices, triangles, all)
	runtime.GOMAXPROCS(8)
	together := newTree(t, vertices, triangles, all)
	assert.Equal(t, alone.Triangles(), together.Triangles())
	assert.Equal(t, alone.levels, together.levels)
}

func TestBuildingStopsWhenAsked(t *testing.T) {
	vertices, triangles := scattered(11, 30000)
	for looks := range 5 {
		_, err := New(meshtest.ImpatientFor(looks), vertices, triangles, all)
		assert.ErrorIs(t, err, context.Canceled, "after %d looks", looks)
	}
}

func TestWithinListsTheTrianglesOfWhichTheBoxIsNear(t *testing.T) {
	vertices, triangles := scattered(9, 500)
	tree := newTree(t, vertices, triangles, all)
	random := rand.New(rand.NewPCG(10, 11))
	for range 300 {
		place := mgl64.Vec3{random.Float64() * 20, random.Float64() * 20, random.Float64() * 20}
		reach := random.Float64() * 5
		around := Box{}
		for k, x := range place {
			around.Low[k], around.High[k] = float32(x-reach), float32(x+reach)
		}
		var want, got []int32
		for _, i := range tree.Triangles() {
			e := tree.extentOf(i)
			if box := e.box(); around.Overlaps(&box) {
				want = append(want, i)
			}
		}
		tree.Within(place, reach, func(i int32) { got = append(got, i) })
		require.Equal(t, want, got, "in the order of the leaves")
	}
}
