package membrane

import "github.com/go-gl/mathgl/mgl64"

// cutCells sorts the cells into kinds and fills pieces, load and area.
func (l *lattice) cutCells() {
	quarter := l.step * l.step / 4
	for j := 0; j+1 < l.rows; j++ {
		for i := 0; i+1 < l.columns; i++ {
			k := l.index(i, j)
			corners := l.corners(k)
			free, moved := 0, l.cellMoved(k)
			for _, n := range corners {
				if l.free[n] {
					free++
				}
			}
			switch {
			case free == 4 && !moved:
				l.kind[k] = cellRegular
				for _, n := range corners {
					l.load[n] += quarter
				}
				l.area += 4 * quarter
			case free > 0:
				l.kind[k] = cellPieces
				l.first[k] = int32(len(l.pieces))
				triangles, share := cellTriangles[:], 0.5
				if moved {
					triangles, share = l.trianglesOf(k), 1
				}
				for _, triangle := range triangles {
					l.cutTriangle(corners, triangle, share)
				}
				l.last[k] = int32(len(l.pieces))
			}
		}
	}
}

// cutTriangle adds a share of what the pocket leaves of a triangle of a cell.
func (l *lattice) cutTriangle(nodes [4]int, triangle [3]int8, share float64) {
	inside := 0
	for _, c := range triangle {
		if l.free[nodes[c]] {
			inside++
		}
	}
	if inside == 0 {
		return
	}
	// Turn the triangle so that what is inside comes first.
	a, b, c := triangle[0], triangle[1], triangle[2]
	for range 2 {
		first, third := l.free[nodes[a]], l.free[nodes[c]]
		if first && !third || inside == 3 || inside == 1 && first {
			break
		}
		a, b, c = b, c, a
	}
	pa, pb, pc := l.at(nodes[a]), l.at(nodes[b]), l.at(nodes[c])
	cut := func(from, to int8) mgl64.Vec2 {
		near, far := l.distance[nodes[from]], l.distance[nodes[to]]
		t := 1.0
		if far > 0 {
			t = near / (near - far)
		}
		p, q := l.at(nodes[from]), l.at(nodes[to])
		return p.Add(q.Sub(p).Mul(t))
	}
	switch inside {
	case 3:
		l.addPiece(nodes, [3]int8{a, b, c}, share, pa, pb, pc)
	case 2:
		ac, bc := cut(a, c), cut(b, c)
		l.addPiece(nodes, [3]int8{a, b, -1}, share, pa, pb, bc)
		l.addPiece(nodes, [3]int8{a, -1, -1}, share, pa, bc, ac)
	case 1:
		l.addPiece(nodes, [3]int8{a, -1, -1}, share, pa, cut(a, b), cut(a, c))
	}
}

// addPiece adds the triangle a b c, wound anticlockwise, with a share of it.
func (l *lattice) addPiece(nodes [4]int, corner [3]int8, share float64, a, b, c mgl64.Vec2) {
	ab, ac := b.Sub(a), c.Sub(a)
	twice := ab[0]*ac[1] - ab[1]*ac[0]
	if !(twice > 0) {
		return
	}
	against := func(from, to mgl64.Vec2) mgl64.Vec2 {
		edge := to.Sub(from)
		return mgl64.Vec2{-edge[1] / twice, edge[0] / twice}
	}
	p := piece{corner: corner, area: share * twice / 2}
	p.rate = [3]mgl64.Vec2{against(b, c), against(c, a), against(a, b)}
	for _, n := range corner {
		if n >= 0 {
			l.load[nodes[n]] += p.area / 3
		}
	}
	l.area += p.area
	l.pieces = append(l.pieces, p)
}
