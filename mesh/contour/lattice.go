package contour

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"

	"earframe/field"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// blockSide is the number of nodes along a block's side; a block holds
// blockNodes nodes, z fastest.
const (
	blockSide  = 8
	blockNodes = blockSide * blockSide * blockSide
)

// Blocks that the surface does not pass through are not stored; their slot says
// on which side they lie.
const (
	slotOutside = -1
	slotInside  = -2
)

// node is a place in the lattice; the cell of the same name spans from it to
// the next node along each axis, and its three edges go out along the axes.
type node [3]int32

// lattice is the sampled field.
type lattice struct {
	field      field.Field
	step       float64
	margin     float64 // that vertices keep from cell borders, mm
	blocks     [3]int
	coordinate [3][]float64 // of the nodes along each axis
	slots      []int32      // by block, index into active or one of the slot constants
	active     []*block     // in order of their place, x slowest
}

// block is one active block with all that the phases find in it.
type block struct {
	first     node                 // its lowest node
	value     *[blockNodes]float64 // nil once the crossings are found
	inside    [blockNodes]bool
	undefined int // a node where the field is not a number, or -1

	crossings []crossing
	crossing  [3][blockNodes]int16 // by axis and node: index into crossings, or -1

	vertices    []mgl64.Vec3
	vertex      [blockNodes]int16 // by cell: index into vertices, or -1
	firstVertex int32             // number of vertices[0] in the mesh

	requests  []request
	requested [blockNodes]lending // by cell: the neighbour it would have
	lent      [blockNodes]lending // by cell: the neighbour it got

	faceVertices    []mgl64.Vec3
	faceVertex      *[3][blockNodes]int16 // by axis and cell: 1 + index into faceVertices, or 0; nil for none
	firstFaceVertex int32

	edgeVertices []mgl64.Vec3
	triangles    [][3]int32 // edge vertices as -1, -2, …
}

// addFaceVertex gives a vertex to the face between a cell of the block and the one
// before it along the axis.
func (b *block) addFaceVertex(local, axis int, v mgl64.Vec3) {
	if b.faceVertex == nil {
		b.faceVertex = new([3][blockNodes]int16)
	}
	b.faceVertices = append(b.faceVertices, v)
	b.faceVertex[axis][local] = int16(len(b.faceVertices))
}

// faceVertexOf returns the index of that face's vertex, or -1.
func (b *block) faceVertexOf(local, axis int) int32 {
	if b.faceVertex == nil {
		return -1
	}
	return int32(b.faceVertex[axis][local]) - 1
}

// eachBlock does the work of a stage at every block, on all cores.
func (g *lattice) eachBlock(ctx context.Context, stage string, do func(*block)) error {
	return workers.Each(ctx, stage, len(g.active), func(i int) error {
		do(g.active[i])
		return nil
	})
}

// sample finds the blocks that the surface may pass through and samples them,
// column of blocks by column.
func (g *lattice) sample(ctx context.Context) error {
	columns := g.blocks[0] * g.blocks[1]
	g.slots = make([]int32, columns*g.blocks[2])
	found := make([][]*block, columns)
	var held atomic.Int64 // blocks so far
	err := workers.Each(ctx, "samples", columns, func(i int) error {
		found[i] = g.sift(i, 0, g.blocks[2], nil)
		if held.Add(int64(len(found[i]))) <= maxActive {
			g.fill(found[i])
		}
		return nil
	})
	if err != nil {
		return err
	}
	if held.Load() > maxActive {
		return fmt.Errorf("contour: a step of %g mm is too fine for so large a surface; choose a larger step", g.step)
	}
	for _, blocks := range found {
		for _, b := range blocks {
			g.slots[g.slotOf(b.first)] = int32(len(g.active))
			g.active = append(g.active, b)
		}
	}
	for _, b := range g.active {
		if b.undefined >= 0 {
			return fmt.Errorf("contour: the field is not a number at %v", g.position(b.node(b.undefined)))
		}
	}
	return nil
}

// maxActive bounds the blocks that are held: at about 10 kB each, 3 GB.
const maxActive = 300_000

// sift appends the blocks from low to high of a column of blocks that the
// surface may pass through, and marks the side of the others.
func (g *lattice) sift(column, low, high int, found []*block) []*block {
	first := node{
		int32(column / g.blocks[1] * blockSide), int32(column % g.blocks[1] * blockSide),
		int32(low * blockSide),
	}
	least, most := g.field.Range(g.reach(first, high-low))
	switch {
	case least > 0:
		g.mark(column, low, high, slotOutside)
	case most < 0:
		g.mark(column, low, high, slotInside)
	case high-low == 1:
		return append(found, newBlock(first))
	default:
		middle := (low + high) / 2
		found = g.sift(column, low, middle, found)
		found = g.sift(column, middle, high, found)
	}
	return found
}

// reach returns the box of a pile of blocks and all cells that touch their
// nodes: one node farther than the outermost.
func (g *lattice) reach(first node, height int) field.Box {
	side := [3]int{blockSide, blockSide, height * blockSide}
	var box field.Box
	for k := range 3 {
		nodes, low := g.coordinate[k], int(first[k])
		high := low + side[k]
		box.Min[k], box.Max[k] = nodes[max(low-1, 0)], nodes[min(high, len(nodes)-1)]
	}
	return box
}

func (g *lattice) mark(column, low, high int, slot int32) {
	for z := low; z < high; z++ {
		g.slots[column*g.blocks[2]+z] = slot
	}
}

func newBlock(first node) *block {
	b := &block{first: first, value: new([blockNodes]float64), undefined: -1}
	for k := range b.crossing {
		for i := range b.crossing[k] {
			b.crossing[k][i] = -1
		}
	}
	for i := range b.vertex {
		b.vertex[i] = -1
	}
	return b
}

// fill samples the blocks of one column. Samples above one another follow one
// another, across blocks, so that planar distance is computed once.
func (g *lattice) fill(blocks []*block) {
	if len(blocks) == 0 {
		return
	}
	w := batches.Get().(*batch)
	defer batches.Put(w)
	w.resize(len(blocks) * blockNodes)
	points := w.asked[:0]
	first := blocks[0].first
	for i := range int32(blockSide) {
		for j := range int32(blockSide) {
			x, y := g.coordinate[0][first[0]+i], g.coordinate[1][first[1]+j]
			for _, b := range blocks {
				for k := range int32(blockSide) {
					points = append(points, mgl64.Vec3{x, y, g.coordinate[2][b.first[2]+k]})
				}
			}
		}
	}
	g.field.Distances(points, w.values)
	at := 0
	for column := range blockSide * blockSide {
		for _, b := range blocks {
			copy(b.value[column*blockSide:(column+1)*blockSide], w.values[at:])
			at += blockSide
		}
	}
	for _, b := range blocks {
		for i, d := range b.value {
			b.inside[i] = d < 0
			if math.IsNaN(d) {
				b.undefined = i
			}
		}
	}
}

func (g *lattice) slotOf(n node) int {
	return (int(n[0])/blockSide*g.blocks[1]+int(n[1])/blockSide)*g.blocks[2] + int(n[2])/blockSide
}

// within reports whether the node is one of the lattice.
func (g *lattice) within(n node) bool {
	for k := range 3 {
		if n[k] < 0 || int(n[k]) >= len(g.coordinate[k]) {
			return false
		}
	}
	return true
}

// local returns the node's index within its block.
func (n node) local() int16 {
	return int16((n[0]%blockSide*blockSide+n[1]%blockSide)*blockSide + n[2]%blockSide)
}

// node returns the block's node of the local index.
func (b *block) node(local int) node {
	return node{
		b.first[0] + int32(local/(blockSide*blockSide)),
		b.first[1] + int32(local/blockSide%blockSide),
		b.first[2] + int32(local%blockSide),
	}
}

// blockOf returns the active block that holds the node, or nil.
func (g *lattice) blockOf(n node) *block {
	if slot := g.slots[g.slotOf(n)]; slot >= 0 {
		return g.active[slot]
	}
	return nil
}

// insideAt reports whether the node counts as inside.
func (g *lattice) insideAt(n node) bool {
	if !g.within(n) {
		return false
	}
	slot := g.slots[g.slotOf(n)]
	if slot < 0 {
		return slot == slotInside
	}
	return g.active[slot].inside[n.local()]
}

func (g *lattice) position(n node) mgl64.Vec3 {
	return mgl64.Vec3{g.coordinate[0][n[0]], g.coordinate[1][n[1]], g.coordinate[2][n[2]]}
}

func (n node) step(axis int, by int32) node {
	n[axis] += by
	return n
}
