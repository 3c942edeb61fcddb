package mesh_test

import (
	"testing"

	"earframe/field"
	"earframe/internal/meshtest"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestJudgeCountsTheHandlesOfAPlateWithHoles(t *testing.T) {
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
		v := mesh.Judge(surface(t, meshtest.Slab(t, region, 0, 3, 0.6), 0.5))
		require.NoError(t, v.Err())
		require.Len(t, v.Shells, 1)
		assert.Equal(t, holes, v.Shells[0].Genus)
	}
}
