package kit_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/practice/kit"
	"earframe/units"
)

// thinWalls are the findings about walls.
func thinWalls(k *kit.Kit) []units.Finding {
	var found []units.Finding
	for _, f := range k.Findings {
		if strings.Contains(f.Message, "a wall of") {
			found = append(found, f)
		}
	}
	return found
}

// Between two units 1 mm apart their rooms leave 1 - 2 × 0.25 mm. Sunk into the
// base that is a wall as high as they are deep; lying on it, a ridge of the
// seats' depth at the most.
func TestAWallBetweenDeepSeatsIsFoundAndARidgeBetweenShallowOnesIsNone(t *testing.T) {
	pair := func(floor, bottom float64) *kit.Kit {
		return made(t, stackedAt(t, 0.3,
			box(units.Base, mgl64.Vec3{-7, -7, floor}, mgl64.Vec3{7, 7, 5}),
			box(units.Helix, mgl64.Vec3{-5, -5, bottom}, mgl64.Vec3{-0.5, 5, 7}),
			box(units.Antihelix, mgl64.Vec3{0.5, -5, bottom}, mgl64.Vec3{5, 5, 7})))
	}
	deep := thinWalls(pair(0, 2))
	require.Len(t, deep, 1)
	assert.InDelta(t, 0.5, deep[0].Value, 0.03)
	assert.InDelta(t, 0, deep[0].At[0], 0.3, "between the two")
	assert.Empty(t, thinWalls(pair(0, 5)))
	// A plate that is a hair too thin as drawn is no excuse for what rooms leave of it.
	thin := thinWalls(pair(4.43, 4.95))
	require.Len(t, thin, 1)
	assert.InDelta(t, 4.95-0.25-4.43, thin[0].Value, 0.03)
}

// How thin the demo's thinnest wall is, under the helix's tail and over the
// vault, is a matter of its shape and not of the sampling; rooms take no more of
// a wall than a clearance on either side.
func TestTheDemosThinnestWallDoesNotDependOnTheSampling(t *testing.T) {
	least, most := math.Inf(1), 0.0
	see := func(k *kit.Kit) {
		wall := k.Pieces[0].Thinnest
		require.NotNil(t, wall)
		least, most = min(least, wall.Thickness), max(most, wall.Thickness)
	}
	see(demoKit(t, units.Filament, 0.2))
	f, err := demoAt(0.5, true)
	require.NoError(t, err)
	see(made(t, f))
	assert.Less(t, most, 1.1*least)
	drawn, err := demoFramework()
	require.NoError(t, err)
	assert.Greater(t, least, drawn.Pieces[0].Walls.Least().Thickness-2*0.2-0.03)
}

// tube is a cutter that goes through a plate around a plug.
func tube(t *testing.T, at mgl64.Vec2, inner, outer float64) field.Field {
	circle := func(radius float64, way float64) (ring []mgl64.Vec2) {
		for i := range 64 {
			sin, cos := math.Sincos(way * 2 * math.Pi * float64(i) / 64)
			ring = append(ring, at.Add(mgl64.Vec2{cos, sin}.Mul(radius)))
		}
		return ring
	}
	region, err := field.NewRegion(circle(outer, 1), circle(inner, -1))
	require.NoError(t, err)
	cutter, err := field.NewPrism(field.Prism{Region: region, Underside: field.Level(-1), Thickness: field.Level(5)})
	require.NoError(t, err)
	return cutter
}

// A loose plug of less than a hundredth of the plate is left out of its print,
// and that is said; a larger one is a part that was not drawn.
func TestCrumbsAreLeftOutAndPartsAreNot(t *testing.T) {
	f := stackedAt(t, 0.3, box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}))
	drilled := func(radius float64) *kit.Kit {
		k, err := kit.Make(context.Background(), f, func(string) []field.Field {
			return []field.Field{tube(t, mgl64.Vec2{6, 3}, radius, radius+0.8)}
		}, nil)
		require.NoError(t, err)
		return k
	}
	const small, large = 0.8, 1.6 // 6 and 24 of 840 mm³
	k := drilled(small)
	assert.Len(t, k.Pieces[0].Verdict.Shells, 1)
	assert.True(t, k.Pieces[0].Verdict.Sound())
	require.Len(t, k.Findings, 1)
	assert.Equal(t, map[string]units.Severity{"crumbs-left-out": units.Note}, demotest.Kinds(t, k.Findings))
	assert.Contains(t, k.Findings[0].Message, "1 loose crumb of")
	assert.InEpsilon(t, math.Pi*small*small*3, k.Findings[0].Value, 0.05)

	k = drilled(large)
	assert.Len(t, k.Pieces[0].Verdict.Shells, 2)
	require.Len(t, k.Findings, 1)
	assert.Equal(t, map[string]units.Severity{"print-in-pieces": units.Error}, demotest.Kinds(t, k.Findings))
	assert.Equal(t, "with the holes drilled through it its print falls into 2 pieces where 1 was drawn",
		k.Findings[0].Message, "and not the room for neighbours, of which it has none")
	assert.Contains(t, k.Findings[0].Advice, "Leave out fixation.hole")
	assert.Empty(t, made(t, f).Findings, "it helps")
	assert.Contains(t, k.Findings[0].Message, "falls into 2 pieces where 1 was drawn")
}

// A hole wider than a bar parts it; the widest that does not is narrower than the bar.
func TestTheWidestHoleThatHoldsIsSaid(t *testing.T) {
	const wide, hole = 4.0, 5.0
	f := stackedAt(t, 0.3, box(units.Base, mgl64.Vec3{-12, -wide / 2, 0}, mgl64.Vec3{12, wide / 2, 3}))
	f.Plan.Practice.Fixation.Hole = hole
	k, err := kit.Make(t.Context(), f, func(string) []field.Field {
		return []field.Field{field.Offset(tube(t, mgl64.Vec2{0.06, 0}, 0.1, 0.3), hole/2-0.3)}
	}, nil)
	require.NoError(t, err)
	require.Len(t, k.Findings, 1)
	var most float64
	_, err = fmt.Sscanf(k.Findings[0].Advice, "Leave out fixation.hole and drill by hand after printing, or give "+
		"fixation.hole %g mm or less.", &most)
	require.NoError(t, err, k.Findings[0].Advice)
	assert.Less(t, most, wide)
	assert.Greater(t, most, wide-2*0.3, "what is left beside it is seen where it is a sampling step wide")
}

func TestHolesThatLeaveNothingAreNamedAsTheCause(t *testing.T) {
	f := stackedAt(t, 0.3, box(units.Base, mgl64.Vec3{-2, -2, 0}, mgl64.Vec3{2, 2, 3}))
	_, err := kit.Make(context.Background(), f, func(string) []field.Field {
		return []field.Field{tube(t, mgl64.Vec2{0.06, 0.07}, 0.01, 4)}
	}, nil)
	assert.ErrorContains(t, err, "kit: base: nothing is left of it between the holes drilled through it: leave out "+
		"fixation.hole")
	made(t, f) // it helps
}
