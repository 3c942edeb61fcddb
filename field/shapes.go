package field

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// ball is a solid sphere.
type ball struct {
	centre mgl64.Vec3
	radius float64
}

// Ball returns the solid sphere about centre, mm.
func Ball(centre mgl64.Vec3, radius float64) Field { return ball{centre, radius} }

func (b ball) Bounds() Box        { return Box{b.centre, b.centre}.Grow(b.radius) }
func (b ball) Lipschitz() float64 { return 1 }

func (b ball) Levels() []float64 { return nil }

func (b ball) Range(box Box) (lo, hi float64) { return aroundMiddle(b, box) }

// aroundMiddle returns the interval that the value at the box's middle and the
// Lipschitz constant give.
func aroundMiddle(f Field, box Box) (lo, hi float64) {
	point, out := [1]mgl64.Vec3{box.Centre()}, [1]float64{}
	f.Distances(point[:], out[:])
	reach := f.Lipschitz() * box.HalfDiagonal()
	return out[0] - reach, out[0] + reach
}

func (b ball) Distances(points []mgl64.Vec3, out []float64) {
	for i, p := range points {
		out[i] = p.Sub(b.centre).Len() - b.radius
	}
}

func (b ball) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		out[i], gradient[i] = awayFrom(p, b.centre, b.radius)
	}
}

// awayFrom returns the distance of p from the sphere about c and the direction
// away from c; at c itself that is up.
func awayFrom(p, c mgl64.Vec3, radius float64) (float64, mgl64.Vec3) {
	v := p.Sub(c)
	length := v.Len()
	if length == 0 {
		return -radius, mgl64.Vec3{0, 0, 1}
	}
	return length - radius, v.Mul(1 / length)
}

// tube is a ring of round section in a level plane.
type tube struct {
	centre       mgl64.Vec3
	ring, radius float64
}

// Torus returns a round bar of the radius bent to a level ring, mm.
func Torus(centre mgl64.Vec3, ring, radius float64) Field { return tube{centre, ring, radius} }

func (t tube) Bounds() Box {
	r := t.ring + t.radius
	d := mgl64.Vec3{r, r, t.radius}
	return Box{t.centre.Sub(d), t.centre.Add(d)}
}

func (t tube) Lipschitz() float64 { return 1 }

func (t tube) Levels() []float64 { return nil }

func (t tube) Range(box Box) (lo, hi float64) { return aroundMiddle(t, box) }

// spine returns the point of the ring's centreline nearest to p.
func (t tube) spine(p mgl64.Vec3) mgl64.Vec3 {
	v := p.Sub(t.centre)
	length := math.Hypot(v[0], v[1])
	if length == 0 {
		return t.centre.Add(mgl64.Vec3{t.ring, 0, 0})
	}
	return t.centre.Add(mgl64.Vec3{v[0] / length * t.ring, v[1] / length * t.ring, 0})
}

func (t tube) Distances(points []mgl64.Vec3, out []float64) {
	for i, p := range points {
		out[i], _ = awayFrom(p, t.spine(p), t.radius)
	}
}

func (t tube) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		out[i], gradient[i] = awayFrom(p, t.spine(p), t.radius)
	}
}
