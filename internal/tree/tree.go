package tree

import (
	"context"
	"slices"

	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Tree is a bounding volume hierarchy over the triangles of a mesh. The
// triangles are sorted along a Morton curve through their box centres, cut into
// leaves of leafTriangles, and paired upwards into a complete binary tree that
// is stored level by level, the leaves first.
type Tree struct {
	vertices  []mgl64.Vec3
	corners   [][3]int32
	triangles []int32 // in the order of the leaves
	boxes     []Box   // of the triangles, in that order
	levels    [][]Box // leaves first, the root last
}

const leafTriangles = 4

// trianglesABand is how many triangles one core takes at a time: about a
// millisecond's work.
const trianglesABand = 1 << 13

// New builds the tree over the triangles that usable accepts; their corners must
// be vertices with finite coordinates. The tree keeps hold of both slices, which
// must not change. ctx ends the work early with its error.
func New(ctx context.Context, vertices []mgl64.Vec3, triangles [][3]int32, usable func(i int) bool) (*Tree, error) {
	tree := &Tree{vertices: vertices, corners: triangles}
	boxes := make([]Box, len(triangles))
	used := make([][]int32, (len(triangles)+trianglesABand-1)/trianglesABand)
	around := make([]extent, len(used))
	err := workers.Bands(ctx, "boxes of triangles", len(triangles), trianglesABand, func(from, to int) error {
		band := from / trianglesABand
		around[band] = noExtent
		used[band] = make([]int32, 0, to-from)
		for i := from; i < to; i++ {
			if usable(i) {
				e := tree.extentOf(int32(i))
				boxes[i] = e.box()
				around[band].join(&e)
				used[band] = append(used[band], int32(i))
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	all := noExtent
	for i := range around {
		all.join(&around[i])
	}
	tree.triangles = slices.Concat(used...)
	codes := make([]uint64, len(tree.triangles))
	err = workers.Bands(ctx, "order of triangles", len(codes), trianglesABand, func(from, to int) error {
		curve := newCurve(&all)
		for i, t := range tree.triangles[from:to] {
			e := tree.extentOf(t)
			codes[from+i] = curve.code(&e)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	sortByCode(codes, tree.triangles)
	tree.boxes = make([]Box, len(tree.triangles))
	for i, t := range tree.triangles {
		tree.boxes[i] = boxes[t]
	}
	tree.levels = append(tree.levels, joinBoxes(tree.boxes, leafTriangles))
	for len(tree.levels[len(tree.levels)-1]) > 1 {
		tree.levels = append(tree.levels, joinBoxes(tree.levels[len(tree.levels)-1], 2))
	}
	return tree, ctx.Err()
}

// Triangles returns the tree's triangles in the order of its leaves, in which
// neighbours in space are mostly near one another. It must not be changed.
func (t *Tree) Triangles() []int32 { return t.triangles }

// Bounds returns the box of all triangles; of none, its sides are the wrong way
// round.
func (t *Tree) Bounds() Box {
	if len(t.triangles) == 0 {
		return noExtent.box()
	}
	return t.levels[len(t.levels)-1][0]
}

func (t *Tree) extentOf(i int32) (e extent) {
	c := t.corners[i]
	a, b, d := &t.vertices[c[0]], &t.vertices[c[1]], &t.vertices[c[2]]
	for k := range 3 {
		e.low[k], e.high[k] = min(a[k], b[k], d[k]), max(a[k], b[k], d[k])
	}
	return e
}

// joinBoxes returns the boxes of each group of boxes that follow one another.
func joinBoxes(boxes []Box, group int) []Box {
	out := make([]Box, (len(boxes)+group-1)/group)
	for i := range out {
		out[i] = boxes[i*group]
		for k := i*group + 1; k < min((i+1)*group, len(boxes)); k++ {
			out[i].join(&boxes[k])
		}
	}
	return out
}

// leaf returns the range of the leaf's triangles in the order of the leaves.
func (t *Tree) leaf(i int) (from, to int) {
	return i * leafTriangles, min((i+1)*leafTriangles, len(t.triangles))
}
