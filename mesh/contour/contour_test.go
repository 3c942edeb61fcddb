package contour

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func contour(t testing.TB, f field.Field, step float64) *mesh.Mesh {
	t.Helper()
	m, err := Of(context.Background(), f, Options{Step: step})
	require.NoError(t, err)
	return m
}

// farthest returns the greatest distance of vertices and triangle centres from
// the field's surface.
func farthest(m *mesh.Mesh, f field.Field) float64 {
	points := slices.Clone(m.Vertices)
	for _, t := range m.Triangles {
		points = append(points, m.Vertices[t[0]].Add(m.Vertices[t[1]]).Add(m.Vertices[t[2]]).Mul(1.0/3))
	}
	distances := make([]float64, len(points))
	f.Distances(points, distances)
	far := 0.0
	for _, d := range distances {
		far = math.Max(far, math.Abs(d))
	}
	return far
}

func TestSignsThatAreKeptHoldOneSheetACell(t *testing.T) {
	// A cell has one sheet just when its corners inside hang together along the
	// cell's edges and those outside do too.
	for mask := range 256 {
		together := pieces(uint8(mask)) <= 1 && pieces(^uint8(mask)) <= 1
		assert.Equal(t, together, splitTable[mask] == 0, "mask %08b", mask)
	}
}

// pieces counts the groups of set corners that cell edges join.
func pieces(mask uint8) int {
	group := [8]int{0, 1, 2, 3, 4, 5, 6, 7}
	for range 8 {
		for c := range 8 {
			for _, bit := range []int{1, 2, 4} {
				if o := c ^ bit; mask>>c&1 == 1 && mask>>o&1 == 1 {
					group[c] = min(group[c], group[o])
				}
			}
		}
	}
	count := 0
	for c := range 8 {
		if mask>>c&1 == 1 && group[c] == c {
			count++
		}
	}
	return count
}

func TestContourAgainstClosedForms(t *testing.T) {
	ellipse, err := field.NewRegion(meshtest.Ellipse(30, 17, false))
	require.NoError(t, err)
	plate := meshtest.Slab(t, ellipse, 0, 3, 0)
	// Volumes and areas: Steiner (Schneider, Convex Bodies: The Brunn-Minkowski
	// Theory, chapter 4), Pappus, and base times height.
	for _, c := range []struct {
		name         string
		solid        field.Field
		volume, area float64
	}{
		{"box, prism", meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 60, 35, 0), 0, 8, 0), 16800, 5720},
		{"turned box, prism", meshtest.Slab(t, meshtest.Rectangle(t, 3, 2, 60, 35, 0.4), 0.5, 8, 0), 16800, 5720},
		{"box grown by 1, " +
			"Steiner", field.Offset(meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 60, 35, 0), 0, 8, 0), 1), 22847.772834, 6379.734457},
		{"box grown by 2, " +
			"Steiner", field.Offset(meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 60, 35, 0), 0, 8, 0), 2), 29567.846495, 7064.601656},
		{"elliptic plate, prism", plate, 4806.636760, 3655.902654},
		{"elliptic plate grown by 1, Steiner", field.Offset(plate, 1), 8712.546388, 4160.105392},
		{"elliptic plate grown by 2, Steiner", field.Offset(plate, 2), 13135.225123, 4689.440870},
		{"torus, Pappus", field.Torus(mgl64.Vec3{}, 25, 2.5), 3084.251375, 2467.401100},
		{"larger torus, Pappus", field.Torus(mgl64.Vec3{1, 2, 3}, 30, 2.5), 3701.101651, 2960.881320},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := contour(t, c.solid, DefaultStep)
			assert.InEpsilon(t, c.volume, m.Volume(), 0.0005)
			assert.InEpsilon(t, c.area, m.Area(), 0.001)
			assert.Less(t, farthest(m, c.solid), 0.25*DefaultStep)
		})
	}
}

func TestErrorFallsWithTheSquareOfTheStep(t *testing.T) {
	for _, c := range []struct {
		name   string
		solid  field.Field
		volume float64
	}{
		{"ball", field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 5), 4.0 / 3 * math.Pi * 125},
		{"torus", field.Torus(mgl64.Vec3{0.1, 0.2, 0.3}, 8, 2.5), 2 * math.Pi * math.Pi * 8 * 2.5 * 2.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			coarse := math.Abs(contour(t, c.solid, 0.4).Volume() - c.volume)
			fine := math.Abs(contour(t, c.solid, 0.1).Volume() - c.volume)
			order := math.Log(coarse/fine) / math.Log(4)
			t.Logf("volume error %.5f mm³ at 0.4 mm, %.5f mm³ at 0.1 mm: order %.2f", coarse, fine, order)
			assert.Greater(t, order, 1.8)
		})
	}
}

func TestEdgesStaySharpAndFacesFlat(t *testing.T) {
	m := contour(t, meshtest.Slab(t, meshtest.Rectangle(t, 1.3, 2.7, 10, 8, 0.3), 0.55, 3.2, 0), 0.4)
	meshtest.RequireSound(t, m.Vertices, m.Triangles)
	// Exact up to float32 storage of coordinates near 10 mm.
	assert.InDelta(t, 10*8*3.2, m.Volume(), 1e-3)
	assert.InDelta(t, 2*(10*8+10*3.2+8*3.2), m.Area(), 1e-3)
	lo, hi := m.Bounds()
	assert.InDelta(t, 0.55, lo[2], 1e-6)
	assert.InDelta(t, 3.75, hi[2], 1e-6)
	for _, v := range m.Vertices {
		if v[2] > 3.5 { // above the highest wall cell: on the top
			assert.InDelta(t, 3.75, v[2], 1e-6)
		}
	}
}

func TestHolesMakeHandles(t *testing.T) {
	// Euler characteristic 2 - 2k of a plate with k holes.
	for holes := range 4 {
		rings := [][]mgl64.Vec2{meshtest.Ellipse(15, 8, false)}
		for k := range holes {
			ring := meshtest.Ellipse(1.5, 2, true)
			for i := range ring {
				ring[i][0] += -8 + 8*float64(k)
			}
			rings = append(rings, ring)
		}
		region, err := field.NewRegion(rings...)
		require.NoError(t, err)
		m := contour(t, meshtest.Slab(t, region, 0, 3, 0.6), 0.4)
		meshtest.RequireSound(t, m.Vertices, m.Triangles)
		euler := len(m.Vertices) - len(m.Triangles)/2
		assert.Equal(t, 2-2*holes, euler)
	}
}

func TestSolidsThatTouchMakeOneSoundMesh(t *testing.T) {
	base := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 8, 0), 0, 3, 0)
	for _, c := range []struct {
		name  string
		other field.Field
		both  float64
		edge  float64 // length of a mere edge they share, mm: bridging it may add a step's square along it
	}{
		{"share a face", meshtest.Slab(t, meshtest.Rectangle(t, 2, 1, 6, 4, 0.3), 3, 2, 0), 240 + 48, 0},
		{"share a whole wall", meshtest.Slab(t, meshtest.Rectangle(t, 10, 0, 4, 8, 0), 0, 3, 0), 240 + 96, 0},
		{"share an upright edge", meshtest.Slab(t, meshtest.Rectangle(t, 10, 8, 4, 4, 0), 0, 3, 0), 240 + 48, 3},
		{"share a level edge", meshtest.Slab(t, meshtest.Rectangle(t, 10, 0, 4, 8, 0), 3, 3, 0), 240 + 96, 8},
		{"share a point", meshtest.Slab(t, meshtest.Rectangle(t, 10, 8, 4, 4, 0), 3, 3, 0), 240 + 48, 0.4},
		{"overlap", meshtest.Slab(t, meshtest.Rectangle(t, 5, 4, 10, 8, 0), 1, 1, 0), 240 + 80 - 20, 0},
		{"are the same", meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 8, 0), 0, 3, 0), 240, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, step := range []float64{0.5, 0.4, 0.31, 0.25} {
				m := contour(t, field.Union(base, c.other), step)
				meshtest.RequireSound(t, m.Vertices, m.Triangles)
				assert.InDelta(t, c.both, m.Volume(), 0.05+c.edge*step*step, "step %g", step)
			}
		})
	}
}

// sampledEverywhere hides what a field knows of where it is not.
type sampledEverywhere struct{ field.Field }

func (sampledEverywhere) Range(field.Box) (lo, hi float64) { return math.Inf(-1), math.Inf(1) }

func TestPassingOverBlocksLosesNothing(t *testing.T) {
	heights := field.HeightMap{Origin: mgl64.Vec2{-2, -2}, Spacing: 2, Columns: 8, Rows: 7, Heights: make([]float64, 56)}
	for i := range heights.Heights {
		heights.Heights[i] = 1.5 * math.Sin(float64(i))
	}
	rise, err := field.NewHeightMap(heights)
	require.NoError(t, err)
	rising, err := field.NewPrism(field.Prism{
		Region: meshtest.Rectangle(t, 0, 0, 10, 8, 0.1), Underside: rise, Thickness: field.Level(2), EdgeTop: 0.7, EdgeBottom: 0.2,
	})
	require.NoError(t, err)
	groove, err := field.NewRecess(field.Recess{
		Region: meshtest.Rectangle(t, 2, 2, 5, 3, 0.3), Top: field.Stack(rise, field.Level(2)), Depth: 1, Wall: 0.5,
	})
	require.NoError(t, err)
	for name, f := range map[string]field.Field{
		"rising prism": rising,
		"with groove":  field.Difference(rising, groove),
		"grown":        field.Offset(rising, 1),
		"stack":        field.Union(rising, meshtest.Slab(t, meshtest.Rectangle(t, 4, 4, 3, 3, 0), -4, 9, 0)),
		"blended":      field.Blend(1, rising, meshtest.Slab(t, meshtest.Rectangle(t, 4, 4, 3, 3, 0), -4, 9, 0)),
	} {
		t.Run(name, func(t *testing.T) {
			sifted, full := contour(t, f, 0.4), contour(t, sampledEverywhere{f}, 0.4)
			meshtest.RequireSound(t, sifted.Vertices, sifted.Triangles)
			assert.True(t, slices.Equal(corners(full), corners(sifted)), "%d triangles of "+
				"%d", len(sifted.Triangles), len(full.Triangles))
		})
	}
}

func (s sampledEverywhere) Levels() []float64 { return s.Field.Levels() }

// corners returns the triangles by their coordinates, in an order of its own.
func corners(m *mesh.Mesh) []string {
	var all []string
	for _, t := range m.Triangles {
		points := []string{fmt.Sprint(m.Vertices[t[0]]), fmt.Sprint(m.Vertices[t[1]]), fmt.Sprint(m.Vertices[t[2]])}
		slices.Sort(points)
		all = append(all, fmt.Sprint(points))
	}
	slices.Sort(all)
	return all
}

func TestContourIsTheSameOnAnyNumberOfCores(t *testing.T) {
	f := field.Union(
		meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 10, 8, 0.2), 0, 3, 0.5),
		field.Torus(mgl64.Vec3{5, 5, 3}, 4, 1),
	)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone := contour(t, f, 0.3)
	runtime.GOMAXPROCS(4)
	assert.Equal(t, alone, contour(t, f, 0.3))
}

func TestContourOfNothingIsEmpty(t *testing.T) {
	m := contour(t, field.Offset(field.Ball(mgl64.Vec3{}, 1), -2), 0.2)
	assert.Empty(t, m.Triangles)
}

func TestContourRefusesWhatItCannotSample(t *testing.T) {
	ball := field.Ball(mgl64.Vec3{}, 10)
	for _, c := range []struct {
		name string
		f    field.Field
		step float64
		says string
	}{
		{"no step", ball, 0, "positive"},
		{"negative step", ball, -0.2, "positive"},
		{"step not a number", ball, math.NaN(), "positive"},
		{"endless step", ball, math.Inf(1), "positive"},
		{"too fine", ball, 1e-4, "too fine"},
		{"bounds not a number", field.Ball(mgl64.Vec3{math.NaN(), 0, 0}, 1), 0.2, "finite bounds"},
		{"endless", field.Ball(mgl64.Vec3{}, math.Inf(1)), 0.2, "finite bounds"},
		{"not a number inside", notANumber{ball}, 0.4, "not a number"},
		{"far away", field.Ball(mgl64.Vec3{1e6, 0, 0}, 1), 0.2, "too far"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Of(context.Background(), c.f, Options{Step: c.step})
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// notANumber is a field that fails in one place.
type notANumber struct{ field.Field }

func (f notANumber) Distances(points []mgl64.Vec3, out []float64) {
	f.Field.Distances(points, out)
	for i, p := range points {
		if p[0] > 9 {
			out[i] = math.NaN()
		}
	}
}

func TestContourIsSoundAsFarFromTheOriginAsItGoes(t *testing.T) {
	const step = 0.2
	far := field.Ball(mgl64.Vec3{step*farthestSteps - 5, 0, 0}, 2)
	m := contour(t, far, step)
	meshtest.RequireSound(t, m.Vertices, m.Triangles)
}

func TestAnEdgeBetweenTheNodesIsNotCutOff(t *testing.T) {
	// An upright edge that points along x between two rows of nodes: no lattice
	// edge sees its tip.
	for _, shift := range []float64{0, 0.07, 0.13, 0.19} {
		block := meshtest.Slab(t, meshtest.Rectangle(t, shift, 0, 6, 6, math.Pi/4), 0, 3, 0)
		m := contour(t, block, DefaultStep)
		meshtest.RequireSound(t, m.Vertices, m.Triangles)
		assert.InDelta(t, 6*6*3, m.Volume(), 0.01)
		lo, hi := m.Bounds()
		assert.InDelta(t, shift-6/math.Sqrt2, lo[0], 0.01)
		assert.InDelta(t, shift+6/math.Sqrt2, hi[0], 0.01)
	}
}

func TestContourStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Of(ctx, field.Ball(mgl64.Vec3{}, 10), Options{Step: 0.1})
	assert.ErrorIs(t, err, context.Canceled)
}
