package wall_test

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh/wall"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// within is how far a measured wall may be from the true one, mm.
const within = 0.05

// turned is a field turned about the origin, or mirrored.
type turned struct {
	field.Field
	back mgl64.Mat3 // from the turned place to the field's own
}

func boxAround(b field.Box, by mgl64.Mat3) field.Box {
	middle, half := by.Mul3x1(b.Centre()), b.Max.Sub(b.Min).Mul(0.5)
	var reach mgl64.Vec3
	for i := range 3 {
		for k := range 3 {
			reach[i] += math.Abs(by.At(i, k)) * half[k]
		}
	}
	return field.Box{Min: middle.Sub(reach), Max: middle.Add(reach)}
}

func (f *turned) own(points []mgl64.Vec3) []mgl64.Vec3 {
	out := make([]mgl64.Vec3, len(points))
	for i, p := range points {
		out[i] = f.back.Mul3x1(p)
	}
	return out
}

func (f *turned) Bounds() field.Box { return boxAround(f.Field.Bounds(), f.back.Transpose()) }

func (f *turned) Range(b field.Box) (lo, hi float64) { return f.Field.Range(boxAround(b, f.back)) }

func (f *turned) Distances(points []mgl64.Vec3, out []float64) {
	f.Field.Distances(f.own(points), out)
}

func (f *turned) Gradients(points []mgl64.Vec3, out []float64, gradients []mgl64.Vec3) {
	f.Field.Gradients(f.own(points), out, gradients)
	for i, g := range gradients[:len(points)] {
		gradients[i] = f.back.Transpose().Mul3x1(g)
	}
}

// turns are ways for a solid to lie.
var turns = map[string]mgl64.Mat3{
	"as drawn":        mgl64.Ident3(),
	"mirrored":        mgl64.Diag3(mgl64.Vec3{-1, 1, 1}),
	"turned by 17°":   mgl64.Rotate3DZ(0.3),
	"turned by 45°":   mgl64.Rotate3DZ(math.Pi / 4),
	"turned and tilt": mgl64.Rotate3DZ(1.1).Mul3(mgl64.Rotate3DX(0.7)),
}

func ring(corners ...mgl64.Vec2) []mgl64.Vec2 { return corners }

func prism(t testing.TB, low, high, edge float64, rings ...[]mgl64.Vec2) field.Field {
	t.Helper()
	region, err := field.NewRegion(rings...)
	require.NoError(t, err)
	return meshtest.Slab(t, region, low, high-low, edge)
}

func block(t testing.TB, low, high mgl64.Vec3, edge float64) field.Field {
	t.Helper()
	return prism(t, low[2], high[2], edge, ring(low.Vec2(), mgl64.Vec2{high[0], low[1]}, high.Vec2(), mgl64.Vec2{low[0], high[1]}))
}

// wedge is a prism 5 mm high whose sides meet at the angle, degrees.
func wedge(t testing.TB, angle float64) field.Field {
	half := 15 * math.Tan(angle*math.Pi/360)
	return prism(t, 0, 5, 0, ring(mgl64.Vec2{}, mgl64.Vec2{15, -half}, mgl64.Vec2{15, half}))
}

func least(t testing.TB, f field.Field, o wall.Options) *wall.Wall {
	t.Helper()
	walls, err := wall.OfField(context.Background(), f, o)
	require.NoError(t, err)
	return walls.Least()
}

// Closed forms, each however the solid lies.
func TestTheThinnestWallIsThatOfTheClosedForm(t *testing.T) {
	plate := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 12, 4}, 0)
	groove := func(over float64) field.Field { // a V of 90 degrees cut into a bar 5 mm high
		return prism(t, 0, 8, 0, ring(mgl64.Vec2{}, mgl64.Vec2{10, 0}, mgl64.Vec2{10, 5},
			mgl64.Vec2{10 - over, 5}, mgl64.Vec2{5, over}, mgl64.Vec2{over, 5}, mgl64.Vec2{0, 5}))
	}
	for _, c := range []struct {
		name  string
		solid field.Field
		want  float64
	}{
		{"plate", block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 1.5}, 0), 1.5},
		{"plate thinner than any sampling step", block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 0.04}, 0), 0.04},
		{"plate with rounded edges", block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 2}, 0.6), 2},
		{"plate with a full round rim", block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 0.9}, 0.45), 0.9},
		{"cube", block(t, mgl64.Vec3{}, mgl64.Vec3{3, 3, 3}, 0), 3},
		{"square bar", block(t, mgl64.Vec3{}, mgl64.Vec3{0.5, 15, 0.5}, 0), 0.5},
		{"flat bar", block(t, mgl64.Vec3{}, mgl64.Vec3{0.2, 15, 3}, 0), 0.2},
		{"round bar", field.Torus(mgl64.Vec3{}, 8, 0.4), 0.8},
		{"ball", field.Ball(mgl64.Vec3{1, 2, 3}, 2), 4},
		{"wedge of 20 degrees: down to its edge", wedge(t, 20), 0},
		{"wedge of 40 degrees: between its ends", wedge(t, 40), 5},
		{"slot beside an edge", field.Difference(plate, block(t, mgl64.Vec3{0.7, 3, 1}, mgl64.Vec3{2, 9, 9}, 0)), 0.7},
		{"web between two slots", field.Difference(plate, field.Union(
			block(t, mgl64.Vec3{3, 3, 1}, mgl64.Vec3{4, 9, 9}, 0), block(t, mgl64.Vec3{4.1, 3, 1}, mgl64.Vec3{5, 9, 9}, 0))), 0.1},
		{"hollow ball in a plate", field.Difference(plate, field.Ball(mgl64.Vec3{10, 6, 1.5}, 1)), 0.5},
		{"dent of a ball in a plate", field.Difference(plate, field.Ball(mgl64.Vec3{10, 6, 5}, 4.2)), 0.8},
		{"round seat near a rim", field.Difference(block(t, mgl64.Vec3{-8, -6, 0}, mgl64.Vec3{8, 6, 4}, 0),
			prism(t, 1, 9, 0, meshtest.Ellipse(5.1, 5.1, false))), 0.9},
		{"V groove", groove(0.8), 0.8},
	} {
		for how, back := range turns {
			found := least(t, &turned{c.solid, back}, wall.Options{})
			if assert.NotNil(t, found, "%s, %s", c.name, how) {
				assert.InDelta(t, c.want, found.Thickness, within, "%s, %s", c.name, how)
			}
		}
	}
}

func TestAWallIsWhereItIsSaidToBe(t *testing.T) {
	plate := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 12, 4}, 0)
	found := least(t, field.Difference(plate, block(t, mgl64.Vec3{6, 4, 0.8}, mgl64.Vec3{11, 7, 9}, 0)), wall.Options{})
	assert.InDelta(t, 0.8, found.Thickness, within)
	assert.True(t, found.At[0] > 5.9 && found.At[0] < 11.1 && found.At[1] > 3.9 && found.At[1] < 7.1, found.At)
	assert.True(t, math.Abs(found.At[2]) < 1e-3 || math.Abs(found.At[2]-0.8) < 1e-3, found.At)
}

// A plate of 0.8 mm in which a seat leaves 0.3 mm, and a thick one that is cut so.
func TestWhatIsDrawnIsToldApartFromWhatIsCut(t *testing.T) {
	seat := block(t, mgl64.Vec3{5, 5, 0.3}, mgl64.Vec3{9, 9, 9}, 0)
	thin, thick := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 0.8}, 0), block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 3}, 0)
	walls, err := wall.OfField(context.Background(), field.Difference(thin, seat), wall.Options{Drawn: thin, Below: 0.9})
	require.NoError(t, err)
	assert.InDelta(t, 0.8, walls.Drawn.Thickness, within)
	assert.InDelta(t, 0.3, walls.Cut.Thickness, within)
	assert.Same(t, walls.Cut, walls.Least())
	walls, err = wall.OfField(context.Background(), field.Difference(thick, seat), wall.Options{Drawn: thick, Below: 0.9})
	require.NoError(t, err)
	assert.Nil(t, walls.Drawn, "3 mm: neither thinner than the other nor than 0.9 mm")
	assert.InDelta(t, 0.3, walls.Cut.Thickness, within)
}

// The extent of a thin floor reaches to its farthest corner at most, and no less
// than half as far, wherever on it the thinnest place was found.
func TestTheExtentIsThatOfTheThinPlace(t *testing.T) {
	plate := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 3}, 0)
	for _, side := range []float64{1, 2, 8} {
		seat := block(t, mgl64.Vec3{4, 4, 0.5}, mgl64.Vec3{4 + side, 4 + side, 9}, 0)
		found := least(t, field.Difference(plate, seat), wall.Options{Drawn: plate, Below: 0.9})
		diagonal := math.Sqrt2 * side
		assert.LessOrEqual(t, found.Extent, diagonal+0.9, side)
		assert.GreaterOrEqual(t, found.Extent, diagonal/2-0.5, side)
	}
	assert.Zero(t, least(t, plate, wall.Options{Below: 0.9}).Extent, "not thinner than asked")
}

// Half a millimetre apart, two seats leave a ridge between them.
func TestARidgeIsNoWall(t *testing.T) {
	plate := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 15, 3}, 0)
	for deep, want := range map[float64]float64{0.25: 2.75, 1.5: 0.5} {
		seats := field.Union(block(t, mgl64.Vec3{3, 3, 3 - deep}, mgl64.Vec3{7, 9, 9}, 0), block(t, mgl64.Vec3{7.5, 3, 3 - deep}, mgl64.Vec3{12, 9, 9}, 0))
		found := least(t, field.Difference(plate, seats), wall.Options{Drawn: plate, Ridge: 0.3})
		assert.InDelta(t, want, found.Thickness, within)
	}
	// A skin between a seat and the side of the plate is one, however thin.
	skin := field.Difference(plate, block(t, mgl64.Vec3{0.2, 3, 1}, mgl64.Vec3{5, 9, 9}, 0))
	assert.InDelta(t, 0.2, least(t, skin, wall.Options{Drawn: plate, Ridge: 0.3}).Thickness, within)
}

func TestTheThinnestWallIsTheSameOnAnyNumberOfCores(t *testing.T) {
	solid := field.Difference(block(t, mgl64.Vec3{}, mgl64.Vec3{20, 12, 4}, 0.5), field.Ball(mgl64.Vec3{10, 6, 5}, 4.2))
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	runtime.GOMAXPROCS(1)
	alone := least(t, solid, wall.Options{Below: 0.9})
	runtime.GOMAXPROCS(8)
	assert.Equal(t, alone, least(t, solid, wall.Options{Below: 0.9}))
}

func TestMeasuringStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := wall.OfField(ctx, field.Ball(mgl64.Vec3{}, 2), wall.Options{})
	assert.ErrorIs(t, err, context.Canceled)
	_, err = wall.OfMesh(ctx, meshOf(t, field.Ball(mgl64.Vec3{}, 2), 0.3), wall.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

func BenchmarkOfField(b *testing.B) {
	for _, side := range []float64{10, 20, 40} {
		plate := block(b, mgl64.Vec3{}, mgl64.Vec3{side, side, 4}, 0.5)
		b.Run(fmt.Sprintf("%.0f mm² of surface", 2*side*side+16*side), func(b *testing.B) {
			for b.Loop() {
				least(b, plate, wall.Options{Below: 0.9})
			}
		})
	}
}
