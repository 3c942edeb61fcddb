package rib

import (
	"cmp"
	"math"
	"slices"

	"earframe/field"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// The silhouette of a solid whose upper half mirrors its lower one, and that is
// broadest in between, is its cut by the level plane there. The cut is traced
// by marching squares. Corners of a cell and its edges:
//
//	3 ──2── 2
//	3       1     x to the right, y upward
//	0 ──0── 1
//
// A point lies on a grid edge and is known by it, so that rings close without
// comparing places.

// gridEdge is a grid edge: the one that leaves node (column, row) to the right
// or upward.
type gridEdge struct {
	column, row int
	up          bool
}

// tracer traces the cut of one solid.
type tracer struct {
	solid  field.Field
	level  float64
	origin mgl64.Vec2
	step   float64
	rows   int
	inside []bool // column by column
	next   map[gridEdge]gridEdge
	starts []gridEdge // in the order they were met
}

const (
	// traceStep, in mm: at the least radius of an edge, about half a millimetre,
	// a chord of that length is a hundredth of a millimetre off the arc.
	traceStep = 0.25
	// traceTolerance, in mm, is what the outline's chords may be off its points.
	traceTolerance = template.DefaultTolerance / 4
	// traceBlock is how many columns and rows are passed over at once where the
	// field says that the whole block is in or out.
	traceBlock = 16
	// traceHalvings place a point to 2^-17 of a step.
	traceHalvings = 16
)

// trace returns the rings of the solid's cut at the level: the solid to the
// left, so that outer ones run counter-clockwise.
func trace(solid field.Field, level float64) []template.Ring {
	box := solid.Bounds().Grow(1.5 * traceStep)
	t := &tracer{solid: solid, level: level, origin: box.Min.Vec2(), step: traceStep, next: map[gridEdge]gridEdge{}}
	columns := int(math.Ceil((box.Max[0]-box.Min[0])/t.step)) + 1
	t.rows = int(math.Ceil((box.Max[1]-box.Min[1])/t.step)) + 1
	t.inside = make([]bool, columns*t.rows)
	for i := 0; i < columns; i += traceBlock {
		for j := 0; j < t.rows; j += traceBlock {
			t.sample(i, j, min(i+traceBlock, columns), min(j+traceBlock, t.rows))
		}
	}
	for i := range columns - 1 {
		here, beside := t.inside[i*t.rows:(i+1)*t.rows], t.inside[(i+1)*t.rows:(i+2)*t.rows]
		for j := range t.rows - 1 {
			if here[j] != here[j+1] || here[j] != beside[j] || here[j] != beside[j+1] {
				t.cell(i, j)
			}
		}
	}
	return t.rings()
}

// nested returns the rings as outlines, each hole with the ring around it; the
// largest outline comes first.
func nested(rings []template.Ring) []template.Outline {
	var outlines []template.Outline
	for _, ring := range rings {
		if ring.Area() > 0 {
			outlines = append(outlines, template.Outline{Outer: ring})
		}
	}
	slices.SortStableFunc(outlines, func(a, b template.Outline) int {
		return cmp.Compare(b.Outer.Area(), a.Outer.Area())
	})
	for _, ring := range rings {
		if ring.Area() >= 0 {
			continue
		}
		for i := len(outlines) - 1; i >= 0; i-- { // the smallest ring around it
			if outlines[i].Outer.Contains(ring[0]) {
				outlines[i].Holes = append(outlines[i].Holes, ring)
				break
			}
		}
	}
	return outlines
}

func (t *tracer) place(i, j int) mgl64.Vec3 {
	return t.origin.Add(mgl64.Vec2{float64(i), float64(j)}.Mul(t.step)).Vec3(t.level)
}

// sample finds out which nodes of a block are inside.
func (t *tracer) sample(fromColumn, fromRow, toColumn, toRow int) {
	low, high := t.solid.Range(field.Box{Min: t.place(fromColumn, fromRow), Max: t.place(toColumn-1, toRow-1)})
	if low >= 0 {
		return
	}
	var points []mgl64.Vec3
	for i := fromColumn; i < toColumn; i++ {
		for j := fromRow; j < toRow; j++ {
			points = append(points, t.place(i, j))
		}
	}
	out := make([]float64, len(points))
	if high >= 0 {
		t.solid.Distances(points, out)
	}
	for k := range out {
		i, j := fromColumn+k/(toRow-fromRow), fromRow+k%(toRow-fromRow)
		t.inside[i*t.rows+j] = high < 0 || out[k] < 0
	}
}

// cell adds the pieces of outline in one cell. Going round it counter-clockwise,
// an outline enters where the corners turn from inside to outside, and leaves
// where they turn back: each piece cuts off a run of outside corners.
func (t *tracer) cell(i, j int) {
	corners := [4][2]int{{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}}
	edges := [4]gridEdge{{i, j, false}, {i + 1, j, true}, {i, j + 1, false}, {i, j, true}}
	isIn := func(k int) bool { c := corners[k%4]; return t.inside[c[0]*t.rows+c[1]] }
	for k := range edges {
		if !isIn(k) || isIn(k+1) {
			continue
		}
		end := k + 1
		for !isIn(end + 1) {
			end++
		}
		t.next[edges[k]] = edges[end%4]
		t.starts = append(t.starts, edges[k])
	}
}

// rings follows the pieces round.
func (t *tracer) rings() []template.Ring {
	var edges []gridEdge
	var ends []int // of the rings, in edges
	done := map[gridEdge]bool{}
	for _, start := range t.starts {
		if done[start] {
			continue
		}
		for e := start; !done[e]; e = t.next[e] {
			done[e] = true
			edges = append(edges, e)
		}
		ends = append(ends, len(edges))
	}
	points := t.crossings(edges)
	var rings []template.Ring
	begin := 0
	for _, end := range ends {
		if end-begin > 2 {
			rings = append(rings, thinned(points[begin:end], traceTolerance))
		}
		begin = end
	}
	return rings
}

// crossings returns where the outline crosses the grid edges: all of them are
// halved together.
func (t *tracer) crossings(edges []gridEdge) template.Ring {
	in, out := make([]mgl64.Vec3, len(edges)), make([]mgl64.Vec3, len(edges))
	for i, e := range edges {
		in[i], out[i] = t.place(e.column, e.row), t.place(e.column+1, e.row)
		if e.up {
			out[i] = t.place(e.column, e.row+1)
		}
		if !t.inside[e.column*t.rows+e.row] {
			in[i], out[i] = out[i], in[i]
		}
	}
	middle, distance := make([]mgl64.Vec3, len(edges)), make([]float64, len(edges))
	for range traceHalvings {
		for i := range middle {
			middle[i] = in[i].Add(out[i]).Mul(0.5)
		}
		t.solid.Distances(middle, distance)
		for i, d := range distance {
			if d < 0 {
				in[i] = middle[i]
			} else {
				out[i] = middle[i]
			}
		}
	}
	ring := make(template.Ring, len(edges))
	for i := range ring {
		ring[i] = in[i].Add(out[i]).Mul(0.5).Vec2()
	}
	return ring
}

// distanceAt returns the field's value at one point.
func distanceAt(f field.Field, p mgl64.Vec3) float64 {
	var out [1]float64
	f.Distances([]mgl64.Vec3{p}, out[:])
	return out[0]
}

// thinned returns the ring without the points that lie within the tolerance of
// the chords left (Ramer 1972; Douglas and Peucker 1973).
func thinned(ring template.Ring, tolerance float64) template.Ring {
	far := 0
	for i, p := range ring {
		if p.Sub(ring[0]).Len() > ring[far].Sub(ring[0]).Len() {
			far = i
		}
	}
	keep := make([]bool, len(ring)+1)
	keep[0], keep[far] = true, true
	stack := [][2]int{{0, far}, {far, len(ring)}}
	for len(stack) > 0 {
		from, to := stack[len(stack)-1][0], stack[len(stack)-1][1]
		stack = stack[:len(stack)-1]
		a, b := ring[from], ring[to%len(ring)]
		most, worst := 0, tolerance
		for i := from + 1; i < to; i++ {
			if d := template.DistanceToEdge(ring[i], a, b); d > worst {
				most, worst = i, d
			}
		}
		if most > 0 {
			keep[most] = true
			stack = append(stack, [2]int{from, most}, [2]int{most, to})
		}
	}
	var thin template.Ring
	for i, p := range ring {
		if keep[i] {
			thin = append(thin, p)
		}
	}
	return thin
}
