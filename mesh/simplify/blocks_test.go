package simplify

import (
	"context"
	"testing"

	"earframe/internal/meshtest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// neighbours lists the vertices joined to v.
func (s *surface) neighbours(v int32) (list []int32) {
	first := s.first[v]
	for h := first; ; {
		list = append(list, s.corner[next(h)])
		if h = s.turn(h); h == first {
			return list
		}
	}
}

// Two workers never meet: what is done at a vertex stays within the triangles at
// its neighbours.
func TestAFreeVertexHasItsNeighboursNeighboursInItsBlock(t *testing.T) {
	const blocks = 16
	fine := contoured(t, meshtest.Stack(t), 0.5)
	s, err := newSimplifier(context.Background(), fine, 0.01, make([]bool, len(fine.Vertices)))
	require.NoError(t, err)
	active := s.alive()
	everFree := make([]bool, len(active))
	for turn, cut := range cuts {
		s.cutBlocks(active, blocks, cut)
		require.NoError(t, s.findFree(context.Background()))
		plan := &s.schedule
		size, free := make([]int, len(plan.lists)), 0
		for _, v := range active {
			size[plan.block[v]]++
			if !plan.free(v) {
				continue
			}
			everFree[v] = true
			free++
			for _, u := range s.surface.neighbours(v) {
				for _, w := range s.surface.neighbours(u) {
					require.Equal(t, plan.block[v], plan.block[w])
				}
			}
		}
		assert.Greater(t, free, len(active)/2)
		if turn == 0 {
			assert.InDelta(t, blocks, len(size), 4)
			for _, n := range size {
				assert.InEpsilon(t, len(active)/len(size), n, 0.25, "blocks are of like size")
			}
		}
	}
	left := 0
	for _, free := range everFree {
		if !free {
			left++
		}
	}
	assert.Less(t, left, len(active)/20, "few wait for the end")
}

// What is packed is the same surface, its half-edges joined as before.
func TestPackingLeavesOutWhatIsGoneAlone(t *testing.T) {
	ctx := context.Background()
	fine := contoured(t, meshtest.Stack(t), 0.5)
	locked := make([]bool, len(fine.Vertices))
	for v := range locked {
		locked[v] = v%7 == 0
	}
	s, err := newSimplifier(ctx, fine, 0.01, locked)
	require.NoError(t, err)
	require.NoError(t, s.takeFlat(ctx))
	whole := s.surface
	left := s.left
	require.Less(t, len(left), len(fine.Vertices), "or nothing is left out")
	s.pack(locked)
	require.Equal(t, whole.mesh(), s.surface.mesh())
	require.Len(t, s.surface.first, len(left))
	require.NotContains(t, s.surface.corner, int32(removed))
	for h, g := range s.surface.twin {
		require.Equal(t, int32(h), s.surface.twin[g])
		require.Equal(t, s.surface.corner[h], s.surface.corner[next(g)])
	}
	for i, v := range left {
		require.Equal(t, locked[v], s.locked[i])
		require.Equal(t, whole.moved[v], s.surface.moved[i])
		require.Equal(t, int32(i), s.surface.corner[s.surface.first[i]])
		require.Equal(t, whole.crease[whole.first[v]], s.surface.crease[s.surface.first[i]])
		require.Equal(t, whole.region[whole.first[v]/3], s.surface.region[s.surface.first[i]/3])
	}
}
