package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// pen offers triangles, edges and nodes to the rows [from, to) of an envelope.
// An offer never lies above the envelope, so a box of grid nodes that is too
// wide costs time and nothing else.
type pen struct {
	*envelope
	from, to int
}

// box is a rectangle in grid units.
type box struct{ x0, y0, x1, y1 float64 }

func (b *box) add(x, y float64) {
	b.x0, b.x1 = min(b.x0, x), max(b.x1, x)
	b.y0, b.y1 = min(b.y0, y), max(b.y1, y)
}

// rounding, in grid units, settles on which side of an edge a place lies that is
// meant to be on it.
const rounding = 1e-9

// nodes visits the grid nodes in the box widened by pad grid units.
func (p *pen) nodes(b box, pad float64, offer func(k int, x, y float64)) {
	pad += rounding
	i0, i1 := max(int(math.Ceil(b.x0-pad)), 0), min(int(math.Floor(b.x1+pad)), p.Columns-1)
	j0, j1 := max(int(math.Ceil(b.y0-pad)), p.from), min(int(math.Floor(b.y1+pad)), p.to-1)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			offer(j*p.Columns+i, float64(i), float64(j))
		}
	}
}

func (p *pen) offer(k int, height float64) {
	if height > p.top[k] {
		p.top[k] = height
	}
}

// lean returns where the ball's top over a surface of this slope lies from the
// place that it touches, in grid units, and how far the surface is raised, mm.
func (p *pen) lean(slope mgl64.Vec2) (x, y, raise float64) {
	w := math.Sqrt(1 + slope.LenSqr())
	along := -p.radius / (w * p.Step)
	return along * slope[0], along * slope[1], p.radius * w
}

// triangles offers the planes over a cell's two triangles.
func (p *pen) triangles(i, j int) {
	k := j*p.Columns + i
	split := p.split(k)
	for half, slope := range p.slopes[k] {
		x, y, raise := p.lean(slope)
		x += float64(i)
		y += float64(j)
		p.nodes(box{x, y, x + 1, y + 1}, 0, func(n int, nx, ny float64) {
			// Place in the cell of the point that touches.
			fx, fy := nx-x, ny-y
			beyond := fx + fy - 1 // over the cell's diagonal
			if split {
				beyond = fy - fx
			}
			if half == 1 {
				beyond = -beyond
			}
			if beyond > rounding {
				return
			}
			// The plane, from a corner that both of the cell's cuts share.
			base, dx, dy := p.u[k+1], nx-float64(i)-1, ny-float64(j)
			if half == 1 {
				base, dx, dy = p.u[k+p.Columns], nx-float64(i), ny-float64(j)-1
			}
			p.offer(n, base+(dx*slope[0]+dy*slope[1])*p.Step+raise)
		})
	}
}

// around returns the slopes of the triangles to the left and to the right of an
// edge, looking from node (i, j) to (i+di, j+dj), and whether both are there.
func (p *pen) around(i, j, di, dj int) (left, right mgl64.Vec2, both bool) {
	var ok [2]bool
	switch {
	case dj == 0:
		left, ok[0] = p.slope(i, j, 0, 0)
		right, ok[1] = p.slope(i, j-1, 1, 1)
	case di == 0:
		left, ok[0] = p.slope(i-1, j, 0, 1)
		right, ok[1] = p.slope(i, j, 1, 0)
	case di == 1:
		left, ok[0] = p.slope(i, j, 1, 1)
		right, ok[1] = p.slope(i, j, 0, 0)
	default:
		left, ok[0] = p.slope(i-1, j, 0, 0)
		right, ok[1] = p.slope(i-1, j, 1, 1)
	}
	return left, right, ok[0] && ok[1]
}

// slope returns the slope of one of cell (i, j)'s triangles, the first or the
// second depending on whether the cell is split from corner 0 to corner 3.
func (p *pen) slope(i, j, ifSplit, ifNot int) (mgl64.Vec2, bool) {
	if i < 0 || j < 0 || i >= p.Columns-1 || j >= p.Rows-1 {
		return mgl64.Vec2{}, false
	}
	k := j*p.Columns + i
	half := ifNot
	if p.split(k) {
		half = ifSplit
	}
	return p.slopes[k][half], p.present[k]
}

// nearlyFlat is the cosine, of 16 degrees, within which normals must lie of one
// of them for a box around their tops to be used instead of the whole ball.
const nearlyFlat = 0.96

// bulge is how far an arc between two such normals, 32 degrees at most, bulges
// from its chord, as a share of the radius: 1 − cos 16° = 0.039, rounded up.
const bulge = 0.04

// edge offers the cylinder over the edge from node (i, j) to (i+di, j+dj).
func (p *pen) edge(i, j, di, dj int) {
	oi, oj := i+di, j+dj
	if oi < 0 || oi >= p.Columns || oj >= p.Rows {
		return
	}
	a, b := p.u[j*p.Columns+i], p.u[oj*p.Columns+oi]
	if math.IsInf(b, -1) {
		return
	}
	reach := p.radius / p.Step
	length := math.Hypot(float64(di), float64(dj)) // in grid units
	ex, ey := float64(di)/length, float64(dj)/length
	slope := (b - a) / (length * p.Step)
	left, right, both := p.around(i, j, di, dj)
	x0, y0 := float64(i), float64(j)
	x1, y1 := float64(oi), float64(oj)
	reachable := box{min(x0, x1) - reach, y0 - reach, max(x0, x1) + reach, y1 + reach}
	pad := 0.0
	if both {
		// Concave and flat edges are covered by their triangles. On a convex
		// one the slope across falls from right to left.
		across := (left[0]-right[0])*-ey + (left[1]-right[1])*ex
		if across >= 0 {
			return
		}
		if cosine(left, right) > nearlyFlat {
			fx, fy, _ := p.lean(left)
			sx, sy, _ := p.lean(right)
			reachable = box{x0 + fx, y0 + fy, x0 + fx, y0 + fy}
			reachable.add(x0+sx, y0+sy)
			reachable.add(x1+fx, y1+fy)
			reachable.add(x1+sx, y1+sy)
			pad = bulge * reach
		}
	}
	w := math.Sqrt(1 + slope*slope)
	p.nodes(reachable, pad, func(k int, x, y float64) {
		along, aside := (x-x0)*ex+(y-y0)*ey, (y-y0)*ex-(x-x0)*ey
		square := reach*reach - aside*aside
		if square < 0 {
			return
		}
		touch := along + slope/w*math.Sqrt(square)
		touch = min(max(touch, 0), length)
		if rest := square - (touch-along)*(touch-along); rest >= 0 {
			p.offer(k, a+slope*touch*p.Step+p.Step*math.Sqrt(rest))
		}
	})
}

// cosine returns the cosine between the normals of two slopes.
func cosine(a, b mgl64.Vec2) float64 {
	return (1 + a.Dot(b)) / math.Sqrt((1+a.LenSqr())*(1+b.LenSqr()))
}

// node offers the sphere over a node.
func (p *pen) node(i, j int) {
	x0, y0, reach := float64(i), float64(j), p.radius/p.Step
	reachable := box{x0 - reach, y0 - reach, x0 + reach, y0 + reach}
	pad := 0.0
	if narrow, ok := p.cap(i, j); ok {
		reachable = narrow
		pad = bulge * reach
	}
	p.sphere(x0, y0, p.u[j*p.Columns+i], reachable, pad)
}

// sphere offers the part of a sphere in a box, its middle in grid units and mm.
func (p *pen) sphere(x0, y0, height float64, reachable box, pad float64) {
	reach := p.radius / p.Step
	p.nodes(reachable, pad, func(k int, x, y float64) {
		if rest := reach*reach - (x-x0)*(x-x0) - (y-y0)*(y-y0); rest >= 0 {
			p.offer(k, height+p.Step*math.Sqrt(rest))
		}
	})
}

// ball offers the sphere over any place, mm.
func (p *pen) ball(place mgl64.Vec3) {
	x, y, reach := (place[0]-p.Origin[0])/p.Step, (place[1]-p.Origin[1])/p.Step, p.radius/p.Step
	p.sphere(x, y, place[2], box{x - reach, y - reach, x + reach, y + reach}, 0)
}

// cap returns the box of the tops over a node's triangles, if their normals
// are close enough together for it to hold all that the node can reach.
func (p *pen) cap(i, j int) (box, bool) {
	if i == 0 || j == 0 || i == p.Columns-1 || j == p.Rows-1 {
		return box{}, false
	}
	k := j*p.Columns + i
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	first := mgl64.Vec2{}
	for n, cell := range [4]int{k, k - 1, k - p.Columns, k - p.Columns - 1} {
		if !p.present[cell] {
			return box{}, false
		}
		for half, slope := range p.slopes[cell] {
			if n == 0 && half == 0 {
				first = slope
			}
			if cosine(first, slope) < nearlyFlat {
				return box{}, false
			}
			x, y, _ := p.lean(slope)
			b.add(float64(i)+x, float64(j)+y)
		}
	}
	return b, true
}
