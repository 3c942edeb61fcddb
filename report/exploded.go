package report

import (
	"image/color"
	"math"
	"sort"
	"strconv"

	"github.com/go-gl/mathgl/mgl64"
)

// clearance is how many millimetres units moved apart keep between them, on the
// page and along the axis.
const clearance = 4.0

// stackOrder lists the objects from the lowest to the most lateral.
func (s *scene) stackOrder() []int {
	order := make([]int, len(s.spans))
	for i := range order {
		order[i] = i
	}
	middle := func(i int) float64 { return s.spans[i].lo[2] + s.spans[i].hi[2] }
	sort.SliceStable(order, func(a, b int) bool { return middle(order[a]) < middle(order[b]) })
	return order
}

// moveApart returns each object's shift along z: in stacking order, far enough
// that seen from the camera no object covers one it would otherwise lie on.
func (s *scene) moveApart(c camera) []mgl64.Vec3 {
	shifts := make([]mgl64.Vec3, len(s.spans))
	perMillimetre := c.see(lateral)[0] // page millimetres to the right
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
		shifts[i] = lateral.Mul(travel)
		end = max(end, to+travel*math.Abs(perMillimetre))
	}
	return shifts
}

// place returns where on the page a point of the scene falls.
func (v view) place(f framing, p mgl64.Vec3) point {
	seen := v.camera.see(p)
	return point{viewLeft + (f.originX+f.scale*seen[0])/samples, viewTop + (f.originY-f.scale*seen[1])/samples}
}

// guides draws the paths along which the units come together, from near each
// unit's top and bottom to the unit that it meets there: the next one below it
// in the stack, or above it for the lowest unit. Surfaces in front hide them.
func (p *page) guides(s *scene, v view, f framing, sheet *plate) {
	order := s.stackOrder()
	for k, i := range order {
		below, downward := order[:k], true
		if k == 0 {
			below, downward = order[1:], false
		}
		for _, sign := range []float64{1, -1} {
			q := s.inset(s.spans[i], sign)
			other, met := s.meeting(q, below, downward)
			if other < 0 {
				continue
			}
			from, to := q.Add(v.shifts[i]), met.Add(v.shifts[other])
			p.guide(v, f, sheet, from, to)
		}
	}
}

// guide draws one dashed path with a dot at its end, as far as it is seen.
func (p *page) guide(v view, f framing, sheet *plate, from, to mgl64.Vec3) {
	const dash, period = 7.0, 12.0 // pixels
	tint := mix(softInk, ink, 0.3)
	a, b := v.place(f, from), v.place(f, to)
	length := math.Hypot(b[0]-a[0], b[1]-a[1])
	for start := 0.0; start < length; start += period {
		end := min(length, start+dash)
		along := func(d float64) mgl64.Vec3 { return from.Add(to.Sub(from).Mul(d / length)) }
		if sheet.sees(f, v.camera.see(along((start+end)/2))) {
			p.stroke([]point{v.place(f, along(start)), v.place(f, along(end))}, false, 1.4, tint)
		}
	}
	if sheet.sees(f, v.camera.see(to)) {
		p.fill([][]point{disc(b, 3.2)}, tint)
	}
}

// sees reports whether nothing on the plate hides a point given in camera axes.
func (p *plate) sees(f framing, seen mgl64.Vec3) bool {
	x := int(math.Round(f.originX + f.scale*seen[0]))
	y := int(math.Round(f.originY - f.scale*seen[1]))
	if x < 0 || y < 0 || x >= p.width || y >= p.height {
		return true
	}
	const skin = 0.3 // mm; a point on the surface itself is seen
	return p.face[y*p.width+x] == noFace || float64(p.depth[y*p.width+x]) < seen[2]+skin
}

// inset returns a point within an object near its top (sign 1) or bottom
// (sign −1), so that a line along z through it meets what lies above or below.
func (s *scene) inset(part span, sign float64) mgl64.Vec3 {
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
func (s *scene) meeting(q mgl64.Vec3, objects []int, downward bool) (int, mgl64.Vec3) {
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
func (s *scene) extremeAlong(part span, sign float64) mgl64.Vec3 {
	best := s.points[part.first]
	for _, q := range s.points[part.first:part.last] {
		if sign*q[1] > sign*best[1] {
			best = q
		}
	}
	return best
}

// numbers sets each unit's number, as in the legend, above it.
func (p *page) numbers(s *scene, v view, f framing, colors []color.RGBA) {
	for i, part := range s.spans {
		top := v.place(f, s.extremeAlong(part, 1).Add(v.shifts[i]))
		centre := point{top[0], top[1] - 22}
		p.fill([][]point{disc(centre, 13)}, lighten(colors[i]))
		p.text(centre[0], centre[1]+5.5, strconv.Itoa(i+1), style{size: 15, bold: true}, contrast(lighten(colors[i])), 0.5)
	}
}
