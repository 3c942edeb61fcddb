package sheet

import (
	"math"

	"earframe/assemble"

	"github.com/go-gl/mathgl/mgl64"
)

// levelSlack is how far below its height a contour line is drawn, mm, so that a
// flat at that very height counts as wholly above and gets no speckled line: as
// much as a depth map may err, and too little to be seen.
const levelSlack = 0.01

// contourAt returns the lines along which the framework's top has a height over
// the bed, mm. Lines that close have their first point again at the end. It
// walks the squares of the map with four values each (marching squares: Lorensen
// and Cline 1987 in the plane), with straight lines between crossings found
// linearly, and parts the ambiguous squares by the mean of their corners.
func contourAt(m *assemble.DepthMap, height float64) [][]mgl64.Vec2 {
	t := tracer{m: m, height: height - levelSlack, next: map[int][]int{}}
	for row := 0; row+1 < m.Rows; row++ {
		for column := 0; column+1 < m.Columns; column++ {
			t.square(row, column)
		}
	}
	return t.lines()
}

// tracer joins the pieces of contour lines. A crossing is known by the edge of
// the lattice that it lies on: twice the index of the edge's first value, and
// one more for an edge upward.
type tracer struct {
	m      *assemble.DepthMap
	height float64
	next   map[int][]int // neighbours of a crossing, two at most
	order  []int         // crossings as they were found
}

// square finds the pieces in one square of the map; corners run
// counter-clockwise from the one of lowest row and column, edges likewise.
func (t *tracer) square(row, column int) {
	c := t.m.Columns
	k := row*c + column
	corners := [4]int{k, k + 1, k + c + 1, k + c}
	edges := [4]int{2 * k, 2*(k+1) + 1, 2 * (k + c), 2*k + 1}
	mean, pattern := 0.0, 0
	for i, corner := range corners {
		v := t.m.Top[corner]
		if math.IsNaN(v) {
			return
		}
		mean += v / 4
		if v >= t.height {
			pattern |= 1 << i
		}
	}
	if pattern == 5 || pattern == 10 { // opposite corners are above: two corners are cut off
		corner := 0
		if (pattern == 5) == (mean >= t.height) {
			corner = 1 // those below, since the middle is above
		}
		t.join(edges[(corner+3)%4], edges[corner])
		t.join(edges[corner+1], edges[corner+2])
		return
	}
	var cut []int
	for i := range corners {
		if pattern>>i&1 != pattern>>((i+1)%4)&1 {
			cut = append(cut, edges[i])
		}
	}
	if len(cut) == 2 {
		t.join(cut[0], cut[1])
	}
}

func (t *tracer) join(a, b int) {
	for _, pair := range [2][2]int{{a, b}, {b, a}} {
		if t.next[pair[0]] == nil {
			t.order = append(t.order, pair[0])
		}
		t.next[pair[0]] = append(t.next[pair[0]], pair[1])
	}
}

// place returns where a crossing lies.
func (t *tracer) place(edge int) mgl64.Vec2 {
	from := edge / 2
	to := from + 1
	if edge%2 == 1 {
		to = from + t.m.Columns
	}
	low, high := t.m.Top[from], t.m.Top[to]
	share := (t.height - low) / (high - low)
	a, b := t.m.Place(from), t.m.Place(to)
	return a.Add(b.Sub(a).Mul(share))
}

// lines walks from crossing to crossing: first the lines that have ends, then
// those that close.
func (t *tracer) lines() [][]mgl64.Vec2 {
	var lines [][]mgl64.Vec2
	seen := map[int]bool{}
	walk := func(start int) {
		line := []mgl64.Vec2{}
		at := start
		for {
			seen[at] = true
			line = append(line, t.place(at))
			onward := -1
			for _, n := range t.next[at] {
				if !seen[n] {
					onward = n
					break
				}
			}
			if onward < 0 {
				break
			}
			at = onward
		}
		if len(t.next[start]) == 2 {
			line = append(line, line[0])
		}
		lines = append(lines, line)
	}
	for _, ends := range []bool{true, false} {
		for _, edge := range t.order {
			if !seen[edge] && (len(t.next[edge]) == 1) == ends {
				walk(edge)
			}
		}
	}
	return lines
}
