package mesh

import (
	"math"

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

// wish is a vertex that would lie in an empty neighbour: the tip of an edge or
// corner that no lattice edge sees.
type wish struct {
	local int16
	want  lending
	at    mgl64.Vec3
}

// askFor notes that the cell's vertex belongs at free, if that is strictly
// inside a neighbour that the surface does not cross.
func (g *lattice) askFor(b *block, local int, free mgl64.Vec3) {
	cell := b.node(local)
	for k := range free {
		free[k] = Representable(free[k])
	}
	for _, want := range lendings {
		neighbour := want.neighbour(cell)
		if !g.within(neighbour) || !g.within(neighbour.corner(7)) {
			continue
		}
		if low, high := g.inside(neighbour); !within(free, low, high) {
			continue
		}
		if mask := g.mask(neighbour); mask == 0 || mask == 255 {
			b.wishes = append(b.wishes, wish{int16(local), want, free})
		}
		return
	}
}

// falseWish is how far from the surface, in steps, the point where planes meet
// may lie: farther, and it is no edge but planes of different places.
const falseWish = 0.05

// dropFalseWishes keeps the wishes whose point lies on the surface, and asks
// for their neighbours.
func (g *lattice) dropFalseWishes(b *block) {
	if len(b.wishes) == 0 {
		return
	}
	points, distances := make([]mgl64.Vec3, len(b.wishes)), make([]float64, len(b.wishes))
	for i, w := range b.wishes {
		points[i] = w.at
	}
	g.field.Distances(points, distances)
	kept := b.wishes[:0]
	for i, w := range b.wishes {
		if math.Abs(distances[i]) <= falseWish*g.step {
			kept = append(kept, w)
			b.asked[w.local] = w.want
		}
	}
	b.wishes = kept
}

// grantWishes lends each cell the neighbour it asked for, unless a cell before
// it in the lattice's order asked for the same.
func (g *lattice) grantWishes(b *block) {
	for _, w := range b.wishes {
		cell := b.node(int(w.local))
		if g.firstToAsk(cell, w.want.neighbour(cell)) {
			b.lent[w.local] = w.want
			b.vertices[b.vertex[w.local]] = w.at
		}
	}
}

// firstToAsk reports whether no cell before this one asked for the neighbour.
func (g *lattice) firstToAsk(cell, neighbour node) bool {
	for _, from := range lendings {
		other := from.neighbour(neighbour)
		if other == cell || !other.before(cell) || !g.within(other) {
			continue
		}
		owner := g.blockOf(other)
		if owner == nil {
			continue
		}
		if want := owner.asked[other.local()]; want != lentNone && want.neighbour(other) == neighbour {
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
