package mesh

import (
	"context"
	"slices"
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
	err := parallel(ctx, len(g.active), func(i int) {
		var signs nodeSigns
		b := g.active[i]
		g.signs(b, &signs)
		for local := range blockNodes {
			if splitTable[signs.mask(local)] != 0 {
				split[i] = append(split[i], b.node(local))
			}
		}
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

// nodeSigns holds the signs of a block's nodes and of those one step beyond.
type nodeSigns [signSide * signSide * signSide]bool

// signs gathers the signs of the block's cells.
func (g *lattice) signs(b *block, signs *nodeSigns) {
	at := 0
	for i := range int32(signSide) {
		for j := range int32(signSide) {
			n := node{b.first[0] + i, b.first[1] + j, b.first[2]}
			if i < blockSide && j < blockSide {
				local := n.local()
				copy(signs[at:at+blockSide], b.inside[local:local+blockSide])
			} else {
				for k := range int32(blockSide) {
					signs[at+int(k)] = g.insideAt(n.step(2, k))
				}
			}
			signs[at+blockSide] = g.insideAt(n.step(2, blockSide))
			at += signSide
		}
	}
}

// signStep is how far the next node along each axis is.
var signStep = [3]int{signSide * signSide, signSide, 1}

// place returns the index of the block's node.
func (s *nodeSigns) place(local int) int {
	i, j, k := local/(blockSide*blockSide), local/blockSide%blockSide, local%blockSide
	return (i*signSide+j)*signSide + k
}

// mask returns the signs of the block's cell.
func (s *nodeSigns) mask(local int) uint8 {
	at := s.place(local)
	var mask uint8
	for c := range 8 {
		if s[at+(c>>2&1)*signStep[0]+(c>>1&1)*signStep[1]+(c&1)] {
			mask |= 1 << c
		}
	}
	return mask
}
