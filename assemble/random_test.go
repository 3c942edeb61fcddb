package assemble_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

// randomStep is coarse, so that a thousand plans take half a minute; what is
// tested holds at every step.
const randomStep = 0.5

// TestThousandRandomPlansAreSound stacks random units, many of them sharing
// faces, edges or points with their neighbours, and holds each joined mesh
// against the judge and its volume between that of the largest unit and the sum
// of all.
func TestThousandRandomPlansAreSound(t *testing.T) {
	plans := 1000
	if testing.Short() {
		plans = 50
	}
	first := 1
	if given := os.Getenv("EARFRAME_SEED"); given != "" {
		seed, err := strconv.Atoi(given)
		require.NoError(t, err, "EARFRAME_SEED is the first seed")
		first = seed
	}
	t.Logf("seeds %d to %d; EARFRAME_SEED=n starts at another", first, first+plans-1)
	const groups = 20
	for group := range groups {
		t.Run(fmt.Sprintf("group %d", group), func(t *testing.T) {
			t.Parallel()
			for seed := first + group; seed < first+plans; seed += groups {
				checkPlan(t, seed)
			}
		})
	}
}

func checkPlan(t *testing.T, seed int) {
	t.Helper()
	d := dice{rand.New(rand.NewPCG(uint64(seed), 1))}
	fields := d.stack(t)
	ctx := context.Background()
	largest, sum := 0.0, 0.0
	for _, f := range fields {
		m, err := contour.Of(ctx, f, contour.Options{Step: randomStep})
		require.NoError(t, err, "seed %d", seed)
		v := m.Volume()
		largest, sum = math.Max(largest, v), sum+v
	}
	raw, err := contour.Of(ctx, field.Union(fields...), contour.Options{Step: randomStep})
	require.NoError(t, err, "seed %d", seed)
	require.NoError(t, mesh.Judge(raw).Err(), "seed %d, as contoured", seed)
	simple, err := simplify.Of(ctx, raw, simplify.Options{Tolerance: 0.01})
	require.NoError(t, err, "seed %d", seed)
	verdict := mesh.Judge(simple)
	require.NoError(t, verdict.Err(), "seed %d, simplified", seed)
	// Bridging what only shares an edge or a point adds up to a step's square
	// along it; sampling and simplifying change a volume by less than 1 %.
	require.GreaterOrEqual(t, verdict.Volume, 0.99*largest, "seed %d", seed)
	require.LessOrEqual(t, verdict.Volume, 1.01*sum+10*randomStep*randomStep*float64(len(fields)), "seed %d", seed)
}

// dice draws random plans.
type dice struct{ *rand.Rand }

func (d dice) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

// stack draws two to five units. Heights and places come from a coarse raster
// half of the time, so that faces, edges and corners often coincide.
func (d dice) stack(t *testing.T) []field.Field {
	t.Helper()
	var fields []field.Field
	under := 0.0
	for range 2 + d.IntN(4) {
		thickness := d.onRaster(d.between(1.5, 4), 0.5)
		fields = append(fields, d.unit(t, under, thickness))
		if d.IntN(3) > 0 {
			under += thickness // the next stands on this one
		} else if d.IntN(2) == 0 {
			under = d.onRaster(d.between(0, 4), 0.5)
		}
	}
	return fields
}

func (d dice) onRaster(x, raster float64) float64 {
	if d.IntN(2) == 0 {
		return math.Round(x/raster) * raster
	}
	return x
}

// unit draws one solid: a block or a smooth outline, perhaps with a hole, level
// or rising, rounded or sharp, perhaps with a recess.
func (d dice) unit(t *testing.T, under, thickness float64) field.Field {
	t.Helper()
	outer := d.block()
	if d.IntN(2) == 0 {
		outer = d.smooth(d.between(3, 6))
	}
	rings := [][]mgl64.Vec2{outer}
	if hole := scaled(outer, d.between(0.3, 0.6)); d.IntN(3) == 0 {
		slices.Reverse(hole)
		rings = append(rings, hole)
	}
	region, err := field.NewRegion(rings...)
	require.NoError(t, err)
	edge := d.between(0, thickness/2)
	prism := field.Prism{Region: region, Underside: field.Level(under), Thickness: field.Level(thickness)}
	switch d.IntN(3) {
	case 0:
		prism.EdgeTop = edge
	case 1:
		prism.EdgeTop, prism.EdgeBottom = edge, edge/2
	}
	if d.IntN(3) == 0 {
		prism.Underside = d.rise(t, under)
	}
	f, err := field.NewPrism(prism)
	require.NoError(t, err)
	if d.IntN(3) == 0 {
		f = field.Difference(f, d.recess(t, outer, field.Stack(prism.Underside, prism.Thickness), thickness))
	}
	return f
}

func (d dice) recess(t *testing.T, outer []mgl64.Vec2, top field.Surface, thickness float64) field.Field {
	t.Helper()
	region, err := field.NewRegion(scaled(outer, d.between(0.3, 0.8)))
	require.NoError(t, err)
	f, err := field.NewRecess(field.Recess{
		Region: region, Top: top, Depth: thickness * d.between(0.2, 0.7), Wall: d.between(0, 1),
	})
	require.NoError(t, err)
	return f
}

// block draws a rectangle, square to the axes half of the time.
func (d dice) block() []mgl64.Vec2 {
	x, y := d.onRaster(d.between(-6, 6), 1), d.onRaster(d.between(-6, 6), 1)
	width, height := d.onRaster(d.between(2, 8), 1), d.onRaster(d.between(2, 8), 1)
	turn := 0.0
	if d.IntN(2) == 0 {
		turn = d.between(0, math.Pi)
	}
	sin, cos := math.Sincos(turn)
	ring := []mgl64.Vec2{{0, 0}, {width, 0}, {width, height}, {0, height}}
	for i, p := range ring {
		ring[i] = mgl64.Vec2{x + p[0]*cos - p[1]*sin, y + p[0]*sin + p[1]*cos}
	}
	return ring
}

// smooth draws a closed curve with up to five waves around a random centre.
func (d dice) smooth(radius float64) []mgl64.Vec2 {
	const corners = 180
	cx, cy := d.between(-4, 4), d.between(-4, 4)
	var size, phase [6]float64
	for wave := 1; wave <= 5; wave++ {
		size[wave], phase[wave] = d.between(0, 0.3/float64(wave)), d.between(0, 2*math.Pi)
	}
	ring := make([]mgl64.Vec2, corners)
	for i := range ring {
		angle := 2 * math.Pi * float64(i) / corners
		r := 1.0
		for wave := 1; wave <= 5; wave++ {
			r += size[wave] * math.Cos(float64(wave)*angle+phase[wave])
		}
		sin, cos := math.Sincos(angle)
		ring[i] = mgl64.Vec2{cx + radius*r*cos, cy + radius*r*sin}
	}
	return ring
}

// rise draws a gently changing underside.
func (d dice) rise(t *testing.T, under float64) field.Surface {
	t.Helper()
	m := field.HeightMap{Origin: mgl64.Vec2{-20, -20}, Spacing: 4, Columns: 11, Rows: 11}
	for range m.Columns * m.Rows {
		m.Heights = append(m.Heights, under+d.between(-1, 1))
	}
	s, err := field.NewHeightMap(m)
	require.NoError(t, err)
	return s
}

// scaled returns the ring drawn together about its mean point.
func scaled(ring []mgl64.Vec2, share float64) []mgl64.Vec2 {
	var mean mgl64.Vec2
	for _, p := range ring {
		mean = mean.Add(p.Mul(1 / float64(len(ring))))
	}
	out := make([]mgl64.Vec2, len(ring))
	for i, p := range ring {
		out[i] = mean.Add(p.Sub(mean).Mul(share))
	}
	return out
}
