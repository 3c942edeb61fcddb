// Package places finds points of equal place: 0 and -0 are equal, nothing else
// that differs is, so that no vertex is moved by joining.
package places

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Index holds different places, in a table with open addressing.
type Index struct {
	Points []mgl64.Vec3 // in the order they were first added
	slots  []int32      // index of a point + 1
}

// NewIndex makes room for about the given number of points.
func NewIndex(expected int) *Index {
	size := 16
	for size < 2*expected {
		size *= 2
	}
	return &Index{slots: make([]int32, size), Points: make([]mgl64.Vec3, 0, expected)}
}

// Add returns the point's index in Points, and whether it is new there.
func (x *Index) Add(p mgl64.Vec3) (index int32, isNew bool) {
	if 2*len(x.Points) >= len(x.slots) {
		x.grow()
	}
	slot := x.slotOf(p)
	if x.slots[slot] != 0 {
		return x.slots[slot] - 1, false
	}
	x.Points = append(x.Points, p)
	x.slots[slot] = int32(len(x.Points))
	return int32(len(x.Points)) - 1, true
}

// slotOf returns the slot that holds the place, or the free one meant for it.
func (x *Index) slotOf(p mgl64.Vec3) int {
	slot := placeHash(p) & uint64(len(x.slots)-1)
	for x.slots[slot] != 0 && x.Points[x.slots[slot]-1] != p {
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

func (x *Index) grow() {
	x.slots = make([]int32, 2*len(x.slots))
	for i, p := range x.Points {
		x.slots[x.slotOf(p)] = int32(i) + 1
	}
}
