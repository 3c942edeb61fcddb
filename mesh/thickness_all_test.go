package mesh

import (
	"context"
	"math"
	"slices"
	"testing"

	"earframe/internal/crossing"
	"earframe/internal/tree"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheThinnestWallIsTheOneThatMeasuringAllOfThemFinds(t *testing.T) {
	m := (*Mesh)(solids.Sum(
		solids.Box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{10, 8, 3}), solids.Torus(6, 1.2, 90, 30), solids.Ball(mgl64.Vec3{20, 0, 0}, 2, 4)))
	byPlace, err := tree.New(context.Background(), m.Vertices, m.Triangles, func(i int) bool {
		return crossing.Usable(m.Vertices, m.Triangles[i])
	})
	require.NoError(t, err)
	var all []float64
	for _, start := range wallStarts(m, byPlace) {
		all = append(all, wallThickness(byPlace, m, start))
	}
	slices.Sort(all)
	thinnest, err := ThinnestWall(context.Background(), m)
	require.NoError(t, err)
	assert.Equal(t, all[int(math.Ceil(leastWallArea*float64(len(all))/m.Area()))], thinnest.Thickness)
}
