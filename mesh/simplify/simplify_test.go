package simplify

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
	"pgregory.net/rapid"
)

func contoured(t testing.TB, f field.Field, step float64) *mesh.Mesh {
	t.Helper()
	m, err := contour.Of(context.Background(), f, contour.Options{Step: step})
	require.NoError(t, err)
	return m
}

func simplify(t testing.TB, m *mesh.Mesh, tolerance float64) *mesh.Mesh {
	t.Helper()
	out, err := Of(context.Background(), m, Options{Tolerance: tolerance})
	require.NoError(t, err)
	return out
}

// euler returns vertices - edges + faces of a closed mesh.
func euler(m *mesh.Mesh) int { return len(m.Vertices) - len(m.Triangles)/2 }

// farthestFrom samples the first mesh densely, corners and edges included, and
// returns the greatest distance of a sample from the second by a library that is
// not ours.
func farthestFrom(from, to *mesh.Mesh, samples int) float64 {
	distance := model3d.MeshToSDF(meshtest.Model(to.Vertices, to.Triangles))
	random := rand.New(rand.NewPCG(1, 2))
	far := 0.0
	look := func(p mgl64.Vec3) { far = max(far, math.Abs(distance.SDF(model3d.NewCoord3DArray(p)))) }
	for _, v := range from.Vertices {
		look(v)
	}
	for i := range samples {
		t := from.Triangles[i%len(from.Triangles)]
		a, b, c := from.Vertices[t[0]], from.Vertices[t[1]], from.Vertices[t[2]]
		u, v := random.Float64(), random.Float64()
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		look(a.Add(b.Sub(a).Mul(u)).Add(c.Sub(a).Mul(v)))
		look(a.Add(b.Sub(a).Mul(u)))
	}
	return far
}

// leastAltitudeOf returns the least altitude of the mesh's triangles, mm.
func leastAltitudeOf(m *mesh.Mesh) float64 {
	least := math.Inf(1)
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		longest := max(b.Sub(a).Len(), c.Sub(b).Len(), a.Sub(c).Len())
		least = min(least, b.Sub(a).Cross(c.Sub(a)).Len()/longest)
	}
	return least
}

// requireSimplified holds a simplified mesh against its input in all that is
// promised but the distance.
func requireSimplified(t testing.TB, input, m *mesh.Mesh) {
	t.Helper()
	meshtest.RequireSound(t, m.Vertices, m.Triangles)
	require.NoError(t, mesh.Judge(m).Err())
	require.Equal(t, euler(input), euler(m), "Euler number")
	require.LessOrEqual(t, len(m.Triangles), len(input.Triangles))
	used := make([]bool, len(m.Vertices))
	for _, triangle := range m.Triangles {
		for _, v := range triangle {
			used[v] = true
		}
	}
	for i, v := range m.Vertices {
		require.True(t, used[i], "vertex %d is not used", i)
		for k := range v {
			require.Equal(t, float64(float32(v[k])), v[k], "a float32 holds it")
		}
	}
	require.GreaterOrEqual(t, leastAltitudeOf(m), min(1e-5, 0.99*leastAltitudeOf(input)))
}

// plateWithHoles is a sharp plate with square holes.
func plateWithHoles(t testing.TB, holes int) field.Field {
	f := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 6+8*float64(holes), 10, 0), 0.5, 3, 0)
	for k := range holes {
		f = field.Difference(f, meshtest.Slab(t, meshtest.Rectangle(t, 5+8*float64(k), 4, 4, 4, 0), -1, 6, 0))
	}
	return f
}

// turnedAndSplit returns the mesh turned out of all axes, each triangle split
// into four so many times, in coordinates that a float32 holds.
func turnedAndSplit(m *mesh.Mesh, times int) *mesh.Mesh {
	turn := mgl64.Rotate3DZ(0.4).Mul3(mgl64.Rotate3DX(0.7))
	vertices := make([]mgl64.Vec3, len(m.Vertices))
	for i, v := range m.Vertices {
		vertices[i] = turn.Mul3x1(v)
	}
	triangles := m.Triangles
	for range times {
		middle := map[[2]int32]int32{}
		between := func(a, b int32) int32 {
			key := [2]int32{min(a, b), max(a, b)}
			if _, known := middle[key]; !known {
				middle[key] = int32(len(vertices))
				vertices = append(vertices, vertices[a].Add(vertices[b]).Mul(0.5))
			}
			return middle[key]
		}
		var split [][3]int32
		for _, t := range triangles {
			ab, bc, ca := between(t[0], t[1]), between(t[1], t[2]), between(t[2], t[0])
			split = append(split, [3]int32{t[0], ab, ca}, [3]int32{t[1], bc, ab}, [3]int32{t[2], ca, bc}, [3]int32{ab, bc, ca})
		}
		triangles = split
	}
	for i, v := range vertices {
		for k := range v {
			vertices[i][k] = mesh.Representable(v[k])
		}
	}
	return &mesh.Mesh{Vertices: vertices, Triangles: triangles}
}

func TestFlatSidesComeBackWithTheFewestTriangles(t *testing.T) {
	type flatSided struct {
		name      string
		solid     field.Field
		triangles int
		volume    float64
	}
	// Each has V corners of three edges; V - E + F = 2 - 2k, 2E = 3F.
	cases := []flatSided{
		{"box", meshtest.Slab(t, meshtest.Rectangle(t, 1.25, 2.75, 10, 8, 0), 0.5, 3.25, 0), 12, 260},
		{"L", field.Union(
			meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 4, 0), 0, 3, 0),
			meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 4, 10, 0), 0, 3, 0)), 20, 3 * (40 + 40 - 16)},
		{"step", field.Union(
			meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 8, 0), 0, 3, 0),
			meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 5, 8, 0), 3, 2, 0)), 20, 240 + 80},
	}
	for holes := range 4 {
		cases = append(cases, flatSided{
			fmt.Sprintf("plate with %d holes", holes), plateWithHoles(t, holes), 12 + 20*holes,
			3 * ((6+8*float64(holes))*10 - 16*float64(holes)),
		})
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			fine := contoured(t, c.solid, 0.25)
			base := simplify(t, fine, 0)
			for _, fine := range []*mesh.Mesh{fine, turnedAndSplit(base, 4)} {
				for _, tolerance := range []float64{0, 0.01} {
					m := simplify(t, fine, tolerance)
					assert.Equal(t, c.triangles, len(m.Triangles), "tolerance %g", tolerance)
					// Corners are stored as float32: 1e-6 mm near 20 mm.
					assert.InDelta(t, c.volume, m.Volume(), 1e-3)
					requireSimplified(t, fine, m)
					assert.Less(t, farthestFrom(fine, m, 2000), 1e-5)
				}
			}
		})
	}
}

func TestBothSurfacesStayWithinTheTolerance(t *testing.T) {
	cylinder, err := field.NewRegion(meshtest.Ellipse(4, 4, false))
	require.NoError(t, err)
	blob, err := field.NewRegion(meshtest.Ellipse(6, 4, false), meshtest.Ellipse(2, 1.5, true))
	require.NoError(t, err)
	for _, c := range []struct {
		name  string
		solid field.Field
	}{
		{"ball", field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 3)},
		{"torus", field.Torus(mgl64.Vec3{0.1, 0.2, 0.3}, 4, 1.5)},
		{"sharp cylinder", meshtest.Slab(t, cylinder, 0.3, 3, 0)},
		{"rounded ring", meshtest.Slab(t, blob, 0.3, 3, 0.8)},
		{"finely rounded box", meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 6, 4, 0.3), 0.5, 2.25, 0.3)},
		{"ball on a plate", field.Union(
			meshtest.Slab(t, meshtest.Rectangle(t, -4, -3, 8, 6, 0.3), -1, 2, 0.5), field.Ball(mgl64.Vec3{0, 0, 2}, 2))},
		{"crevice", field.Union(
			meshtest.Slab(t, meshtest.Rectangle(t, -4, -3, 8, 6, 0.3), -1, 2, 0), meshtest.Slab(t, meshtest.Rectangle(t, -2, -2, 4, 4, 0.3), 1, 2, 0.6))},
	} {
		t.Run(c.name, func(t *testing.T) {
			fine := contoured(t, c.solid, contour.DefaultStep)
			for _, tolerance := range []float64{0.003, 0.01, 0.04} {
				m := simplify(t, fine, tolerance)
				there, back := farthestFrom(fine, m, 4000), farthestFrom(m, fine, 4000+2*len(m.Triangles))
				change := m.Volume()/fine.Volume() - 1
				t.Logf("tolerance %g: %d → %d triangles, %.5f mm there, %.5f mm back, volume %+.4f %%",
					tolerance, len(fine.Triangles), len(m.Triangles), there, back, 100*change)
				assert.Less(t, there, tolerance)
				assert.Less(t, back, tolerance)
				if tolerance >= DefaultTolerance {
					assert.Less(t, len(m.Triangles), len(fine.Triangles)*2/5)
				}
				// Collapses keep the volume but where a vertex is drawn to a sharp
				// edge: Contour puts those a little further out than wall vertices.
				assert.InDelta(t, 0, change, max(2e-4, 0.01*tolerance))
				requireSimplified(t, fine, m)
			}
		})
	}
}

func TestBroadFacesStayInTheirPlane(t *testing.T) {
	region, err := field.NewRegion(meshtest.Ellipse(8, 5, false))
	require.NoError(t, err)
	for _, edge := range []float64{0, 0.7} {
		fine := contoured(t, meshtest.Slab(t, region, 0.5, 3, edge), contour.DefaultStep)
		m := simplify(t, fine, DefaultTolerance)
		surface := model3d.MeshToSDF(meshtest.Model(m.Vertices, m.Triangles))
		looked := 0
		for _, v := range fine.Vertices {
			if math.Hypot(v[0]/6, v[1]/3) > 1 {
				continue // on the rounded edge, or where its border may have moved
			}
			looked++
			require.InDelta(t, 0, surface.SDF(model3d.NewCoord3DArray(v)), 1e-6)
		}
		assert.Greater(t, looked, 1000)
		assert.Less(t, len(m.Triangles), len(fine.Triangles)/3)
	}
}

// marchedBlob returns the union of a few balls and boxes by the other library's
// marching cubes.
func marchedBlob(t *rapid.T) *mesh.Mesh {
	var solids model3d.JoinedSolid
	coordinate := rapid.Float64Range(-1.5, 1.5)
	for i := range rapid.IntRange(1, 4).Draw(t, "solids") {
		centre := model3d.XYZ(coordinate.Draw(t, "x"), coordinate.Draw(t, "y"), coordinate.Draw(t, "z"))
		if i%2 == 0 {
			solids = append(solids, &model3d.Sphere{Center: centre, Radius: rapid.Float64Range(0.6, 1.5).Draw(t, "radius")})
			continue
		}
		half := model3d.XYZ(0.7, rapid.Float64Range(0.3, 1.5).Draw(t, "half"), 0.5)
		solids = append(solids, model3d.NewRect(centre.Sub(half), centre.Add(half)))
	}
	return fromModel(model3d.MarchingCubesSearch(solids, 0.25, 8))
}

// fromModel returns the mesh with vertices that a float32 holds.
func fromModel(in *model3d.Mesh) *mesh.Mesh {
	m := &mesh.Mesh{}
	number := map[model3d.Coord3D]int32{}
	for _, triangle := range in.TriangleSlice() {
		var t [3]int32
		for k, c := range triangle {
			if _, known := number[c]; !known {
				number[c] = int32(len(m.Vertices))
				m.Vertices = append(m.Vertices, mgl64.Vec3{mesh.Representable(c.X), mesh.Representable(c.Y), mesh.Representable(c.Z)})
			}
			t[k] = number[c]
		}
		m.Triangles = append(m.Triangles, t)
	}
	return m
}

func TestAnySoundMeshStaysSoundAndWithinTheTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fine := marchedBlob(t)
		if !mesh.Judge(fine).Sound() {
			t.Skip("marching cubes made it with faults")
		}
		tolerance := rapid.SampledFrom([]float64{0, 0.005, 0.03, 0.1}).Draw(t, "tolerance")
		m, err := Of(context.Background(), fine, Options{Tolerance: tolerance})
		require.NoError(t, err)
		require.NoError(t, mesh.Judge(m).Err())
		require.Equal(t, euler(fine), euler(m))
		far := max(farthestFrom(fine, m, 1000), farthestFrom(m, fine, 1000))
		require.LessOrEqual(t, far, tolerance+1e-5)
	})
}

func TestSimplifyIsTheSameOnAnyNumberOfCores(t *testing.T) {
	fine := contoured(t, meshtest.Stack(t), 0.3)
	require.Greater(t, len(fine.Vertices), 10*blockVertices, "large enough to be shared out")
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone := simplify(t, fine, 0.01)
	runtime.GOMAXPROCS(4)
	assert.Equal(t, alone, simplify(t, fine, 0.01))
	require.NoError(t, mesh.Judge(alone).Err())
}

func TestSimplifyStopsWhenAsked(t *testing.T) {
	fine := contoured(t, field.Ball(mgl64.Vec3{}, 4), 0.2)
	for _, looks := range []int{0, 1, 3, 10, 30} {
		m, err := Of(meshtest.ImpatientFor(looks), fine, Options{Tolerance: 0.01})
		assert.ErrorIs(t, err, context.Canceled, "after %d looks", looks)
		assert.Nil(t, m)
	}
}

func TestPlacesWhereTrianglesCrossAreLeftAsTheyWere(t *testing.T) {
	fine := contoured(t, field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 3), 0.2)
	var low, high mgl64.Vec3
	rounds := 0
	once := func(_ context.Context, m *mesh.Mesh, _ int) ([][2]int32, error) {
		if rounds++; rounds > 1 {
			return nil, nil
		}
		low, high = commonBox(m, [2]int32{7, 7})
		return [][2]int32{{7, 7}}, nil
	}
	m, err := simplifyWithout(context.Background(), fine, 0.01, once)
	require.NoError(t, err)
	assert.Equal(t, 2, rounds)
	kept := map[mgl64.Vec3]bool{}
	for _, v := range m.Vertices {
		kept[v] = true
	}
	near := 0
	for _, v := range fine.Vertices {
		if inBox(v, low, high, 0.01) {
			near++
			assert.True(t, kept[v], "%v", v)
		}
	}
	assert.Positive(t, near)
	requireSimplified(t, fine, m)
}

func TestVerticesNearCrossingsAreLocked(t *testing.T) {
	fine := contoured(t, field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 3), 0.3)
	rapid.Check(t, func(t *rapid.T) {
		triangle := rapid.Int32Range(0, int32(len(fine.Triangles)-1))
		var pairs [][2]int32
		for range rapid.IntRange(0, 4).Draw(t, "pairs") {
			pairs = append(pairs, [2]int32{triangle.Draw(t, "one"), triangle.Draw(t, "other")})
		}
		asked := rapid.Float64Range(1e-6, 1).Draw(t, "reach")
		locked := make([]bool, len(fine.Vertices))
		reach, err := lockNear(context.Background(), fine, locked, fine, pairs, asked)
		require.NoError(t, err)
		within := func(reach float64, p mgl64.Vec3) bool {
			return slices.ContainsFunc(pairs, func(pair [2]int32) bool {
				low, high := commonBox(fine, pair)
				return inBox(p, low, high, reach)
			})
		}
		for v, p := range fine.Vertices {
			require.Equal(t, within(reach, p), locked[v])
			require.False(t, reach > asked && within(reach/widerReach, p), "nearer would have done")
		}
		require.Equal(t, len(pairs) > 0, slices.Contains(locked, true), "or the next round is this one again")
	})
	_, err := lockNear(meshtest.ImpatientFor(1), fine, make([]bool, len(fine.Vertices)), fine, [][2]int32{{0, 1}, {2, 3}}, 1)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestARoundLooksForSoManyCrossingsOnly(t *testing.T) {
	fine := contoured(t, field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 2), 0.2)
	_, err := simplifyWithout(context.Background(), fine, 0.01, func(_ context.Context, _ *mesh.Mesh, limit int) ([][2]int32, error) {
		assert.Equal(t, mostCrossings, limit)
		return nil, nil
	})
	require.NoError(t, err)
}

func TestAMeshThatAlwaysCrossesComesBackAsItWas(t *testing.T) {
	fine := contoured(t, field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 2), 0.2)
	always := func(context.Context, *mesh.Mesh, int) ([][2]int32, error) { return [][2]int32{{0, 1}}, nil }
	m, err := simplifyWithout(context.Background(), fine, 0.01, always)
	require.NoError(t, err)
	assert.Equal(t, fine, m)
}

func TestSimplifyRefusesWhatIsNotClosedAndManifold(t *testing.T) {
	box := simplify(t, contoured(t, meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 4, 4, 0), 0, 3, 0), 0.5), 0)
	with := func(change func(m *mesh.Mesh)) *mesh.Mesh {
		m := &mesh.Mesh{
			Vertices:  append([]mgl64.Vec3{}, box.Vertices...),
			Triangles: append([][3]int32{}, box.Triangles...),
		}
		change(m)
		return m
	}
	for _, c := range []struct {
		name      string
		m         *mesh.Mesh
		tolerance float64
		says      string
	}{
		{"no mesh", nil, 0.01, "no mesh"},
		{"open", with(func(m *mesh.Mesh) { m.Triangles = m.Triangles[1:] }), 0.01, "two triangles"},
		{"a triangle turned " +
			"over", with(func(m *mesh.Mesh) { m.Triangles[0][0], m.Triangles[0][1] = m.Triangles[0][1], m.Triangles[0][0] }), 0.01, "two triangles"},
		{"a triangle twice", with(func(m *mesh.Mesh) { m.Triangles = append(m.Triangles, m.Triangles[0]) }), 0.01, "two " +
			"triangles"},
		{"a triangle without breadth", with(func(m *mesh.Mesh) { m.Triangles[0][0] = m.Triangles[0][1] }), 0.01, "two " +
			"triangles"},
		{"two boxes at a vertex", with(func(m *mesh.Mesh) {
			for _, triangle := range box.Triangles {
				for k := range triangle {
					if triangle[k] != 0 {
						triangle[k] += int32(len(box.Vertices)) - 1
					}
				}
				m.Triangles = append(m.Triangles, triangle)
			}
			for _, v := range box.Vertices[1:] {
				m.Vertices = append(m.Vertices, box.Vertices[0].Mul(2).Sub(v))
			}
		}), 0.01, "single vertex 0"},
		{"unknown vertex", with(func(m *mesh.Mesh) { m.Triangles[3][1] = 99 }), 0.01, "vertex 99 of 8"},
		{"not a number", with(func(m *mesh.Mesh) { m.Vertices[2][1] = math.NaN() }), 0.01, "vertex 2"},
		{"beyond float32", with(func(m *mesh.Mesh) { m.Vertices[2][1] = 1e300 }), 0.01, "vertex 2"},
		{"negative tolerance", box, -1, "tolerance -1"},
		{"tolerance not a number", box, math.NaN(), "tolerance NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Of(context.Background(), c.m, Options{Tolerance: c.tolerance})
			assert.ErrorContains(t, err, c.says)
		})
	}
}

func TestNothingSimplifiesToNothing(t *testing.T) {
	m := simplify(t, &mesh.Mesh{}, 0.01)
	assert.Empty(t, m.Triangles)
	assert.Empty(t, m.Vertices)
}

func BenchmarkSimplify(b *testing.B) {
	for _, step := range []float64{0.4, 0.2, 0.15} {
		fine := contoured(b, meshtest.Stack(b), step)
		b.Run(fmt.Sprintf("triangles=%d", len(fine.Triangles)), func(b *testing.B) {
			b.ReportAllocs()
			var left int
			for b.Loop() {
				left = len(simplify(b, fine, DefaultTolerance).Triangles)
			}
			b.ReportMetric(float64(left), "left")
		})
	}
}

func TestHalfEdgesGoRoundTheirTriangle(t *testing.T) {
	for first := int32(0); first < 30; first += 3 {
		for k := range int32(3) {
			require.Equal(t, first+(k+1)%3, next(first+k))
			require.Equal(t, first+(k+2)%3, previous(first+k))
		}
	}
}
