package mesh

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// vertexIndex finds vertices by place, in a table with open addressing.
type vertexIndex struct {
	slots    []int32 // index of a vertex + 1
	vertices []mgl64.Vec3
}

// newVertexIndex makes room for about the given number of vertices.
func newVertexIndex(expected int) *vertexIndex {
	size := 16
	for size < 2*expected {
		size *= 2
	}
	return &vertexIndex{slots: make([]int32, size), vertices: make([]mgl64.Vec3, 0, expected)}
}

// add returns the vertex's index among the different ones added so far, and
// whether it is new. Places are the same when their coordinates are equal; 0
// and -0 are.
func (x *vertexIndex) add(p mgl64.Vec3) (index int32, isNew bool) {
	if 2*len(x.vertices) >= len(x.slots) {
		x.grow()
	}
	slot := x.slotOf(p)
	if x.slots[slot] != 0 {
		return x.slots[slot] - 1, false
	}
	x.vertices = append(x.vertices, p)
	x.slots[slot] = int32(len(x.vertices))
	return int32(len(x.vertices)) - 1, true
}

// slotOf returns the slot that holds the place, or the free one meant for it.
func (x *vertexIndex) slotOf(p mgl64.Vec3) int {
	slot := placeHash(p) & uint64(len(x.slots)-1)
	for x.slots[slot] != 0 && x.vertices[x.slots[slot]-1] != p {
		slot = (slot + 1) & uint64(len(x.slots)-1)
	}
	return int(slot)
}

// placeHash mixes the bits of the coordinates.
func placeHash(p mgl64.Vec3) uint64 {
	var h uint64
	for _, x := range p {
		h = (h ^ math.Float64bits(x+0)) * 0x9e3779b97f4a7c15 // x+0: -0 is 0
		h ^= h >> 29
	}
	return h ^ h>>32
}

func (x *vertexIndex) grow() {
	x.slots = make([]int32, 2*len(x.slots))
	for i, p := range x.vertices {
		x.slots[x.slotOf(p)] = int32(i) + 1
	}
}
