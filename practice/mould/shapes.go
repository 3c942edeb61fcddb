package mould

import (
	"math"
	"slices"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// taper is a solid round bar along z whose radius runs evenly from one end to
// the other: a key's peg, a vent, the mouth of a funnel. It is the exact
// distance: in the plane through the axis the nearest of the two ends and the
// slanted side.
type taper struct {
	axis         mgl64.Vec2
	low, high    float64 // of its ends, mm
	radiusLow    float64
	radiusHigh   float64
	slope        mgl64.Vec2 // along the side, unit: outward, upward
	sideLength   float64
	bounds       field.Box
	levelsOfEnds []float64
}

func newTaper(axis mgl64.Vec2, low, high, radiusLow, radiusHigh float64) *taper {
	along := mgl64.Vec2{radiusHigh - radiusLow, high - low}
	widest := math.Max(radiusLow, radiusHigh)
	return &taper{
		axis: axis, low: low, high: high, radiusLow: radiusLow, radiusHigh: radiusHigh,
		slope: along.Normalize(), sideLength: along.Len(),
		bounds: field.Box{
			Min: mgl64.Vec3{axis[0] - widest, axis[1] - widest, low},
			Max: mgl64.Vec3{axis[0] + widest, axis[1] + widest, high},
		},
		levelsOfEnds: []float64{low, high},
	}
}

// volume returns the frustum's volume, mm³.
func (t *taper) volume() float64 {
	a, b := t.radiusLow, t.radiusHigh
	return math.Pi / 3 * (t.high - t.low) * (a*a + a*b + b*b)
}

func (t *taper) Bounds() field.Box  { return t.bounds }
func (t *taper) Lipschitz() float64 { return 1 }
func (t *taper) Levels() []float64  { return slices.Clone(t.levelsOfEnds) }

// Range takes what follows from the distance of the box's middle, and where the
// box lies beyond the bar's bounds, how far.
func (t *taper) Range(box field.Box) (lo, hi float64) {
	middle, reach := box.Centre(), box.HalfDiagonal()
	d := t.distance(mgl64.Vec2{middle.Vec2().Sub(t.axis).Len(), middle[2]})
	var apart mgl64.Vec3
	for k := range apart {
		apart[k] = math.Max(math.Max(box.Min[k]-t.bounds.Max[k], t.bounds.Min[k]-box.Max[k]), 0)
	}
	lo, hi = d-reach, d+reach
	if beyond := apart.Len(); beyond > 0 {
		lo = math.Max(lo, beyond)
	}
	return lo, hi
}

func (t *taper) Distances(points []mgl64.Vec3, out []float64) {
	var r float64
	for i, p := range points {
		if i == 0 || p[0] != points[i-1][0] || p[1] != points[i-1][1] {
			r = p.Vec2().Sub(t.axis).Len()
		}
		out[i] = t.distance(mgl64.Vec2{r, p[2]})
	}
}

// distance is section without the gradient: most of what a contour asks for is
// the distance alone.
func (t *taper) distance(q mgl64.Vec2) float64 {
	r, z := q[0]-t.radiusLow, q[1]-t.low
	side := r*t.slope[1] - z*t.slope[0]
	above, below := q[1]-t.high, t.low-q[1]
	if side <= 0 && above <= 0 && below <= 0 {
		return max(side, above, below)
	}
	along := min(max(r*t.slope[0]+z*t.slope[1], 0), t.sideLength)
	x, y := r-along*t.slope[0], z-along*t.slope[1]
	nearest := x*x + y*y
	for _, end := range [2]struct{ off, radius float64 }{{below, t.radiusLow}, {above, t.radiusHigh}} {
		x := max(q[0]-end.radius, 0)
		nearest = min(nearest, x*x+end.off*end.off)
	}
	return math.Sqrt(nearest)
}

func (t *taper) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		out[i], gradient[i] = t.at(p)
	}
}

// at returns the signed distance and its gradient.
func (t *taper) at(p mgl64.Vec3) (float64, mgl64.Vec3) {
	outward := p.Vec2().Sub(t.axis)
	r := outward.Len()
	if r > 0 {
		outward = outward.Mul(1 / r)
	} else {
		outward = mgl64.Vec2{1, 0}
	}
	d, g := t.section(mgl64.Vec2{r, p[2]})
	return d, mgl64.Vec3{outward[0] * g[0], outward[1] * g[0], g[1]}
}

// section is at, in the half plane of radius and height.
func (t *taper) section(q mgl64.Vec2) (float64, mgl64.Vec2) {
	foot := mgl64.Vec2{t.radiusLow, t.low}
	along := q.Sub(foot).Dot(t.slope)
	normal := mgl64.Vec2{t.slope[1], -t.slope[0]}
	side := q.Sub(foot).Dot(normal)
	above, below := q[1]-t.high, t.low-q[1]
	if side <= 0 && above <= 0 && below <= 0 { // inside: the nearest face
		switch {
		case side >= above && side >= below:
			return side, normal
		case above >= below:
			return above, mgl64.Vec2{0, 1}
		default:
			return below, mgl64.Vec2{0, -1}
		}
	}
	nearest := foot.Add(t.slope.Mul(mgl64.Clamp(along, 0, t.sideLength)))
	for _, end := range [2]struct{ z, radius float64 }{{t.low, t.radiusLow}, {t.high, t.radiusHigh}} {
		on := mgl64.Vec2{math.Min(q[0], end.radius), end.z}
		if q.Sub(on).LenSqr() < q.Sub(nearest).LenSqr() {
			nearest = on
		}
	}
	away := q.Sub(nearest)
	length := away.Len()
	if length == 0 {
		return 0, normal
	}
	return length, away.Mul(1 / length)
}

// half is all that lies above a surface, or below it, within a box.
type half struct {
	surface field.Surface
	sign    float64 // +1: the solid is below the surface, -1: above it
	box     field.Box
}

func (h *half) Bounds() field.Box { return h.box }

func (h *half) Lipschitz() float64 { return math.Hypot(1, h.surface.Steepest()) }

func (h *half) Range(box field.Box) (lo, hi float64) {
	low, high := h.surface.Span(box.Min.Vec2(), box.Max.Vec2())
	lo, hi = box.Min[2]-high, box.Max[2]-low
	if h.sign < 0 {
		return -hi, -lo
	}
	return lo, hi
}

func (h *half) Distances(points []mgl64.Vec3, out []float64) {
	var z float64
	for i, p := range points {
		if i == 0 || p[0] != points[i-1][0] || p[1] != points[i-1][1] {
			z, _, _ = h.surface.Height(p[0], p[1])
		}
		out[i] = h.sign * (p[2] - z)
	}
}

func (h *half) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		z, sx, sy := h.surface.Height(p[0], p[1])
		out[i] = h.sign * (p[2] - z)
		gradient[i] = mgl64.Vec3{-sx, -sy, 1}.Mul(h.sign)
	}
}

func (h *half) Levels() []float64 {
	if z, ok := h.surface.(field.Level); ok {
		return []float64{float64(z)}
	}
	return nil
}
