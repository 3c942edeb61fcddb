package membrane

import (
	"context"
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// The lattice. Nodes lie at whole multiples of the step, so that the nodes of
// a coarse lattice are nodes of every finer one. A cell and its corners:
//
//	2 ─────── 3
//	│ ╲     ╱ │      energy = mean of the two ways to cut it into triangles:
//	│   ╲ ╱   │      (0 1 2)(1 3 2) and (0 1 3)(0 3 2)
//	│   ╱ ╲   │
//	│ ╱     ╲ │
//	0 ─────── 1
//
// A regular cell has four free corners at their places. Every other cell that
// holds some of the pocket is a list of pieces: triangles of it, cut at the
// pocket's edge, where the height is 0.
const (
	cellOutside = iota
	cellRegular
	cellPieces
)

// cellTriangles are the four triangles of a cell.
var cellTriangles = [4][3]int8{{0, 1, 2}, {1, 3, 2}, {0, 1, 3}, {0, 3, 2}}

// onEdge is the fraction of a step within which a node counts as lying on the
// pocket's edge: its height would be below a thousandth of its neighbours',
// and a shorter cut would only make the equations stiff.
const onEdge = 1e-3

// maxPlace bounds places, mm: further off a unit must be wrong.
const maxPlace = 1e6

// piece is a triangle of a cell. Its slope is Σ value(corner[k])·rate[k];
// a corner of −1 is a point on the pocket's edge, where the value is 0.
type piece struct {
	corner [3]int8
	rate   [3]mgl64.Vec2 // 1/mm
	area   float64       // mm², halved where both diagonals are averaged
}

type lattice struct {
	step          float64      // mm
	origin        mgl64.Vec2   // place of node (0, 0), mm
	columns, rows int          // of nodes
	distance      []float64    // to the pocket's edge, mm; exact near it only
	free          []bool       // the node is inside the pocket
	moves         []bool       // the node is free and its height is looked for: all free ones but in a part of a lattice
	lower         []float64    // frame or bed beneath the node, mm
	upper         []float64    // rolls above the node, mm; +Inf where there are none, nowhere below lower
	rolls         []layingRoll // as they lie over the frame
	plain         []float64    // frame height at the node's plain place, mm
	load          []float64    // share of the pocket's area, mm²
	rising        []bool       // the cell is cut from corner 0 to corner 3; nil if no nodes are drawn
	kind          []uint8      // of each cell, at the index of its corner 0
	first, last   []int32      // range of each cell's pieces
	pieces        []piece      //
	area          float64      // of the pocket, mm²
	whole         *lattice     // that this is a part of; nil for none
	moved         []mgl64.Vec2 // places of nodes drawn to rims and walls; nil if none are
}

func (l *lattice) index(i, j int) int { return j*l.columns + i }

// corners returns the node indices of the cell whose corner 0 is node k.
func (l *lattice) corners(k int) [4]int {
	return [4]int{k, k + 1, k + l.columns, k + l.columns + 1}
}

// place returns where node k lies on the lattice, mm.
func (l *lattice) place(k int) mgl64.Vec2 {
	return mgl64.Vec2{
		l.origin[0] + float64(k%l.columns)*l.step,
		l.origin[1] + float64(k/l.columns)*l.step,
	}
}

// span says where a family of nested lattices lies.
type span struct {
	lowX, lowY     int // first node, in steps of the coarsest lattice
	cellsX, cellsY int // cells of the coarsest lattice
	coarsest       float64
}

// spanOf covers the pocket with a coarsest lattice of step·2^levels.
func spanOf(pocket Region, step float64, levels int) (span, error) {
	lo, hi := pocket.Bounds()
	for axis, name := range []string{"x", "y"} {
		for _, v := range []float64{lo[axis], hi[axis]} {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > maxPlace {
				return span{}, &ValueError{"the pocket's bound in " + name, v, "a place in millimetres, at most 1e6 from 0"}
			}
		}
		if !(hi[axis] > lo[axis]) {
			return span{}, &EmptyError{"the pocket is empty in " + name + ": expected a closed outline with an area"}
		}
	}
	coarsest := step * float64(int(1)<<levels)
	s := span{coarsest: coarsest}
	s.lowX = int(math.Floor(lo[0] / coarsest))
	s.lowY = int(math.Floor(lo[1] / coarsest))
	s.cellsX = int(math.Floor(hi[0]/coarsest)) + 1 - s.lowX
	s.cellsY = int(math.Floor(hi[1]/coarsest)) + 1 - s.lowY
	if nodes := float64(s.cellsX) * float64(s.cellsY) * math.Pow(4, float64(levels)); nodes > maxNodes {
		return span{}, &EmptyError{fmt.Sprintf("a pocket of %.4g × %.4g mm at a step of %.3g mm needs %.3g nodes, at most "+
			"%d are allowed: take a coarser step, and check the pocket's unit", hi[0]-lo[0], hi[1]-lo[1], step, nodes, maxNodes)}
	}
	return s, nil
}

// newLattice samples the pocket and the frame at the span's coarsest step
// divided by 2^level, and draws its nodes to rims and walls as the skin is
// expected to lie on them.
func newLattice(ctx context.Context, s span, level int, c Case, skin expected) (*lattice, error) {
	parts := 1 << level
	l := &lattice{
		step:    s.coarsest / float64(parts),
		origin:  mgl64.Vec2{float64(s.lowX) * s.coarsest, float64(s.lowY) * s.coarsest},
		columns: s.cellsX*parts + 1,
		rows:    s.cellsY*parts + 1,
	}
	nodes := l.columns * l.rows
	l.distance = make([]float64, nodes)
	l.free = make([]bool, nodes)
	l.measureDistance(ctx, c.Pocket)
	l.moves = l.free
	return l, l.fill(ctx, c.Frame, c.Rolls, skin)
}

// over returns a lattice at the same places in the same pocket, its nodes drawn anew.
func (l *lattice) over(ctx context.Context, frame Frame, rolls []Roll, skin expected) (*lattice, error) {
	again := &lattice{
		step: l.step, origin: l.origin, columns: l.columns, rows: l.rows,
		distance: l.distance, free: l.free, moves: l.moves,
	}
	return again, again.fill(ctx, frame, rolls, skin)
}

// fill works out what depends on the frame and the rolls, and on how the skin is
// expected to lie between them.
func (l *lattice) fill(ctx context.Context, frame Frame, rolls []Roll, skin expected) error {
	nodes := l.columns * l.rows
	l.lower = make([]float64, nodes)
	l.plain = make([]float64, nodes)
	l.load = make([]float64, nodes)
	l.kind = make([]uint8, nodes)
	l.first = make([]int32, nodes)
	l.last = make([]int32, nodes)
	if err := l.sampleFrame(ctx, frame); err != nil {
		return err
	}
	l.drawOntoRims(ctx, frame, skin)
	l.chooseDiagonals(ctx, skin)
	l.cutCells()
	l.press(frame, rolls)
	return nil
}

// measureDistance fills distance and free. A block far from the edge is
// settled by one question, since distance changes no faster than place.
func (l *lattice) measureDistance(ctx context.Context, pocket Region) {
	const block = 8
	blockRows := (l.rows + block - 1) / block
	overRows(ctx, stageLattice, blockRows, l.columns*block, func(from, to int) {
		for row := from * block; row < min(to*block, l.rows); row += block {
			for column := 0; column < l.columns; column += block {
				l.measureBlock(pocket, column, row, min(column+block, l.columns), min(row+block, l.rows))
			}
		}
	})
}

func (l *lattice) measureBlock(pocket Region, i0, j0, i1, j1 int) {
	half := mgl64.Vec2{float64(i1 - 1 - i0), float64(j1 - 1 - j0)}.Mul(l.step / 2)
	centre := l.place(l.index(i0, j0)).Add(half)
	far := pocket.Distance(centre)
	settled := math.Abs(far) > half.Len()+2*l.step
	for j := j0; j < j1; j++ {
		for i := i0; i < i1; i++ {
			k := l.index(i, j)
			l.distance[k] = far
			if !settled {
				l.distance[k] = pocket.Distance(l.place(k))
			}
			border := i == 0 || j == 0 || i == l.columns-1 || j == l.rows-1
			l.free[k] = l.distance[k] < -onEdge*l.step && !border
		}
	}
}

// sampleFrame fills plain and lower, and finds heights that cannot be used.
func (l *lattice) sampleFrame(ctx context.Context, frame Frame) error {
	bad := make([]int, l.rows)
	overRows(ctx, stageLattice, l.rows, l.columns, func(from, to int) {
		points := make([]mgl64.Vec2, l.columns)
		for j := from; j < to; j++ {
			for i := range points {
				points[i] = l.place(l.index(i, j))
			}
			heights := l.plain[j*l.columns : (j+1)*l.columns]
			frame.Heights(points, heights)
			bad[j] = -1
			for i, height := range heights {
				if math.IsNaN(height) || math.IsInf(height, 1) {
					bad[j] = i
					break
				}
				l.lower[j*l.columns+i] = max(height, 0)
			}
		}
	})
	for j, i := range bad {
		if i >= 0 {
			k := l.index(i, j)
			return &HeightError{l.place(k), l.plain[k]}
		}
	}
	return nil
}

// at returns where node k has been drawn to, mm.
func (l *lattice) at(k int) mgl64.Vec2 {
	if l.moved != nil {
		return l.moved[k]
	}
	return l.place(k)
}

func (l *lattice) hasMoved(k int) bool {
	return l.moved != nil && l.moved[k] != l.place(k)
}
