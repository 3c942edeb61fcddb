package sheet

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// crowd answers how much room there is among lines. It knows them by points so
// close that a line passes no box unnoticed, sorted into square bins.
type crowd struct {
	bins map[[2]int][]mgl64.Vec2
}

const (
	crowdStep = 0.25 // between points of a line, mm: below half a letter's stroke
	binSize   = 1.5  // mm
	farRoom   = 20.0 // more room is not told apart, mm
)

func binOf(p mgl64.Vec2) [2]int {
	return [2]int{int(math.Floor(p[0] / binSize)), int(math.Floor(p[1] / binSize))}
}

// newCrowd takes open lines.
func newCrowd(lines [][]mgl64.Vec2) *crowd {
	c := &crowd{bins: map[[2]int][]mgl64.Vec2{}}
	add := func(p mgl64.Vec2) { c.bins[binOf(p)] = append(c.bins[binOf(p)], p) }
	for _, line := range lines {
		for i, b := range line {
			if i == 0 {
				add(b)
				continue
			}
			a := line[i-1]
			pieces := max(1, math.Ceil(b.Sub(a).Len()/crowdStep))
			for k := 1.0; k <= pieces; k++ {
				add(a.Add(b.Sub(a).Mul(k / pieces)))
			}
		}
	}
	return c
}

// room returns how far the nearest line is from a box of a half size, less than
// 0 if one reaches into it, and farRoom at most.
func (c *crowd) room(centre, half mgl64.Vec2) float64 {
	room := farRoom
	for reach := binSize; ; reach *= 2 {
		around := mgl64.Vec2{half[0] + reach, half[1] + reach}
		lo, hi := binOf(centre.Sub(around)), binOf(centre.Add(around))
		for x := lo[0]; x <= hi[0]; x++ {
			for y := lo[1]; y <= hi[1]; y++ {
				for _, p := range c.bins[[2]int{x, y}] {
					room = min(room, outside(p.Sub(centre), half))
				}
			}
		}
		if room <= reach || reach >= farRoom {
			return room
		}
	}
}

// outside returns how far a point is from a box about the origin, less than 0
// within it.
func outside(p, half mgl64.Vec2) float64 {
	out := mgl64.Vec2{math.Abs(p[0]) - half[0], math.Abs(p[1]) - half[1]}
	if out[0] > 0 && out[1] > 0 {
		return out.Len()
	}
	return max(out[0], out[1])
}
