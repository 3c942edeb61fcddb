package contour

import (
	"math"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// lending says which of its six neighbours a cell has been lent: 1 + 2·axis
// towards lower coordinates, one more towards higher.
type lending int8

const lentNone lending = 0

// along returns -1 or 1 if the neighbour lies along the axis, else 0.
func (l lending) along(axis int) int32 {
	switch int(l) - 1 - 2*axis {
	case 0:
		return -1
	case 1:
		return 1
	}
	return 0
}

// neighbour returns the cell that lies there.
func (l lending) neighbour(cell node) node {
	for k := range cell {
		cell[k] += l.along(k)
	}
	return cell
}

// lendings lists all six.
var lendings = [6]lending{1, 2, 3, 4, 5, 6}

// request is a vertex that would lie in an empty neighbour: the tip of an edge or
// corner that no lattice edge sees.
type request struct {
	local  int16
	wanted lending
	at     mgl64.Vec3
}

// requestNeighbour notes that the cell's vertex belongs at free, if that is strictly
// inside a neighbour that the surface does not cross.
func (g *lattice) requestNeighbour(b *block, local int, free mgl64.Vec3) {
	cell := b.node(local)
	for k := range free {
		free[k] = mesh.Representable(free[k])
	}
	for _, wanted := range lendings {
		neighbour := wanted.neighbour(cell)
		if !g.within(neighbour) || !g.within(neighbour.corner(7)) {
			continue
		}
		if low, high := g.inside(neighbour); !within(free, low, high) {
			continue
		}
		if mask := g.mask(neighbour); mask == 0 || mask == 255 {
			b.requests = append(b.requests, request{int16(local), wanted, free})
		}
		return
	}
}

// farthestOff is how far from the surface, in steps, the point where planes meet
// may lie: farther, and it is no edge but planes of different places.
const farthestOff = 0.05

// dropRequestsOffSurface keeps the requests whose point lies on the surface, and asks
// for their neighbours.
func (g *lattice) dropRequestsOffSurface(b *block) {
	if len(b.requests) == 0 {
		return
	}
	points, distances := make([]mgl64.Vec3, len(b.requests)), make([]float64, len(b.requests))
	for i, w := range b.requests {
		points[i] = w.at
	}
	g.field.Distances(points, distances)
	kept := b.requests[:0]
	for i, w := range b.requests {
		if math.Abs(distances[i]) <= farthestOff*g.step {
			kept = append(kept, w)
			b.requested[w.local] = w.wanted
		}
	}
	b.requests = kept
}

// lendCells lends each cell the neighbour it asked for, unless a cell before
// it in the lattice's order asked for the same.
func (g *lattice) lendCells(b *block) {
	for _, w := range b.requests {
		cell := b.node(int(w.local))
		if g.isFirstRequest(cell, w.wanted.neighbour(cell)) {
			b.lent[w.local] = w.wanted
			b.vertices[b.vertex[w.local]] = w.at
		}
	}
}

// isFirstRequest reports whether no cell before this one asked for the neighbour.
func (g *lattice) isFirstRequest(cell, neighbour node) bool {
	for _, from := range lendings {
		other := from.neighbour(neighbour)
		if other == cell || !other.before(cell) || !g.within(other) {
			continue
		}
		owner := g.blockOf(other)
		if owner == nil {
			continue
		}
		if wanted := owner.requested[other.local()]; wanted != lentNone && wanted.neighbour(other) == neighbour {
			return false
		}
	}
	return true
}

// before orders nodes by x, then y, then z.
func (n node) before(m node) bool {
	for k := range n {
		if n[k] != m[k] {
			return n[k] < m[k]
		}
	}
	return false
}

// lentTo returns which neighbour the cell was lent.
func (g *lattice) lentTo(cell node) lending {
	if b := g.blockOf(cell); b != nil {
		return b.lent[cell.local()]
	}
	return lentNone
}
