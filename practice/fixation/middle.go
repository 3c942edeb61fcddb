package fixation

import (
	"sort"

	"github.com/go-gl/mathgl/mgl64"
)

// The middle of a patch is found by thinning: places of the grid are taken away
// from the border inward, in the order of their distance from it, as long as
// that neither parts the patch, nor opens or closes a hole, nor shortens a line
// that is left (distance-ordered homotopic thinning; Pudney, "Distance-ordered
// homotopic thinning: a skeletonization algorithm for 3D digital images",
// Computer Vision and Image Understanding 72, 1998). What remains is one place
// wide, forks where the patch forks and goes round where it is a ring.

// thinned returns which of the places remain, and the distance of each from the
// border, mm.
func (p *patch) thinned(places []int) (left []bool, depths map[int]float64) {
	left = make([]bool, len(p.inside))
	depths = make(map[int]float64, len(places))
	for _, i := range places {
		left[i] = true
		depths[i] = p.depth(p.place(i))
	}
	order := append([]int(nil), places...)
	sort.SliceStable(order, func(a, b int) bool { return depths[order[a]] < depths[order[b]] })
	for changed := true; changed; {
		changed = false
		for _, i := range order {
			if left[i] && p.mayGo(left, i) {
				left[i] = false
				changed = true
			}
		}
	}
	return left, depths
}

// around lists the eight neighbours of place i in turn, the first one at +x.
func (p *patch) around(i int) [8]int {
	c := p.columns
	return [8]int{i + 1, i + 1 + c, i + c, i - 1 + c, i - 1, i - 1 - c, i - c, i + 1 - c}
}

// mayGo reports whether a place can be taken away: it is no end of a line, and
// its neighbours hang together without it, in one way only (Yokoi, Toriwaki,
// Fukumura, "An analysis of topological properties of digitized binary pictures
// using local features", Computer Graphics and Image Processing 4, 1975).
func (p *patch) mayGo(left []bool, i int) bool {
	var out [8]bool
	neighbours := 0
	for k, j := range p.around(i) {
		if out[k] = !left[j]; left[j] {
			neighbours++
		}
	}
	if neighbours < 2 {
		return false
	}
	number := 0
	for k := 0; k < 8; k += 2 {
		if out[k] && !(out[k+1] && out[(k+2)%8]) {
			number++
		}
	}
	return number == 1
}

// graph is what thinning left: lines between knots, which are tips or forks.
type graph struct {
	knots []knot
	lines []line
}

type knot struct {
	at    mgl64.Vec2
	depth float64 // from the patch's border, mm
}

// line runs from one knot to another; a ring without a knot has -1 at both ends
// and does not repeat its first point.
type line struct {
	from, to int
	points   []mgl64.Vec2
}

// islands returns the places of each part of the patch that hangs together, in
// ascending order.
func (p *patch) islands() [][]int {
	seen := make([]bool, len(p.inside))
	var islands [][]int
	for first, in := range p.inside {
		if !in || seen[first] {
			continue
		}
		seen[first] = true
		island := []int{first}
		for k := 0; k < len(island); k++ {
			for _, j := range p.around(island[k]) {
				if p.inside[j] && !seen[j] {
					seen[j] = true
					island = append(island, j)
				}
			}
		}
		sort.Ints(island)
		islands = append(islands, island)
	}
	return islands
}

// newGraph follows the lines that thinning leaves of an island's places.
func (p *patch) newGraph(island []int) *graph {
	left, depths := p.thinned(island)
	g := &graph{}
	links := map[int][]int{}
	var places []int
	for _, i := range island {
		if left[i] {
			places = append(places, i)
			links[i] = p.links(left, i)
		}
	}
	knotAt := map[int]int{}
	for _, i := range places {
		if len(links[i]) != 2 {
			knotAt[i] = len(g.knots)
			g.knots = append(g.knots, knot{p.place(i), depths[i]})
		}
	}
	walked := map[[2]int]bool{} // links gone along
	follow := func(from, to int) line {
		l := line{-1, -1, []mgl64.Vec2{p.place(from)}}
		if k, ok := knotAt[from]; ok {
			l.from = k
		}
		start := from
		for {
			walked[[2]int{from, to}], walked[[2]int{to, from}] = true, true
			if to == start && l.from < 0 {
				return l
			}
			l.points = append(l.points, p.place(to))
			if k, ok := knotAt[to]; ok {
				l.to = k
				return l
			}
			on := links[to][0]
			if on == from {
				on = links[to][1]
			}
			from, to = to, on
		}
	}
	for _, rings := range []bool{false, true} { // rings without a knot last
		for _, i := range places {
			if _, ok := knotAt[i]; ok == rings {
				continue
			}
			for _, j := range links[i] {
				if !walked[[2]int{i, j}] {
					g.lines = append(g.lines, follow(i, j))
				}
			}
		}
	}
	return g
}

// links returns the neighbours that a remaining place is joined to: across a
// corner only where no place beside both joins them already.
func (p *patch) links(left []bool, i int) []int {
	var to []int
	around := p.around(i)
	for k, j := range around {
		if !left[j] || k%2 == 1 && (left[around[k-1]] || left[around[(k+1)%8]]) {
			continue
		}
		to = append(to, j)
	}
	return to
}
