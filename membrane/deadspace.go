package membrane

import (
	"sort"

	"github.com/go-gl/mathgl/mgl64"
)

// DeadSpace is a connected place where the skin reaches neither the frame nor
// the bed. Places that meet only at a corner count as two.
type DeadSpace struct {
	Volume  float64    // mm³
	Area    float64    // of its footprint, mm²
	Deepest float64    // largest gap under the skin, mm
	Where   mgl64.Vec2 // place of the largest gap, mm
	Centre  mgl64.Vec2 // centre of the volume, mm
	Nodes   []int      // of the drape's grid, ascending
}

// Gaps returns the height of the skin above frame or bed at every node, mm.
func (d *Drape) Gaps() []float64 {
	gaps := make([]float64, len(d.Heights))
	for k, height := range d.Heights {
		if d.Inside[k] {
			gaps[k] = max(height-d.Frame[k], 0)
		}
	}
	return gaps
}

// DeadSpaces returns the connected places where the gap exceeds least (mm, 0
// means the contact accuracy of 0.01), the largest volume first.
func (d *Drape) DeadSpaces(least float64) []DeadSpace {
	if !(least > overTheBed) {
		least = overTheBed
	}
	gaps := d.Gaps()
	seen := make([]bool, len(gaps))
	var spaces []DeadSpace
	for start, gap := range gaps {
		if seen[start] || gap <= least {
			continue
		}
		spaces = append(spaces, d.flood(gaps, seen, start, least))
	}
	sort.SliceStable(spaces, func(a, b int) bool { return spaces[a].Volume > spaces[b].Volume })
	return spaces
}

// flood collects the place around a node.
func (d *Drape) flood(gaps []float64, seen []bool, start int, least float64) DeadSpace {
	var space DeadSpace
	queue := []int{start}
	seen[start] = true
	for len(queue) > 0 {
		k := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		space.Nodes = append(space.Nodes, k)
		// Inside nodes never lie on the grid's own edge.
		for _, n := range [4]int{k - 1, k + 1, k - d.Grid.Columns, k + d.Grid.Columns} {
			if !seen[n] && gaps[n] > least {
				seen[n] = true
				queue = append(queue, n)
			}
		}
	}
	sort.Ints(space.Nodes)
	for _, k := range space.Nodes {
		volume := d.weight[k] * gaps[k]
		space.Area += d.weight[k]
		space.Volume += volume
		space.Centre = space.Centre.Add(d.Grid.Place(k).Mul(volume))
		if gaps[k] > space.Deepest {
			space.Deepest, space.Where = gaps[k], d.Grid.Place(k)
		}
	}
	if space.Volume > 0 {
		space.Centre = space.Centre.Mul(1 / space.Volume)
	}
	return space
}
