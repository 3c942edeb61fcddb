package field

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// blend is a union of two with a fillet along the seam.
type blend struct {
	a, b   Field
	radius float64
}

// Blend returns the union of the fields with the seams between them filled to a
// fillet about radius mm wide: the quadratic smooth minimum, folded over the
// fields in order. It adds material within radius of a seam only, at most
// radius/4 in depth. It panics on no fields; a radius of 0 is the plain union.
func Blend(radius float64, fields ...Field) Field {
	if radius == 0 {
		return Union(fields...)
	}
	joined := fields[0]
	for _, f := range fields[1:] {
		joined = &blend{joined, f, radius}
	}
	return joined
}

func (s *blend) Bounds() Box {
	return s.a.Bounds().Join(s.b.Bounds()).Grow(s.radius / 4 * s.Lipschitz())
}

func (s *blend) Lipschitz() float64 { return max(s.a.Lipschitz(), s.b.Lipschitz()) }

func (s *blend) Range(box Box) (lo, hi float64) {
	aLow, aHigh := s.a.Range(box)
	bLow, bHigh := s.b.Range(box)
	return min(aLow, bLow) - s.radius/4, min(aHigh, bHigh)
}

// share returns how far into the fillet the two distances are, 0 to 1.
func (s *blend) share(a, b float64) float64 {
	return max(s.radius-math.Abs(a-b), 0) / s.radius
}

// alone returns the field that is nearer than the other by more than the fillet at
// all of the points, so that the other does not matter there; nil if neither is.
func (s *blend) alone(points []mgl64.Vec3) Field {
	box := BoxOf(points)
	aLow, aHigh := s.a.Range(box)
	bLow, bHigh := s.b.Range(box)
	switch {
	case bLow > aHigh+s.radius+rangeSlack:
		return s.a
	case aLow > bHigh+s.radius+rangeSlack:
		return s.b
	}
	return nil
}

func (s *blend) Distances(points []mgl64.Vec3, out []float64) {
	if len(points) == 0 {
		return
	}
	if near := s.alone(points); near != nil {
		near.Distances(points, out)
		return
	}
	t := borrow(len(points))
	defer t.giveBack()
	s.a.Distances(points, out)
	s.b.Distances(points, t.distance)
	for i, b := range t.distance {
		h := s.share(out[i], b)
		out[i] = min(out[i], b) - h*h*s.radius/4
	}
}

func (s *blend) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	if len(points) == 0 {
		return
	}
	if near := s.alone(points); near != nil {
		near.Gradients(points, out, gradient)
		return
	}
	t := borrow(len(points))
	defer t.giveBack()
	s.a.Gradients(points, out, gradient)
	s.b.Gradients(points, t.distance, t.gradient)
	for i, b := range t.distance {
		a, h := out[i], s.share(out[i], b)
		ofB := h / 2 // the farther field's part in the gradient
		if b < a {
			ofB = 1 - ofB
		}
		out[i] = min(a, b) - h*h*s.radius/4
		gradient[i] = gradient[i].Mul(1 - ofB).Add(t.gradient[i].Mul(ofB))
	}
}

func (s *blend) Levels() []float64 { return levelsOf(s.a, s.b) }
