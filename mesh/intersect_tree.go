package mesh

import (
	"context"
	"math"
	"math/bits"
)

// boxTree is a bounding volume hierarchy over the triangles of a mesh. The
// triangles are sorted along a Morton curve through their box centres, cut into
// leaves of leafTriangles, and paired upwards into a complete binary tree that
// is stored level by level, the leaves first.
type boxTree struct {
	triangles []int32    // in the order of the leaves
	boxes     []triBox   // of the triangles, in that order
	levels    [][]triBox // leaves first, the root last
}

// triBox is a box whose sides were rounded outwards to float32.
type triBox struct{ low, high [3]float32 }

const leafTriangles = 4

// askedEvery is how many vertices or triangles a loop handles before it asks its
// context again: some milliseconds' work.
const askedEvery = 1 << 14

// ended returns the context's error where a loop's turn i is one to ask it in.
func ended(ctx context.Context, i int) error {
	if i%askedEvery != 0 {
		return nil
	}
	return ctx.Err()
}

// newBoxTree builds the tree over the triangles that usable accepts. ctx ends the
// work early with its error.
func newBoxTree(ctx context.Context, m *Mesh, usable func(i int) bool) (*boxTree, error) {
	tree := &boxTree{triangles: make([]int32, 0, len(m.Triangles))}
	lo, hi := m.Bounds()
	var offset, scale [3]float64
	for k := range 3 {
		size := math.Max(math.Abs(lo[k]), math.Abs(hi[k]))
		offset[k] = lo[k] / size
		scale[k] = mortonCells / (hi[k]/size - offset[k]) / size
		offset[k] *= size
	}
	codes := make([]uint64, 0, len(m.Triangles))
	boxes := make([]triBox, len(m.Triangles))
	for i, t := range m.Triangles {
		if err := ended(ctx, i); err != nil {
			return nil, err
		}
		if !usable(i) {
			continue
		}
		a, b, c := &m.Vertices[t[0]], &m.Vertices[t[1]], &m.Vertices[t[2]]
		var code uint64
		for k := range 3 {
			low, high := min(a[k], b[k], c[k]), max(a[k], b[k], c[k])
			boxes[i].low[k], boxes[i].high[k] = roundDown(low), roundUp(high)
			code |= spreadBits(mortonCell((low/2+high/2-offset[k])*scale[k])) << k
		}
		codes = append(codes, code)
		tree.triangles = append(tree.triangles, int32(i))
	}
	sortByCode(codes, tree.triangles)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	tree.boxes = make([]triBox, len(tree.triangles))
	for i, t := range tree.triangles {
		tree.boxes[i] = boxes[t]
	}
	tree.levels = append(tree.levels, joinBoxes(tree.boxes, leafTriangles))
	for len(tree.levels[len(tree.levels)-1]) > 1 {
		tree.levels = append(tree.levels, joinBoxes(tree.levels[len(tree.levels)-1], 2))
	}
	return tree, nil
}

// joinBoxes returns the boxes of each group of boxes that follow one another.
func joinBoxes(boxes []triBox, group int) []triBox {
	out := make([]triBox, (len(boxes)+group-1)/group)
	for i := range out {
		joined := boxes[i*group]
		for _, box := range boxes[i*group+1 : min((i+1)*group, len(boxes))] {
			for k := range 3 {
				joined.low[k] = min(joined.low[k], box.low[k])
				joined.high[k] = max(joined.high[k], box.high[k])
			}
		}
		out[i] = joined
	}
	return out
}

func (b *triBox) overlaps(o *triBox) bool {
	return b.low[0] <= o.high[0] && o.low[0] <= b.high[0] &&
		b.low[1] <= o.high[1] && o.low[1] <= b.high[1] &&
		b.low[2] <= o.high[2] && o.low[2] <= b.high[2]
}

// walk calls visit for every leaf, from leaf first on, that enter leads to.
func (t *boxTree) walk(first int, enter func(*triBox) bool, visit func(leaf int)) {
	if len(t.triangles) == 0 {
		return
	}
	top := len(t.levels) - 1
	t.descend(top, 0, first, enter, visit)
}

func (t *boxTree) descend(level, index, first int, enter func(*triBox) bool, visit func(leaf int)) {
	if (index+1)<<level <= first || !enter(&t.levels[level][index]) {
		return
	}
	if level == 0 {
		visit(index)
		return
	}
	for child := 2 * index; child < min(2*index+2, len(t.levels[level-1])); child++ {
		t.descend(level-1, child, first, enter, visit)
	}
}

// leaf returns the range of the leaf's triangles in the order of the leaves.
func (t *boxTree) leaf(i int) (from, to int) {
	return i * leafTriangles, min((i+1)*leafTriangles, len(t.triangles))
}

func roundDown(x float64) float32 {
	y := float32(x)
	if float64(y) > x {
		y = math.Nextafter32(y, float32(math.Inf(-1)))
	}
	return y
}

func roundUp(x float64) float32 {
	y := float32(x)
	if float64(y) < x {
		y = math.Nextafter32(y, float32(math.Inf(1)))
	}
	return y
}

const (
	mortonBits  = 16
	mortonCells = 1 << mortonBits
)

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

// usableTriangle reports whether the triangle names three different vertices
// with finite coordinates that do not lie on one line.
func (m *Mesh) usableTriangle(i int) bool {
	t := m.Triangles[i]
	for _, v := range t {
		if v < 0 || int(v) >= len(m.Vertices) || !IsFinite(m.Vertices[v]) {
			return false
		}
	}
	if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
		return false
	}
	return projectionAxis(&m.Vertices[t[0]], &m.Vertices[t[1]], &m.Vertices[t[2]]) >= 0
}
