package fixation

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// rod is a straight round bar between two points, with flat ends.
type rod struct {
	from, to, axis mgl64.Vec3
	radius         float64
}

func newRod(from, to mgl64.Vec3, radius float64) rod {
	return rod{from, to, to.Sub(from).Normalize(), radius}
}

// Bounds returns a box that holds both ends' discs.
func (r rod) Bounds() field.Box {
	box := field.Box{Min: r.from, Max: r.from}.Join(field.Box{Min: r.to, Max: r.to})
	for k, a := range r.axis {
		reach := r.radius * math.Sqrt(math.Max(0, 1-a*a))
		box.Min[k] -= reach
		box.Max[k] += reach
	}
	return box
}

// Lipschitz returns 1: it is the exact distance.
func (r rod) Lipschitz() float64 { return 1 }

// Levels returns nil: both ends lie outside what the bar is taken away from.
func (r rod) Levels() []float64 { return nil }

// Range is what the distance at the box's middle allows.
func (r rod) Range(box field.Box) (lo, hi float64) {
	d, _ := r.at(box.Centre())
	return d - box.HalfDiagonal(), d + box.HalfDiagonal()
}

// at returns the exact distance and its gradient.
func (r rod) at(p mgl64.Vec3) (float64, mgl64.Vec3) {
	along := p.Sub(r.from).Dot(r.axis)
	aside := p.Sub(r.from).Sub(r.axis.Mul(along))
	out := aside.Len()
	side := mgl64.Vec3{}
	if out > 0 {
		side = aside.Mul(1 / out)
	}
	past, end := -along, r.axis.Mul(-1)
	if beyond := along - r.to.Sub(r.from).Len(); beyond > past {
		past, end = beyond, r.axis
	}
	wall := out - r.radius
	switch {
	case past > 0 && wall > 0:
		d := math.Hypot(past, wall)
		return d, end.Mul(past / d).Add(side.Mul(wall / d))
	case past > wall:
		return past, end
	default:
		return wall, side
	}
}

// Distances writes the exact distances.
func (r rod) Distances(points []mgl64.Vec3, out []float64) {
	for i, p := range points {
		out[i], _ = r.at(p)
	}
}

// Gradients writes the exact distances and their gradients.
func (r rod) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	for i, p := range points {
		out[i], gradient[i] = r.at(p)
	}
}

// holeBeyond is how far, in mm, a pilot hole is taken beyond both surfaces, so
// that no skin of material is left over its mouth on a slope.
const holeBeyond = 0.5

// Holes returns the pilot holes through the named unit, to be taken away from
// its solid: straight round holes along the wires, a little beyond both units.
// It is empty if no pilot holes are asked for.
func (p *Plan) Holes(unit string) []field.Field {
	if p.HoleMM <= 0 {
		return nil
	}
	var holes []field.Field
	for i := range p.Points {
		q := &p.Points[i]
		if q.Upper != unit && q.Lower != unit {
			continue
		}
		beyond := holeBeyond + p.HoleMM/2
		holes = append(holes, newRod(
			q.At.Sub(q.Direction.Mul(q.UpperMM+beyond)),
			q.At.Add(q.Direction.Mul(q.LowerMM+beyond)), p.HoleMM/2))
	}
	return holes
}
