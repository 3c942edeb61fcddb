package mould

import (
	"math"

	"earframe/field"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// placing says where a part lies in its mould: scaled about a point of its own,
// turned by half a turn about x if its flat face looked down, and moved.
type placing struct {
	from   mgl64.Vec3 // the point of the part that comes to lie at to, mm
	to     mgl64.Vec3
	scale  float64 // 1 / (1 - shrinkage)
	turned bool
}

// turn is the half turn about x, or nothing; it is its own inverse.
func (a placing) turn(p mgl64.Vec3) mgl64.Vec3 {
	if a.turned {
		return mgl64.Vec3{p[0], -p[1], -p[2]}
	}
	return p
}

// intoMould returns where a point of the part lies in the mould.
func (a placing) intoMould(p mgl64.Vec3) mgl64.Vec3 {
	return a.turn(p.Sub(a.from)).Mul(a.scale).Add(a.to)
}

// intoPart is the way back.
func (a placing) intoPart(p mgl64.Vec3) mgl64.Vec3 {
	return a.turn(p.Sub(a.to)).Mul(1 / a.scale).Add(a.from)
}

// mesh returns the mesh as it lies in the mould. The half turn is no mirroring:
// triangles stay wound outwards.
func (a placing) mesh(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: make([]mgl64.Vec3, len(m.Vertices)), Triangles: m.Triangles}
	for i, v := range m.Vertices {
		out.Vertices[i] = a.intoMould(v)
	}
	return out
}

// placed is a solid as it lies in the mould.
type placed struct {
	placing
	part field.Field
}

func (f *placed) Bounds() field.Box {
	box := f.part.Bounds()
	a, b := f.intoMould(box.Min), f.intoMould(box.Max)
	for k := range a {
		a[k], b[k] = math.Min(a[k], b[k]), math.Max(a[k], b[k])
	}
	return field.Box{Min: a, Max: b}
}

func (f *placed) Lipschitz() float64 { return f.part.Lipschitz() }

func (f *placed) Range(box field.Box) (lo, hi float64) {
	a, b := f.intoPart(box.Min), f.intoPart(box.Max)
	for k := range a {
		a[k], b[k] = math.Min(a[k], b[k]), math.Max(a[k], b[k])
	}
	lo, hi = f.part.Range(field.Box{Min: a, Max: b})
	return lo * f.scale, hi * f.scale
}

// inside is intoPart of many points, which most of a contour's time would go to.
func (f *placed) inside(points []mgl64.Vec3) []mgl64.Vec3 {
	moved := make([]mgl64.Vec3, len(points))
	inverse := 1 / f.scale
	for i, p := range points {
		x, y, z := (p[0]-f.to[0])*inverse, (p[1]-f.to[1])*inverse, (p[2]-f.to[2])*inverse
		if f.turned {
			y, z = -y, -z
		}
		moved[i] = mgl64.Vec3{x + f.from[0], y + f.from[1], z + f.from[2]}
	}
	return moved
}

func (f *placed) Distances(points []mgl64.Vec3, out []float64) {
	f.part.Distances(f.inside(points), out)
	for i := range points {
		out[i] *= f.scale
	}
}

func (f *placed) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	f.part.Gradients(f.inside(points), out, gradient)
	for i := range points {
		out[i] *= f.scale
		gradient[i] = f.turn(gradient[i])
	}
}

// Levels returns the part's level faces as they lie in the mould.
func (f *placed) Levels() []float64 {
	levels := f.part.Levels()
	out := make([]float64, len(levels))
	for i, z := range levels {
		out[i] = f.intoMould(mgl64.Vec3{0, 0, z})[2]
	}
	return out
}
