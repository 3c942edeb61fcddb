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

// search is what all parts of one search share.
type search struct {
	byPlace   *tree.Tree
	vertices  []mgl64.Vec3
	triangles [][3]int32
	limit     int
}

// askedEvery is how many pairs are looked at between looks at the context.
const askedEvery = 1 << 12

// all finds pairs part by part of the tree. A part is passed over only when those
// before it already hold limit pairs, so that the answer does not depend on which
// core was faster.
func (s *search) all(ctx context.Context) ([][2]int32, error) {
	found := make([][][2]int32, s.byPlace.Parts())
	counts := make([]atomic.Int64, len(found)) // pairs found + 1, once done
	err := workers.Each(ctx, "crossings", len(found), func(part int) error {
		if s.limit > 0 && doneBefore(counts, part) >= int64(s.limit) {
			return nil
		}
		looked := 0
		s.byPlace.Pairs(part, func(i, j int32) bool {
			if looked++; looked%askedEvery == 0 && ctx.Err() != nil {
				return false
			}
			if Cross(s.vertices, s.triangles[i], s.triangles[j]) {
				found[part] = append(found[part], [2]int32{min(i, j), max(i, j)})
			}
			return !s.enough(found[part])
		})
		counts[part].Store(int64(len(found[part])) + 1)
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

// doneBefore returns the pairs found by the unbroken run of parts that are
// done, from the first up to the given one.
func doneBefore(counts []atomic.Int64, part int) int64 {
	sum := int64(0)
	for i := range part {
		done := counts[i].Load()
		if done == 0 {
			break
		}
		sum += done - 1
	}
	return sum
}
