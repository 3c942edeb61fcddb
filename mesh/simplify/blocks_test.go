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
