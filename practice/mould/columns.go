package mould

import (
	"cmp"
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// columns are the vertical lines of a square grid and where they lie within a
// closed mesh.
type columns struct {
	origin mgl64.Vec2 // middle of the first column, mm
	step   float64    // between columns, mm
	nx, ny int
	first  []int32 // index of each column's first span, and of the end of the last one's
	spans  []field.Span
}

// offGrid keeps the lines, in steps, off vertices and walls at round coordinates.
const offGrid = 0.381966

// columnsOf drops lines through the mesh at about the step, coarser if there
// were more than most of them. The border is how far the grid reaches beyond the
// mesh, mm.
func columnsOf(ctx context.Context, m *mesh.Mesh, step, border float64, most int) (*columns, error) {
	lo, hi := m.Bounds()
	width, depth := hi[0]-lo[0]+2*border, hi[1]-lo[1]+2*border
	step = math.Max(step, math.Sqrt(width*depth/float64(most)))
	c := &columns{
		step: step,
		nx:   int(width/step) + 2, ny: int(depth/step) + 2,
		origin: mgl64.Vec2{lo[0] - border - offGrid*step, lo[1] - border - offGrid*step},
	}
	hits, err := c.hits(ctx, m)
	if err != nil {
		return nil, err
	}
	c.fill(hits)
	return c, nil
}

// hit is where a column passes a triangle.
type hit struct {
	column int32
	up     bool // the triangle looks up: the line leaves the solid there
	z      float64
}

// trianglesABand is how many triangles lines are dropped through at a time.
const trianglesABand = 1 << 12

// hits returns where the columns pass the mesh's triangles, in their order.
func (c *columns) hits(ctx context.Context, m *mesh.Mesh) ([]hit, error) {
	bands := make([][]hit, (len(m.Triangles)+trianglesABand-1)/trianglesABand)
	err := workers.Bands(ctx, "plumb lines", len(m.Triangles), trianglesABand, func(from, to int) error {
		var hits []hit
		for _, t := range m.Triangles[from:to] {
			hits = c.through(m, t, hits)
		}
		bands[from/trianglesABand] = hits
		return nil
	})
	return slices.Concat(bands...), err
}

// through adds the columns that pass the triangle. Which side of an edge a line
// is on is asked of the edge from its lower vertex to its higher one, so that it
// is the same for both of its triangles and no line passes between them.
func (c *columns) through(m *mesh.Mesh, t [3]int32, hits []hit) []hit {
	a, b, d := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
	area := cross(a.Vec2(), b.Vec2(), d.Vec2())
	if area == 0 {
		return hits
	}
	y0 := int(math.Ceil((min(a[1], b[1], d[1]) - c.origin[1]) / c.step))
	y1 := int(math.Floor((max(a[1], b[1], d[1]) - c.origin[1]) / c.step))
	corners := [3]mgl64.Vec2{a.Vec2(), b.Vec2(), d.Vec2()}
	for y := max(y0, 0); y <= min(y1, c.ny-1); y++ {
		x0, x1 := c.row(corners, y)
		for x := x0; x <= x1; x++ {
			p := c.point(x, y)
			left := 0
			for k := range 3 {
				from, to := corners[k], corners[(k+1)%3]
				onward := t[k] < t[(k+1)%3]
				if !onward {
					from, to = to, from
				}
				if onward == (cross(from, to, p) >= 0) {
					left++
				}
			}
			if area > 0 && left == 3 || area < 0 && left == 0 {
				u, v := cross(p, corners[1], corners[2])/area, cross(corners[0], p, corners[2])/area
				z := u*a[2] + v*b[2] + (1-u-v)*d[2]
				hits = append(hits, hit{int32(y*c.nx + x), area > 0, z})
			}
		}
	}
	return hits
}

// rowSlack, mm, is more than rounding moves a height by, and less than any
// triangle is high.
const rowSlack = 1e-9

// row returns the first and last column of row y that may lie in the triangle: a
// sliver across the grid fills little of its box. Rounding is allowed for, by a
// column to either side.
func (c *columns) row(corners [3]mgl64.Vec2, y int) (first, last int) {
	height := c.origin[1] + float64(y)*c.step
	low, high := math.Inf(1), math.Inf(-1)
	for k := range 3 {
		from, to := corners[k], corners[(k+1)%3]
		if height < min(from[1], to[1])-rowSlack || height > max(from[1], to[1])+rowSlack {
			continue
		}
		if math.Abs(from[1]-to[1]) <= rowSlack {
			low, high = min(low, from[0], to[0]), max(high, from[0], to[0])
			continue
		}
		x := from[0] + mgl64.Clamp((height-from[1])/(to[1]-from[1]), 0, 1)*(to[0]-from[0])
		low, high = min(low, x), max(high, x)
	}
	if low > high {
		return 0, -1
	}
	first = int(math.Ceil((low-c.origin[0])/c.step)) - 1
	last = int(math.Floor((high-c.origin[0])/c.step)) + 1
	return max(first, 0), min(last, c.nx-1)
}

// cross returns twice the signed area of the triangle.
func cross(a, b, c mgl64.Vec2) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// fill makes spans of the hits: a line is inside while it entered more often than
// it left.
func (c *columns) fill(hits []hit) {
	begin := make([]int32, c.nx*c.ny+1)
	for _, h := range hits {
		begin[h.column+1]++
	}
	for k := range c.nx * c.ny {
		begin[k+1] += begin[k]
	}
	sorted := make([]hit, len(hits))
	next := slices.Clone(begin)
	for _, h := range hits {
		sorted[next[h.column]] = h
		next[h.column]++
	}
	c.first = make([]int32, c.nx*c.ny+1)
	for k := range c.nx * c.ny {
		c.first[k] = int32(len(c.spans))
		line := sorted[begin[k]:begin[k+1]]
		slices.SortFunc(line, func(a, b hit) int { return cmp.Compare(a.z, b.z) })
		depth, low := 0, 0.0
		for _, h := range line {
			if h.up {
				if depth--; depth == 0 {
					c.spans = append(c.spans, field.Span{Low: low, High: h.z})
				}
			} else if depth++; depth == 1 {
				low = h.z
			}
		}
	}
	c.first[c.nx*c.ny] = int32(len(c.spans))
}

// at returns the column's spans, from the lowest to the highest.
func (c *columns) at(k int) []field.Span { return c.spans[c.first[k]:c.first[k+1]] }

// place returns where a column stands, mm.
func (c *columns) place(k int) mgl64.Vec2 {
	return c.point(k%c.nx, k/c.nx)
}

func (c *columns) point(x, y int) mgl64.Vec2 {
	return c.origin.Add(mgl64.Vec2{float64(x) * c.step, float64(y) * c.step})
}

// index returns the column nearest to the place; ok is false outside the grid.
func (c *columns) index(p mgl64.Vec2) (k int, ok bool) {
	x := int(math.Round((p[0] - c.origin[0]) / c.step))
	y := int(math.Round((p[1] - c.origin[1]) / c.step))
	if x < 0 || y < 0 || x >= c.nx || y >= c.ny {
		return 0, false
	}
	return y*c.nx + x, true
}

// part marks the columns that the solid stands in.
func (c *columns) part() []bool {
	mask := make([]bool, c.nx*c.ny)
	for k := range mask {
		mask[k] = c.first[k] < c.first[k+1]
	}
	return mask
}

// neighbours calls f with each of the up to eight columns around k.
func (c *columns) neighbours(k int, f func(int)) {
	x, y := k%c.nx, k/c.nx
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if i, j := x+dx, y+dy; (dx != 0 || dy != 0) && i >= 0 && j >= 0 && i < c.nx && j < c.ny {
				f(j*c.nx + i)
			}
		}
	}
}

// patches numbers the pieces of a mask that hang together, corner to corner
// too, from 1 on; 0 is outside.
func (c *columns) patches(mask []bool) (number []int32, count int) {
	number = make([]int32, len(mask))
	var queue []int
	for k := range mask {
		if !mask[k] || number[k] != 0 {
			continue
		}
		count++
		number[k] = int32(count)
		for queue = append(queue[:0], k); len(queue) > 0; {
			last := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			c.neighbours(last, func(n int) {
				if mask[n] && number[n] == 0 {
					number[n] = int32(count)
					queue = append(queue, n)
				}
			})
		}
	}
	return number, count
}

// distances returns how far each column is from the nearest one in the mask, mm;
// +Inf if the mask is empty. Exact for the grid's points: the lower envelope of
// parabolas, first along x and then along y (Felzenszwalb and Huttenlocher,
// "Distance transforms of sampled functions", 2012).
func (c *columns) distances(mask []bool) []float64 {
	squared := make([]float64, len(mask))
	for k, in := range mask {
		if !in {
			squared[k] = math.Inf(1)
		}
	}
	longest := max(c.nx, c.ny)
	e := envelope{make([]float64, longest), make([]int, longest), make([]float64, longest+1)}
	for y := range c.ny {
		e.sweep(squared[y*c.nx:], c.nx, 1)
	}
	for x := range c.nx {
		e.sweep(squared[x:], c.ny, c.nx)
	}
	for k, s := range squared {
		squared[k] = math.Sqrt(s) * c.step
	}
	return squared
}

// envelope is the room that one line of the distance transform needs.
type envelope struct {
	values []float64
	apex   []int
	begins []float64
}

// sweep replaces n values, stride apart, by the least of value + offset².
func (e *envelope) sweep(line []float64, n, stride int) {
	last := -1
	for i := range n {
		e.values[i] = line[i*stride]
		if math.IsInf(e.values[i], 1) {
			continue
		}
		begin := math.Inf(-1)
		for ; last >= 0; last-- {
			j := e.apex[last]
			begin = (e.values[i] - e.values[j] + float64(i*i-j*j)) / float64(2*(i-j))
			if begin > e.begins[last] {
				break
			}
			begin = math.Inf(-1)
		}
		last++
		e.apex[last], e.begins[last] = i, begin
	}
	if last < 0 {
		return
	}
	e.begins[last+1] = math.Inf(1)
	k := 0
	for i := range n {
		for e.begins[k+1] < float64(i) {
			k++
		}
		d := float64(i - e.apex[k])
		line[i*stride] = d*d + e.values[e.apex[k]]
	}
}
