package membrane

import (
	"context"
	"math"
	"slices"

	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Lifting. The solver keeps the skin off the frame at the nodes. Between them
// its triangles cut into what is rounder than a step, and into a wall that no
// node could be drawn to. So the drape is the net of triangles or the frame,
// whichever is higher: this is the surface that is read, and this is the surface
// whose area and slopes are told. For those, a triangle that the frame comes
// through is cut into four at the middles of its sides, which are lifted onto
// the frame:
//
//	    ╱╲
//	   ╱  ╲
//	  •────•      •  lifted, if the frame stands higher there
//	 ╱ ╲  ╱ ╲
//	╱───╲╱───╲
//	     •

// liftFrom is how far the frame has to come through, mm: half the accuracy of
// contact.
const liftFrom = overTheBed / 2

// facet is a part of a cell's triangle with its slope. Where the frame comes
// through a triangle, a facet of negative area takes the triangle away.
type facet struct {
	cell   int32
	corner [3]int8
	area   float64 // flat, mm²
	x, y   float64 // slope
}

// halves are the pairs of a cell's corners between which the frame is looked at,
// and halfOf tells which of them lies between two corners.
var (
	halves = [6][2]int{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {0, 3}, {1, 2}}
	halfOf = [4][4]int{{-1, 0, 1, 4}, {0, -1, 5, 2}, {1, 5, -1, 3}, {4, 2, 3, -1}}
)

// lift returns what the frame changes of the net with heights u, and the places
// that it lifts.
func (l *lattice) lift(ctx context.Context, frame Frame, u []float64) ([]facet, []mgl64.Vec3) {
	facets, lifted := make([][]facet, l.rows), make([][]mgl64.Vec3, l.rows)
	overRows(ctx, stageLift, l.rows-1, l.columns, func(from, to int) {
		for j := from; j < to; j++ {
			row := liftRow{l: l, u: u, frame: frame}
			for i := range l.columns - 1 {
				row.cell(l.index(i, j))
			}
			facets[j], lifted[j] = row.facets, row.lifted
		}
	})
	return slices.Concat(facets...), slices.Concat(lifted...)
}

// liftRow lifts the triangles of one row of cells.
type liftRow struct {
	l      *lattice
	u      []float64
	frame  Frame
	facets []facet
	lifted []mgl64.Vec3
	points [len(halves)]mgl64.Vec2
	middle [len(halves)]float64 // the drape's heights
}

// cell lifts the triangles of a cell if the frame comes through it, seen in the
// middle of the cell and of its sides. Between four corners of one height the
// frame is taken to be level.
func (r *liftRow) cell(k int) {
	l := r.l
	nodes := l.corners(k)
	touched, level := false, true
	for _, n := range nodes {
		if !l.free[n] {
			return
		}
		touched = touched || r.u[n] <= l.lower[n]+overTheBed && l.lower[n] > overTheBed
		level = level && math.Abs(l.lower[n]-l.lower[nodes[0]]) < rounding
	}
	if !touched || level {
		return
	}
	for n, pair := range halves {
		r.points[n] = l.at(nodes[pair[0]]).Add(l.at(nodes[pair[1]])).Mul(0.5)
	}
	r.frame.Heights(r.points[:], r.middle[:])
	through := false
	for n, pair := range halves {
		net := (r.u[nodes[pair[0]]] + r.u[nodes[pair[1]]]) / 2
		if r.middle[n] > net+liftFrom {
			through = true
			r.lifted = append(r.lifted, r.points[n].Vec3(r.middle[n]))
		}
		r.middle[n] = max(r.middle[n], net)
	}
	if through {
		for _, t := range l.trianglesOf(k) {
			r.replace(k, nodes, t)
		}
	}
}

// replace takes a triangle away and puts four in its place. Of a regular cell,
// one diagonal's triangles stand for the mean of both.
func (r *liftRow) replace(k int, nodes [4]int, t [3]int8) {
	l := r.l
	var place [3]mgl64.Vec2
	var corner, middle [3]float64 // the middle is of the side across the corner
	for n := range 3 {
		place[n], corner[n] = l.at(nodes[t[n]]), r.u[nodes[t[n]]]
		middle[n] = r.middle[halfOf[t[(n+1)%3]][t[(n+2)%3]]]
	}
	one, two := place[1].Sub(place[0]), place[2].Sub(place[0])
	whole := one[0]*two[1] - one[1]*two[0]
	// add takes the heights at three corners that lie like the triangle's own,
	// so many times closer together; negative is upside down.
	add := func(area, closer, a, b, c float64) {
		alongOne, alongTwo := (b-a)*closer, (c-a)*closer
		x := (alongOne*two[1] - alongTwo*one[1]) / whole
		y := (alongTwo*one[0] - alongOne*two[0]) / whole
		r.facets = append(r.facets, facet{int32(k), t, area, x, y})
	}
	add(-whole/2, 1, corner[0], corner[1], corner[2])
	add(whole/8, 2, corner[0], middle[2], middle[1])
	add(whole/8, 2, middle[2], corner[1], middle[0])
	add(whole/8, 2, middle[1], middle[0], corner[2])
	add(whole/8, -2, middle[0], middle[1], middle[2])
}

// excessOf returns the skin area that the facets add, mm².
func excessOf(facets []facet) float64 {
	sum := 0.0
	for _, f := range facets {
		beyond, _ := excess(f.x*f.x + f.y*f.y)
		sum += f.area * beyond
	}
	return sum
}

// Height returns the skin's deep surface at p, mm above the bed; 0 outside.
func (d *Drape) Height(p mgl64.Vec2) float64 {
	net := d.l.heightAt(p, d.u)
	if !(d.pocket.Distance(p) < 0) {
		return net
	}
	return max(net, heightOf(d.frame, p))
}

// HeightsOn returns Height at every node of a grid, row by row, on all cores. ctx
// ends it early with its error.
func (d *Drape) HeightsOn(ctx context.Context, g Grid) ([]float64, error) {
	heights := make([]float64, g.Columns*g.Rows)
	err := workers.Bands(ctx, stageAnswer, g.Rows, bandRows, func(from, to int) error {
		places, tops := make([]mgl64.Vec2, 0, g.Columns), make([]float64, g.Columns)
		for j := from; j < to; j++ {
			row := heights[j*g.Columns : (j+1)*g.Columns]
			first, last := d.withinPocket(g, j)
			places = places[:0]
			for i := range row {
				p := g.Place(j*g.Columns + i)
				row[i] = d.l.heightAt(p, d.u)
				if i >= first && i < last {
					places = append(places, p)
				}
			}
			d.frame.Heights(places, tops[:len(places)])
			for n, p := range places {
				if top := tops[n]; top > row[first+n] && d.pocket.Distance(p) < 0 {
					row[first+n] = top
				}
			}
		}
		return nil
	})
	return heights, err
}

// withinPocket returns the columns of row j of a grid, from the first up to
// before the last, that may lie in the pocket: those within its bounds.
func (d *Drape) withinPocket(g Grid, j int) (first, last int) {
	lo, hi := d.pocket.Bounds()
	if y := g.Origin[1] + float64(j)*g.Step; y < lo[1] || y > hi[1] {
		return 0, 0
	}
	first = clampIndex((lo[0]-g.Origin[0])/g.Step, g.Columns)
	return first, clampIndex((hi[0]-g.Origin[0])/g.Step+1, g.Columns) + 1
}
