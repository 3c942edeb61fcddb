package budget

import (
	"math"
	"sync/atomic"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// known is a region whose distances are remembered at the points of a lattice,
// each when it is first asked for.
type known struct {
	region        *field.Region
	lo, hi        mgl64.Vec2 // of the region
	origin        mgl64.Vec2 // of the lattice
	step, inverse float64
	columns, rows int
	values        []atomic.Uint64 // bits of the distances, of unasked where it was not asked for
}

// unasked stands for a distance that is not known yet: no distance is not a number.
var unasked = math.Float64bits(math.NaN())

// A lattice is as fine as latticeStep mm but no finer than latticeMost points
// along a region, and goes latticeMargin mm beyond it.
const (
	latticeStep   = 0.5
	latticeMost   = 600
	latticeMargin = 10
)

func newKnown(region *field.Region) *known {
	k := &known{region: region}
	k.lo, k.hi = region.Bounds()
	size := k.hi.Sub(k.lo).Add(mgl64.Vec2{2 * latticeMargin, 2 * latticeMargin})
	k.step = math.Max(latticeStep, math.Max(size[0], size[1])/latticeMost)
	k.inverse = 1 / k.step
	k.origin = k.lo.Sub(mgl64.Vec2{latticeMargin, latticeMargin})
	k.columns, k.rows = int(size[0]/k.step)+1, int(size[1]/k.step)+1
	k.values = make([]atomic.Uint64, k.columns*k.rows)
	for i := range k.values {
		k.values[i].Store(unasked)
	}
	return k
}

// bounds returns lo and hi that hold the signed distance from p, from that of
// the nearest lattice point.
func (k *known) bounds(p mgl64.Vec2) (lo, hi float64) {
	column, row := math.Floor((p[0]-k.origin[0])*k.inverse+0.5), math.Floor((p[1]-k.origin[1])*k.inverse+0.5)
	if !(column >= 0 && row >= 0 && column < float64(k.columns) && row < float64(k.rows)) {
		d := k.region.Distance(p)
		return d, d
	}
	q := mgl64.Vec2{k.origin[0] + column*k.step, k.origin[1] + row*k.step}
	value := &k.values[int(row)*k.columns+int(column)]
	bits := value.Load()
	if bits == unasked { // several may work it out at once, and find the same
		bits = math.Float64bits(k.region.Distance(q))
		value.Store(bits)
	}
	d := math.Float64frombits(bits)
	x, y := p[0]-q[0], p[1]-q[1]
	off := math.Sqrt(x*x + y*y)
	return d - off, d + off
}

// away returns a lower bound of the distance: that to the region's box, -Inf in
// the box.
func (k *known) away(p mgl64.Vec2) float64 {
	dx := max(k.lo[0]-p[0], 0, p[0]-k.hi[0])
	dy := max(k.lo[1]-p[1], 0, p[1]-k.hi[1])
	if dx == 0 && dy == 0 {
		return math.Inf(-1)
	}
	return math.Sqrt(dx*dx + dy*dy)
}
