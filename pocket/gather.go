package pocket

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Gathering. Skin that suction draws down a wall falls by millimetres within a
// fraction of a step, and a step is too wide for it: the drape would stand off
// the wall. So nodes are drawn together where the drape of the lattice before
// is steep, as if the lattice's edges were springs, the stiffer the longer the
// drape is over them; after that every edge holds about as much skin.
//
//	•────•────•────•────•        •──────•──•─•───•─────•
//	plain, the skin falls        gathered
//	between the inner two
const (
	// gatherSweeps is how often every node moves towards its balance, which is
	// also how many cells away from a wall any node moves.
	gatherSweeps = 6
	// gatherMost bounds the ratio of the springs, and so of neighbouring edges.
	gatherMost = 6
	// gatherFrom is the stretch of an edge from which it counts as steep.
	gatherFrom = 1.2
)

// gather draws nodes together where the drape of a coarser lattice is steep.
func (l *lattice) gather(frame Frame, skin expected) {
	nodes := l.columns * l.rows
	springs := make([][2]float64, nodes) // to the right and upward
	seen := make([]float64, nodes)
	l.crew.rows(l.rows, l.columns, func(from, to int) {
		points := make([]mgl64.Vec2, l.columns)
		for j := from; j < to; j++ {
			row := seen[j*l.columns : (j+1)*l.columns]
			for i := range points {
				points[i] = l.place(l.index(i, j))
			}
			frame.Heights(points, row)
			for i, p := range points {
				if l.free[l.index(i, j)] {
					row[i] = max(row[i], skin.at(p))
				} else {
					row[i] = 0
				}
			}
		}
	})
	steep := make([]bool, l.rows)
	l.crew.rows(l.rows, l.columns, func(from, to int) {
		for k := from * l.columns; k < min(to*l.columns, nodes-l.columns-1); k++ {
			for n, other := range [2]int{k + 1, k + l.columns} {
				stretch := math.Hypot(1, (seen[other]-seen[k])/l.step)
				springs[k][n] = 1
				if stretch > gatherFrom {
					springs[k][n] = min(stretch/gatherFrom, gatherMost)
					steep[k/l.columns] = true
				}
			}
		}
	})
	for _, any := range steep {
		if any {
			l.base = l.balance(springs)
			for l.undoTangles() {
			}
			return
		}
	}
}

// balance returns the places of the nodes after the springs have drawn at them,
// in four colours as in sweep.
func (l *lattice) balance(springs [][2]float64) []mgl64.Vec2 {
	places := make([]mgl64.Vec2, len(springs))
	movable := make([]bool, len(springs))
	for k := range places {
		places[k] = l.place(k)
		movable[k] = l.free[k] && l.surrounded(k)
	}
	for range gatherSweeps {
		for colour := range 4 {
			l.crew.rows((l.rows+1)/2, l.columns/2, func(from, to int) {
				for j := 2*from + colour/2; j < min(2*to, l.rows); j += 2 {
					start := l.index(0, j)
					for k := start + colour%2; k < start+l.columns; k += 2 {
						if !movable[k] {
							continue
						}
						left, right := springs[k-1][0], springs[k][0]
						below, above := springs[k-l.columns][1], springs[k][1]
						if left == 1 && right == 1 && below == 1 && above == 1 && l.atRest(places, k) {
							continue
						}
						sum := places[k-1].Mul(left).Add(places[k+1].Mul(right)).
							Add(places[k-l.columns].Mul(below)).Add(places[k+l.columns].Mul(above))
						places[k] = sum.Mul(1 / (left + right + below + above))
					}
				}
			})
		}
	}
	return places
}

// atRest reports whether node k and its neighbours lie at their plain places.
func (l *lattice) atRest(places []mgl64.Vec2, k int) bool {
	for _, n := range [5]int{k, k - 1, k + 1, k - l.columns, k + l.columns} {
		if places[n] != l.place(n) {
			return false
		}
	}
	return true
}

// undoTangles puts back the corners of cells that gathering made too thin, and
// reports whether there were any.
func (l *lattice) undoTangles() bool {
	return l.eachSliver(l.base, rimSliver, func(n int) { l.base[n] = l.place(n) })
}
