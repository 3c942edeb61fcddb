package budget

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// remainder is what is left of a piece beside what is laid in it.
type remainder struct {
	area     float64 // mm²
	largest  float64 // area of its largest connected part, mm²
	roundest float64 // diameter of the largest circle in it, mm
}

// remainderStep is the spacing in mm of the points that a remainder is measured
// by. A point whose cell the remainder's edge passes counts by its share, so
// that a straight edge makes no error.
const remainderStep = 0.5

// measure samples the remainder and follows its connected parts over the
// lattice's edges.
func (r *room) measure() remainder {
	lo, hi := r.stock.lo, r.stock.hi
	columns := int(math.Ceil((hi[0]-lo[0])/remainderStep)) + 1
	rows := int(math.Ceil((hi[1]-lo[1])/remainderStep)) + 1
	share := make([]float64, columns*rows)
	var found remainder
	var widest mgl64.Vec2
	for i := range share {
		p := lo.Add(mgl64.Vec2{float64(i%columns) * remainderStep, float64(i/columns) * remainderStep})
		depth := r.at(p)
		share[i] = math.Min(math.Max(0.5+depth/remainderStep, 0), 1)
		found.area += share[i] * remainderStep * remainderStep
		if 2*depth > found.roundest {
			found.roundest, widest = 2*depth, p
		}
	}
	found.roundest = 2 * r.climb(widest, found.roundest/2)
	var front []int
	for i := range share {
		area := 0.0
		visit := func(j int) {
			if share[j] > 0 {
				area += share[j] * remainderStep * remainderStep
				share[j] = 0
				front = append(front, j)
			}
		}
		visit(i)
		for len(front) > 0 {
			j := front[len(front)-1]
			front = front[:len(front)-1]
			if j%columns > 0 {
				visit(j - 1)
			}
			if j%columns < columns-1 {
				visit(j + 1)
			}
			if j >= columns {
				visit(j - columns)
			}
			if j < columns*(rows-1) {
				visit(j + columns)
			}
		}
		found.largest = math.Max(found.largest, area)
	}
	return found
}

// climb returns the room at the best point near p, to within polishEnd mm.
func (r *room) climb(p mgl64.Vec2, depth float64) float64 {
	if depth <= 0 {
		return 0
	}
	for step := remainderStep; step > polishEnd; step /= 2 {
		for again := true; again; {
			again = false
			for _, by := range [...]mgl64.Vec2{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
				if d := r.at(p.Add(by)); d > depth {
					p, depth, again = p.Add(by), d, true
				}
			}
		}
	}
	return depth
}
