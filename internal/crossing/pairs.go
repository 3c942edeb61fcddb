package crossing

import (
	"cmp"
	"context"
	"slices"
	"sync/atomic"

	"earframe/internal/tree"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Pairs returns the pairs of triangles, lower index first, that have
// more in common than the vertices they share by index: they cross, touch, or
// overlap in one plane. Two triangles on the same three vertices are such a
// pair; vertices at the same place with different indices are not shared.
//
// With limit > 0 the search ends when it has found that many pairs. The answer
// is exact for the coordinates as they are stored, and the same on any number
// of cores. Triangles without area, with coordinates that are not finite, or
// with indices out of range take no part. ctx ends the work early with its error.
func Pairs(ctx context.Context, vertices []mgl64.Vec3, triangles [][3]int32, limit int) ([][2]int32, error) {
	byPlace, err := tree.New(ctx, vertices, triangles, func(i int) bool { return Usable(vertices, triangles[i]) })
	if err != nil {
		return nil, err
	}
	s := search{byPlace, vertices, triangles, limit}
	return s.all(ctx)
}

// search is what all chunks of one search share.
type search struct {
	byPlace   *tree.Tree
	vertices  []mgl64.Vec3
	triangles [][3]int32
	limit     int
}

// leavesAChunk is how many leaves of the tree one core takes at a time.
const leavesAChunk = 256

// all finds pairs chunk by chunk. A chunk is passed over only when those before
// it already hold limit pairs, so that the answer does not depend on which core
// was faster.
func (s *search) all(ctx context.Context) ([][2]int32, error) {
	leaves := s.byPlace.Leaves()
	chunks := (leaves + leavesAChunk - 1) / leavesAChunk
	found := make([][][2]int32, chunks)
	counts := make([]atomic.Int64, chunks) // pairs found + 1, once done
	err := workers.Bands(ctx, "crossings", leaves, leavesAChunk, func(from, to int) error {
		chunk := from / leavesAChunk
		if s.limit > 0 && doneBefore(counts, chunk) >= int64(s.limit) {
			return nil
		}
		for leaf := from; leaf < to && ctx.Err() == nil && !s.enough(found[chunk]); leaf++ {
			found[chunk] = s.ofLeaf(leaf, found[chunk])
		}
		counts[chunk].Store(int64(len(found[chunk])) + 1)
		return nil
	})
	if err != nil {
		return nil, err
	}
	pairs := slices.Concat(found...)
	if s.enough(pairs) {
		pairs = pairs[:s.limit]
	}
	slices.SortFunc(pairs, func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	return pairs, nil
}

func (s *search) enough(pairs [][2]int32) bool { return s.limit > 0 && len(pairs) >= s.limit }

// doneBefore returns the pairs found by the unbroken run of chunks that are
// done, from the first up to the given one.
func doneBefore(counts []atomic.Int64, chunk int) int64 {
	sum := int64(0)
	for i := range chunk {
		done := counts[i].Load()
		if done == 0 {
			break
		}
		sum += done - 1
	}
	return sum
}

// ofLeaf appends the crossings of the leaf's triangles with one another and with
// those of later leaves.
func (s *search) ofLeaf(leaf int, pairs [][2]int32) [][2]int32 {
	s.byPlace.Pairs(leaf, func(i, j int32) bool {
		if Cross(s.vertices, s.triangles[i], s.triangles[j]) {
			pairs = append(pairs, [2]int32{min(i, j), max(i, j)})
		}
		return !s.enough(pairs)
	})
	return pairs
}
