package tree

import (
	"math"
	"math/bits"
)

const (
	mortonBits  = 16
	mortonCells = 1 << mortonBits
)

// curve is the Morton curve through a box.
type curve struct{ offset, scale [3]float64 }

// newCurve keeps clear of overflow: sides may be as long as float64 allows.
func newCurve(all *extent) (c curve) {
	for k := range 3 {
		size := math.Max(math.Abs(all.low[k]), math.Abs(all.high[k]))
		low := all.low[k] / size
		c.offset[k], c.scale[k] = low*size, mortonCells/(all.high[k]/size-low)/size
	}
	return c
}

// code returns the place of an extent's centre on the curve.
func (c *curve) code(e *extent) (code uint64) {
	for k := range 3 {
		centre := e.low[k]/2 + e.high[k]/2
		code |= spreadBits(mortonCell((centre-c.offset[k])*c.scale[k])) << k
	}
	return code
}

func mortonCell(x float64) uint64 {
	if !(x > 0) { // not a number, too
		return 0
	}
	return uint64(math.Min(x, mortonCells-1))
}

// spreadBits puts two zero bits between the bits of a number below 2^21.
func spreadBits(x uint64) uint64 {
	x = (x | x<<32) & 0x1f00000000ffff
	x = (x | x<<16) & 0x1f0000ff0000ff
	x = (x | x<<8) & 0x100f00f00f00f00f
	x = (x | x<<4) & 0x10c30c30c30c30c3
	return (x | x<<2) & 0x1249249249249249
}

// sortByCode sorts values by their codes, equal codes in the order given, in
// passes over 12 bits.
func sortByCode(codes []uint64, values []int32) {
	const digitBits = 12
	codes2, values2 := make([]uint64, len(codes)), make([]int32, len(values))
	var all uint64
	for _, code := range codes {
		all |= code
	}
	source, target, sourceValues, targetValues := codes, codes2, values, values2
	for shift := 0; shift < bits.Len64(all); shift += digitBits {
		var start [1<<digitBits + 1]int32
		for _, code := range source {
			start[code>>shift&(1<<digitBits-1)+1]++
		}
		for d := 1; d < len(start); d++ {
			start[d] += start[d-1]
		}
		for i, code := range source {
			d := code >> shift & (1<<digitBits - 1)
			target[start[d]], targetValues[start[d]] = code, sourceValues[i]
			start[d]++
		}
		source, target = target, source
		sourceValues, targetValues = targetValues, sourceValues
	}
	copy(codes, source)
	copy(values, sourceValues)
}
