package mesh

import (
	"cmp"
	"context"
	"slices"
	"sync/atomic"
)

// SelfIntersections returns the pairs of triangles, lower index first, that have
// more in common than the vertices they share by index: they cross, touch, or
// overlap in one plane. Two triangles on the same three vertices are such a
// pair; vertices at the same place with different indices are not shared.
//
// With limit > 0 the search ends when it has found that many pairs. The answer
// is exact for the coordinates as they are stored, and the same on any number
// of cores. Triangles without area, with coordinates that are not finite, or
// with indices out of range take no part. ctx ends the work early with its error.
func SelfIntersections(ctx context.Context, m *Mesh, limit int) ([][2]int32, error) {
	tree, err := newBoxTree(ctx, m, m.usableTriangle)
	if err != nil {
		return nil, err
	}
	return tree.crossings(ctx, m, limit)
}

// leavesAChunk is how many leaves of the tree one core takes at a time.
const leavesAChunk = 256

// crossings finds pairs chunk by chunk. A chunk is passed over only when those
// before it already hold limit pairs, so that the answer does not depend on
// which core was faster.
func (tree *boxTree) crossings(ctx context.Context, m *Mesh, limit int) ([][2]int32, error) {
	leaves := len(tree.levels[0])
	chunks := (leaves + leavesAChunk - 1) / leavesAChunk
	found := make([][][2]int32, chunks)
	counts := make([]atomic.Int64, chunks) // pairs found + 1, once done
	err := parallel(ctx, chunks, func(chunk int) {
		if limit > 0 && doneBefore(counts, chunk) >= int64(limit) {
			return
		}
		for leaf := chunk * leavesAChunk; leaf < min((chunk+1)*leavesAChunk, leaves); leaf++ {
			if ctx.Err() != nil || (limit > 0 && len(found[chunk]) >= limit) {
				break
			}
			found[chunk] = tree.crossingsOfLeaf(m, leaf, limit, found[chunk])
		}
		counts[chunk].Store(int64(len(found[chunk])) + 1)
	})
	if err != nil {
		return nil, err
	}
	pairs := slices.Concat(found...)
	if limit > 0 && len(pairs) > limit {
		pairs = pairs[:limit]
	}
	slices.SortFunc(pairs, func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	return pairs, nil
}

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

// crossingsOfLeaf appends the crossings of the leaf's triangles with one
// another and with those of later leaves.
func (tree *boxTree) crossingsOfLeaf(m *Mesh, leaf, limit int, pairs [][2]int32) [][2]int32 {
	from, to := tree.leaf(leaf)
	own := &tree.levels[0][leaf]
	tree.walk(leaf, own.overlaps, func(other int) {
		otherFrom, otherTo := tree.leaf(other)
		for i := from; i < to; i++ {
			if !tree.boxes[i].overlaps(&tree.levels[0][other]) {
				continue
			}
			for j := max(otherFrom, i+1); j < otherTo; j++ {
				if limit > 0 && len(pairs) >= limit {
					return
				}
				if !tree.boxes[i].overlaps(&tree.boxes[j]) {
					continue
				}
				s, t := tree.triangles[i], tree.triangles[j]
				if m.trianglesCross(m.Triangles[s], m.Triangles[t]) {
					pairs = append(pairs, [2]int32{min(s, t), max(s, t)})
				}
			}
		}
	})
	return pairs
}
