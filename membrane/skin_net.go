package membrane

import (
	"context"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// raised is how high over the bed the deep surface counts, mm.
const raised = 1e-3

// net is the deep surface where it is raised from the bed: the triangles that the
// drape was solved on, their sides bent onto the frame (skin_bend.go).
type net struct {
	l         *lattice
	u         []float64
	vertices  []mgl64.Vec3
	triangles [][3]int32
	bent      []bool // a triangle of the cell has bent sides
}

// net returns the drape's deep surface.
func (d *Drape) net(ctx context.Context) *net {
	l := d.l
	n := &net{l: l, u: d.u, vertices: make([]mgl64.Vec3, len(d.u)), bent: make([]bool, len(d.u))}
	for k, u := range d.u {
		n.vertices[k] = l.at(k).Vec3(u)
	}
	rows := make([]netRow, l.rows)
	overRows(ctx, stageOutside, l.rows-1, l.columns, func(from, to int) {
		for j := from; j < to; j++ {
			row := netRow{net: n, bend: bend{frame: d.frame, radius: d.BridgingRadius()}}
			for i := range l.columns - 1 {
				row.cell(l.index(i, j))
			}
			rows[j] = row
		}
	})
	for _, row := range rows {
		n.triangles = append(n.triangles, row.plain...)
		for i := range len(row.filled) / 3 {
			v := int32(len(n.vertices))
			n.vertices = append(n.vertices, row.filled[3*i:3*i+3]...)
			n.triangles = append(n.triangles, [3]int32{v, v + 1, v + 2})
		}
	}
	return n
}

// netRow makes the triangles of one row of cells.
type netRow struct {
	*net
	bend
	plain  [][3]int32
	filled []mgl64.Vec3 // three for each triangle that fills bent sides
	fill   filler
}

func (r *netRow) cell(k int) {
	nodes := r.l.corners(k)
	low, high, touched := r.u[k], r.u[k], false
	for _, n := range nodes {
		low, high = min(low, r.u[n]), max(high, r.u[n])
		touched = touched || r.u[n] <= r.l.lower[n]+overTheBed && r.l.lower[n] > overTheBed
	}
	if high < raised {
		return
	}
	triangles := r.l.trianglesOf(k)
	if !r.l.cellMoved(k) && r.u[nodes[0]]+r.u[nodes[3]] >= r.u[nodes[1]]+r.u[nodes[2]] {
		triangles = cellTriangles[2:] // a regular cell is cut along the higher diagonal
	}
	for _, t := range triangles {
		if touched && high-low > bentBy && r.bends(nodes[t[0]], nodes[t[1]], nodes[t[2]]) {
			r.bent[k] = true
			r.filled = r.fill.add(r.filled)
			continue
		}
		r.plain = append(r.plain, [3]int32{int32(nodes[t[0]]), int32(nodes[t[1]]), int32(nodes[t[2]])})
	}
}

// bends makes a triangle's sides ready to be filled, and reports whether any is bent.
func (r *netRow) bends(a, b, c int) bool {
	loop := r.fill.loop[:0]
	for _, side := range [3][2]int{{a, b}, {b, c}, {c, a}} {
		from, to := r.vertices[side[0]], r.vertices[side[1]]
		loop = append(append(loop, from), r.side(from, to)...)
	}
	r.fill.loop = loop
	return len(loop) > 3
}

// bounds returns the rectangle that holds the net, mm; of none, the lattice's middle.
func (n *net) bounds() (lo, hi mgl64.Vec2) {
	lo = n.l.place(0).Add(n.l.place(len(n.u) - 1)).Mul(0.5)
	if len(n.triangles) > 0 {
		lo = n.vertices[n.triangles[0][0]].Vec2()
	}
	hi = lo
	for _, t := range n.triangles {
		for _, v := range t {
			for k := range 2 {
				lo[k], hi[k] = min(lo[k], n.vertices[v][k]), max(hi[k], n.vertices[v][k])
			}
		}
	}
	return lo, hi
}

// floor returns a height at p that the deep surface is nowhere below, mm.
func (n *net) floor(p mgl64.Vec2) float64 {
	l := n.l
	x, y := (p[0]-l.origin[0])/l.step, (p[1]-l.origin[1])/l.step
	if !(x >= 0 && y >= 0 && x <= float64(l.columns-1) && y <= float64(l.rows-1)) {
		return 0
	}
	i, j := min(int(x), l.columns-2), min(int(y), l.rows-2)
	cell := l.index(i, j)
	if l.cellMoved(cell) {
		cell = l.cellAt(p, i, j)
	}
	if !n.bent[cell] {
		return l.heightAt(p, n.u)
	}
	nodes := l.corners(cell)
	return min(n.u[nodes[0]], n.u[nodes[1]], n.u[nodes[2]], n.u[nodes[3]])
}

// filler fills loops with the triangles of least area (Gilbert 1979, Klincsek 1980:
// minimum-weight triangulation of a polygon).
type filler struct {
	loop []mgl64.Vec3
	cost []float64
	cut  []int
}

// add adds the corners of the triangles that fill the loop, three each.
func (f *filler) add(to []mgl64.Vec3) []mgl64.Vec3 {
	n := len(f.loop)
	f.cost, f.cut = grown(f.cost, n*n), grown(f.cut, n*n)
	for from := range n - 1 {
		f.cost[from*n+from+1] = 0
	}
	for width := 2; width < n; width++ {
		for a := 0; a+width < n; a++ {
			b := a + width
			f.cost[a*n+b] = -1
			for k := a + 1; k < b; k++ {
				cost := f.cost[a*n+k] + f.cost[k*n+b] + areaOf(f.loop[a], f.loop[k], f.loop[b])
				if best := &f.cost[a*n+b]; *best < 0 || cost < *best {
					*best, f.cut[a*n+b] = cost, k
				}
			}
		}
	}
	return f.take(to, 0, n-1)
}

// take adds the triangles of the loop from a to b as they were chosen.
func (f *filler) take(to []mgl64.Vec3, a, b int) []mgl64.Vec3 {
	if b-a < 2 {
		return to
	}
	const least = 1e-9 // mm²: of none that would count
	k := f.cut[a*len(f.loop)+b]
	if areaOf(f.loop[a], f.loop[k], f.loop[b]) > least {
		to = append(to, f.loop[a], f.loop[k], f.loop[b])
	}
	return f.take(f.take(to, a, k), k, b)
}

// reversed returns the places in the other order.
func reversed(places []mgl64.Vec3) []mgl64.Vec3 {
	slices.Reverse(places)
	return places
}
