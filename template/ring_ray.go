package template

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Ray returns how far it is from a point in the unit direction to the ring, in mm,
// 0 if the ray misses it.
func (r Ring) Ray(from, direction mgl64.Vec2) float64 {
	best := math.Inf(1)
	for i, a := range r {
		edge := r[(i+1)%len(r)].Sub(a)
		cross := direction[0]*edge[1] - direction[1]*edge[0]
		if cross == 0 {
			continue
		}
		to := a.Sub(from)
		along := (to[0]*edge[1] - to[1]*edge[0]) / cross
		t := (to[0]*direction[1] - to[1]*direction[0]) / cross
		if along >= 0 && along < best && t >= 0 && t <= 1 {
			best = along
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}
