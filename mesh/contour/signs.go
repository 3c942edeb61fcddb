package contour

import (
	"context"
	"math/bits"
	"slices"

	"earframe/internal/workers"
)

// Corner c of a cell is the node at (c>>2&1, c>>1&1, c&1) from the cell's own;
// a cell's signs are a mask with bit c set where corner c is inside.

// cornerOf returns the node at corner c of the cell.
func (n node) corner(c int) node {
	return node{n[0] + int32(c>>2&1), n[1] + int32(c>>1&1), n[2] + int32(c&1)}
}

// faceCorners lists the corners of the six faces in order around each.
var faceCorners = [6][4]int{
	{0, 1, 3, 2}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 3, 7, 5},
}

// splitCorners returns, as a mask, the corners outside the solid whose turning
// inside would join what the cell's signs leave open: those of a face with
// diagonal signs, or all where just two opposite corners of the cell are inside
// or outside. It is 0 for a cell with one sheet at the most.
func splitCorners(mask uint8) uint8 {
	var corners uint8
	for _, f := range faceCorners {
		var in [4]bool
		for i, c := range f {
			in[i] = mask>>c&1 == 1
		}
		if in[0] == in[2] && in[1] == in[3] && in[0] != in[1] {
			for i, c := range f {
				if !in[i] {
					corners |= 1 << c
				}
			}
		}
	}
	if corners == 0 {
		for c := range 4 {
			pair := uint8(1<<c | 1<<(7-c))
			if mask == pair || mask == ^pair {
				return ^mask
			}
		}
	}
	return corners
}

// splitTable holds splitCorners of every mask.
var splitTable = func() (table [256]uint8) {
	for mask := range table {
		table[mask] = splitCorners(uint8(mask))
	}
	return table
}()

// repairSigns counts single nodes just outside as inside until every cell holds
// one sheet at the most. It only ever adds, so it ends; it goes through cells in
// a fixed order, so it repeats. Few cells need it.
func (g *lattice) repairSigns(ctx context.Context) error {
	split := make([][]node, len(g.active))
	err := workers.Each(ctx, "signs", len(g.active), func(i int) error {
		var signs nodeSigns
		b := g.active[i]
		g.signs(b, &signs)
		signs.eachMixed(func(local int, mask uint8) {
			if splitTable[mask] != 0 {
				split[i] = append(split[i], b.node(local))
			}
		})
		return nil
	})
	if err != nil {
		return err
	}
	queue := slices.Concat(split...)
	for len(queue) > 0 {
		cell := queue[0]
		queue = queue[1:]
		corners := splitTable[g.mask(cell)]
		if corners == 0 {
			continue
		}
		n := g.nearestCorner(cell, corners)
		g.force(n)
		for c := range 8 {
			queue = append(queue, node{n[0] - int32(c>>2&1), n[1] - int32(c>>1&1), n[2] - int32(c&1)})
		}
	}
	return nil
}

// mask returns the signs of the cell.
func (g *lattice) mask(cell node) uint8 {
	var mask uint8
	for c := range 8 {
		if g.insideAt(cell.corner(c)) {
			mask |= 1 << c
		}
	}
	return mask
}

// nearestCorner returns, of the cell's corners in the set, the one nearest to
// the solid.
func (g *lattice) nearestCorner(cell node, corners uint8) node {
	var nearest node
	least := 0.0
	for c := range 8 {
		if corners>>c&1 == 0 {
			continue
		}
		n := cell.corner(c)
		d := g.ensureActive(n).value[n.local()]
		if nearest == (node{}) || d < least {
			nearest, least = n, d
		}
	}
	return nearest
}

// force counts the node as inside and makes sure that all blocks its cells and
// edges lie in are there.
func (g *lattice) force(n node) {
	b := g.ensureActive(n)
	b.inside[n.local()] = true
	for i := int32(-1); i <= 1; i++ {
		for j := int32(-1); j <= 1; j++ {
			for k := int32(-1); k <= 1; k++ {
				g.ensureActive(node{n[0] + i, n[1] + j, n[2] + k})
			}
		}
	}
}

// ensureActive returns the block that holds the node, sampling it if it had
// been passed over.
func (g *lattice) ensureActive(n node) *block {
	slot := g.slotOf(n)
	if g.slots[slot] >= 0 {
		return g.active[g.slots[slot]]
	}
	b := newBlock(node{n[0] &^ (blockSide - 1), n[1] &^ (blockSide - 1), n[2] &^ (blockSide - 1)})
	g.fill([]*block{b})
	g.slots[slot] = int32(len(g.active))
	g.active = append(g.active, b)
	return b
}

// signSide is a block's side and the one node beyond that its cells need.
const signSide = blockSide + 1

// nodeSigns holds the signs of a block's nodes and of those one step beyond: a
// row along z for each (x, y), with bit k set where node k is inside.
type nodeSigns [signSide][signSide]uint16

// signs gathers the signs of the block's cells.
func (g *lattice) signs(b *block, signs *nodeSigns) {
	for i := range int32(signSide) {
		for j := range int32(signSide) {
			n := node{b.first[0] + i, b.first[1] + j, b.first[2]}
			row := uint16(0)
			if i < blockSide && j < blockSide {
				row = rowOf(b, n.local())
			} else {
				row = g.row(n)
			}
			if g.insideAt(n.step(2, blockSide)) {
				row |= 1 << blockSide
			}
			signs[i][j] = row
		}
	}
}

// row returns the signs of the block-long row of nodes along z from n.
func (g *lattice) row(n node) uint16 {
	if !g.within(n) {
		return 0
	}
	switch slot := g.slots[g.slotOf(n)]; slot {
	case slotOutside:
		return 0
	case slotInside:
		return 1<<blockSide - 1
	default:
		return rowOf(g.active[slot], n.local())
	}
}

// rowOf returns the signs of the row of nodes along z from the block's local one.
func rowOf(b *block, local int16) (row uint16) {
	for k, inside := range b.inside[local : local+blockSide] {
		if inside {
			row |= 1 << k
		}
	}
	return row
}

// crossedAlong returns, for the row of the block's nodes at (i, j), a bit for each
// whose edge along the axis has ends of different signs.
func (s *nodeSigns) crossedAlong(axis, i, j int) uint16 {
	row := s[i][j]
	switch axis {
	case 0:
		row ^= s[i+1][j]
	case 1:
		row ^= s[i][j+1]
	default:
		row ^= row >> 1
	}
	return row & (1<<blockSide - 1)
}

// mixed returns, for the row of the block's cells at (i, j), a bit for each whose
// corners are not all of one sign.
func (s *nodeSigns) mixed(i, j int) uint16 {
	all := s[i][j] & s[i][j+1] & s[i+1][j] & s[i+1][j+1]
	some := s[i][j] | s[i][j+1] | s[i+1][j] | s[i+1][j+1]
	return (some | some>>1) &^ (all & (all >> 1)) & (1<<blockSide - 1)
}

// mask returns the signs of the block's cell k of the row at (i, j).
func (s *nodeSigns) mask(i, j, k int) uint8 {
	return uint8(s[i][j]>>k&3 | s[i][j+1]>>k&3<<2 | s[i+1][j]>>k&3<<4 | s[i+1][j+1]>>k&3<<6)
}

// eachMixed calls do for the block's cells whose corners are not all of one sign,
// in order.
func (s *nodeSigns) eachMixed(do func(local int, mask uint8)) {
	for i := range blockSide {
		for j := range blockSide {
			for left := s.mixed(i, j); left != 0; left &= left - 1 {
				k := bits.TrailingZeros16(left)
				do((i*blockSide+j)*blockSide+k, s.mask(i, j, k))
			}
		}
	}
}
