package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// corner is a vertex on the border of a cell's triangle.
type corner struct {
	vertex int32
	sides  uint8 // of the triangle that it lies on, a bit each: three on one side are no triangle
	crease bool
}

// filling fills cells with triangles.
type filling struct {
	*meshing
	loop      []corner // counter-clockwise, seen from above
	rest      []corner
	cost      []float64
	cut       []int32
	triangles [][3]int32
}

// cell fills a cell's two triangles.
func (f *filling) cell(c int) {
	one, two := c+1, c+f.columns
	if f.rises[c] {
		f.begin(c, sideRight, true)
		f.turn(one, sideUp, true)
		f.end(c, sideAcross, false)
		f.begin(c, sideAcross, true)
		f.turn(two, sideRight, false)
		f.end(c, sideUp, false)
		return
	}
	f.begin(c, sideRight, true)
	f.turn(c, sideAcross, true)
	f.end(c, sideUp, false)
	f.begin(one, sideUp, true)
	f.turn(two, sideRight, false)
	f.end(c, sideAcross, false)
}

// begin starts a triangle with a side, turn adds the next, end the last.
func (f *filling) begin(c, side int, forward bool) {
	f.loop = f.loop[:0]
	f.side(c, side, forward)
	f.mark(0, 1, 4)
}

func (f *filling) turn(c, side int, forward bool) {
	start := len(f.loop)
	f.side(c, side, forward)
	f.mark(start, 2, 1)
}

func (f *filling) end(c, side int, forward bool) {
	start := len(f.loop)
	f.side(c, side, forward)
	f.mark(start, 4, 2)
	f.divide()
}

// mark says on which sides the loop's vertices from start on lie: all on one,
// the first on the side before as well.
func (f *filling) mark(start int, on, before uint8) {
	for n := start; n < len(f.loop); n++ {
		f.loop[n].sides = on
	}
	f.loop[start].sides |= before
}

// side adds a side's first end and its points to the loop.
func (f *filling) side(c, side int, forward bool) {
	from, to, _ := f.ends(c, side)
	n := 3*c + side
	first, last := f.first[n], f.first[n+1]
	if !forward {
		from = to
	}
	f.loop = append(f.loop, corner{vertex: int32(from), crease: f.creased[from]})
	for k := range last - first {
		v := first + k
		if !forward {
			v = last - 1 - k
		}
		f.loop = append(f.loop, corner{vertex: v, crease: f.creased[v]})
	}
}

// divide cuts the loop along the crease that passes through it, from one side to
// another, and fills the parts. Where more meet, as at the end of a wall, the
// triangles that lie best are left to find their way.
func (f *filling) divide() {
	first, last, creases := -1, -1, 0
	for n, c := range f.loop {
		if c.crease {
			creases++
			if last = n; first < 0 {
				first = n
			}
		}
	}
	if creases != 2 || f.loop[first].sides&f.loop[last].sides != 0 {
		f.triangulate(f.loop)
		return
	}
	f.triangulate(f.loop[first : last+1])
	f.rest = append(append(f.rest[:0], f.loop[last:]...), f.loop[:first+1]...)
	f.triangulate(f.rest)
}

// triangulate fills a convex loop with the triangles that lie best on the outside
// (Gilbert 1979, Klincsek 1980: minimum-weight triangulation of a polygon).
func (f *filling) triangulate(loop []corner) {
	n := len(loop)
	if n < 3 {
		return
	}
	f.cost, f.cut = grown(f.cost, n*n), grown(f.cut, n*n)
	for width := 1; width < n; width++ {
		for a := 0; a+width < n; a++ {
			b := a + width
			if width == 1 {
				f.cost[a*n+b] = 0
				continue
			}
			best, at := math.Inf(1), int32(-1)
			for k := a + 1; k < b; k++ {
				if loop[a].sides&loop[k].sides&loop[b].sides != 0 {
					continue
				}
				cost := f.cost[a*n+k] + f.cost[k*n+b] + f.misfit(loop[a], loop[k], loop[b])
				if cost < best {
					best, at = cost, int32(k)
				}
			}
			f.cut[a*n+b] = at
			f.cost[a*n+b] = best
		}
	}
	f.take(loop, 0, n-1)
}

// misfit is how badly a triangle lies on the outside: the turn between its normal
// and those of the outside at its corners, and a little for its longest side, mm.
func (f *filling) misfit(a, b, c corner) float64 {
	p, q, r := f.vertices[a.vertex], f.vertices[b.vertex], f.vertices[c.vertex]
	normal := q.Sub(p).Cross(r.Sub(p))
	area := normal.Len()
	turn, known := 0.0, 0.0
	for _, v := range [3]int32{a.vertex, b.vertex, c.vertex} {
		if m := f.normals[v]; m != (mgl64.Vec3{}) {
			turn += area - normal.Dot(m)
			known++
		}
	}
	const little = 0.01
	return turn/max(known, 1) + little*(q.Sub(p).Len()+r.Sub(q).Len()+p.Sub(r).Len())
}

// take adds the triangles of the loop from a to b as they were chosen.
func (f *filling) take(loop []corner, a, b int) {
	if b-a < 2 {
		return
	}
	k := int(f.cut[a*len(loop)+b])
	f.triangles = append(f.triangles, [3]int32{loop[a].vertex, loop[k].vertex, loop[b].vertex})
	f.take(loop, a, k)
	f.take(loop, k, b)
}

// grown returns the slice with room for n.
func grown[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
