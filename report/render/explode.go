package render

import (
	"math"
	"sort"

	"github.com/go-gl/mathgl/mgl64"
)

// clearance is how many millimetres objects moved apart keep between them, on the
// page and along the axis.
const clearance = 4.0

// stackOrder lists the objects from the lowest to the most lateral.
func (s *Scene) stackOrder() []int {
	order := make([]int, len(s.spans))
	for i := range order {
		order[i] = i
	}
	middle := func(i int) float64 { return s.spans[i].lo[2] + s.spans[i].hi[2] }
	sort.SliceStable(order, func(a, b int) bool { return middle(order[a]) < middle(order[b]) })
	return order
}

// MoveApart returns each object's shift along z: in stacking order, far enough
// that seen from the camera no object covers one it would otherwise lie on.
func (s *Scene) MoveApart(c Camera) []mgl64.Vec3 {
	shifts := make([]mgl64.Vec3, len(s.spans))
	perMillimetre := c.See(Lateral)[0] // page millimetres to the right
	turn := math.Copysign(1, perMillimetre)
	end, travel := math.Inf(-1), 0.0
	for k, i := range s.stackOrder() {
		lo, hi := c.spanExtent(s, s.spans[i])
		from, to := lo[0]*turn, hi[0]*turn
		if turn < 0 {
			from, to = to, from
		}
		if k > 0 {
			travel = max(travel+clearance, (end+clearance-from)/math.Abs(perMillimetre))
		}
		shifts[i] = Lateral.Mul(travel)
		end = max(end, to+travel*math.Abs(perMillimetre))
	}
	return shifts
}

// Path is a line along which an object moved apart comes home.
type Path struct{ From, To mgl64.Vec3 }

// Paths returns the paths along which objects, each moved by its shift, come
// together: from near each object's top and bottom to the object that it meets
// there: the next one below it in the stack, or above it for the lowest one.
func (s *Scene) Paths(shifts []mgl64.Vec3) []Path {
	var paths []Path
	order := s.stackOrder()
	for k, i := range order {
		below, downward := order[:k], true
		if k == 0 {
			below, downward = order[1:], false
		}
		for _, sign := range []float64{1, -1} {
			q := s.inset(s.spans[i], sign)
			if other, met := s.meeting(q, below, downward); other >= 0 {
				paths = append(paths, Path{From: q.Add(shifts[i]), To: met.Add(shifts[other])})
			}
		}
	}
	return paths
}

// Top returns the most superior point of an object.
func (s *Scene) Top(object int) mgl64.Vec3 { return s.extremeAlong(s.spans[object], 1) }

// inset returns a point within an object near its top (sign 1) or bottom
// (sign −1), so that a line along z through it meets what lies above or below.
func (s *Scene) inset(part span, sign float64) mgl64.Vec3 {
	const within = 2.5 // mm from the extreme point
	extreme := s.extremeAlong(part, sign)
	var sum mgl64.Vec3
	count := 0.0
	for _, q := range s.points[part.first:part.last] {
		if q.Sub(extreme).Len() <= within {
			sum = sum.Add(q)
			count++
		}
	}
	return sum.Mul(1 / count)
}

// meeting finds where the line along z through q first meets one of the given
// objects, nearest to q's own height: the object, −1 for none, and the point.
func (s *Scene) meeting(q mgl64.Vec3, objects []int, downward bool) (int, mgl64.Vec3) {
	candidate := make([]bool, len(s.spans))
	for _, i := range objects {
		candidate[i] = true
	}
	found, met, nearest := -1, mgl64.Vec3{}, math.Inf(1)
	for k, t := range s.faces {
		owner := s.owners[k]
		// The face that looks at q: up where the line runs down.
		if !candidate[owner] || (s.flat[k][2] > 0) != downward {
			continue
		}
		z, inside := heightIn(q, s.points[t[0]], s.points[t[1]], s.points[t[2]])
		if away := math.Abs(z - q[2]); inside && away < nearest {
			found, met, nearest = int(owner), mgl64.Vec3{q[0], q[1], z}, away
		}
	}
	return found, met
}

// heightIn returns z of the triangle abc at q's x and y, and whether it covers them.
func heightIn(q, a, b, c mgl64.Vec3) (float64, bool) {
	twice := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	if twice == 0 {
		return 0, false
	}
	shareB := ((q[0]-a[0])*(c[1]-a[1]) - (q[1]-a[1])*(c[0]-a[0])) / twice
	shareC := ((b[0]-a[0])*(q[1]-a[1]) - (b[1]-a[1])*(q[0]-a[0])) / twice
	if shareB < 0 || shareC < 0 || shareB+shareC > 1 {
		return 0, false
	}
	return a[2] + shareB*(b[2]-a[2]) + shareC*(c[2]-a[2]), true
}

// extremeAlong returns an object's most superior point (sign 1) or most
// inferior one (sign −1).
func (s *Scene) extremeAlong(part span, sign float64) mgl64.Vec3 {
	best := s.points[part.first]
	for _, q := range s.points[part.first:part.last] {
		if sign*q[1] > sign*best[1] {
			best = q
		}
	}
	return best
}
