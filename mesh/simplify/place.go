package simplify

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Where the vertex of a collapse goes: memoryless placement after Lindstrom and
// Turk ("Fast and memory efficient polygonal simplification", 1998). The new
// vertex keeps the volume; among the points that do, it has the least sum of
// squared volumes under the patch's triangles, which keeps sharp edges sharp;
// where the triangles leave a direction open, it stays near the middle.

// towardsMiddle is the weight of staying near the middle of the edge, as a share
// of the triangles' own. Faces that turn by θ weigh tan²(θ/2) across their
// common edge: at 50°, where edges begin to count as sharp, twenty times more.
const towardsMiddle = 0.01

// leastLever is the squared share of the volume gradient that must lie in a held
// plane for a vertex in that plane to be moved to keep the volume.
const leastLever = 1e-3

// symmetric is a symmetric 3 × 3 matrix: xx xy xz yy yz zz.
type symmetric [6]float64

func (m *symmetric) addOuter(v mgl64.Vec3, weight float64) {
	m[0] += weight * v[0] * v[0]
	m[1] += weight * v[0] * v[1]
	m[2] += weight * v[0] * v[2]
	m[3] += weight * v[1] * v[1]
	m[4] += weight * v[1] * v[2]
	m[5] += weight * v[2] * v[2]
}

func (m *symmetric) times(v mgl64.Vec3) mgl64.Vec3 {
	return mgl64.Vec3{
		m[0]*v[0] + m[1]*v[1] + m[2]*v[2],
		m[1]*v[0] + m[3]*v[1] + m[4]*v[2],
		m[2]*v[0] + m[4]*v[1] + m[5]*v[2],
	}
}

// inverse returns the inverse of a matrix that is well away from singular.
func (m *symmetric) inverse() symmetric {
	a, b, c := m[3]*m[5]-m[4]*m[4], m[2]*m[4]-m[1]*m[5], m[1]*m[4]-m[2]*m[3]
	scale := 1 / (m[0]*a + m[1]*b + m[2]*c)
	return symmetric{
		a * scale, b * scale, c * scale,
		(m[0]*m[5] - m[2]*m[2]) * scale, (m[1]*m[2] - m[0]*m[4]) * scale,
		(m[0]*m[3] - m[1]*m[1]) * scale,
	}
}

// volumes is what placement knows of a patch: the sums over its triangles of
// area vectors n, of n·q for a point q of each, of their squares, and of |n|².
type volumes struct {
	gradient mgl64.Vec3
	volume   float64
	matrix   symmetric
	right    mgl64.Vec3
	constant float64
	weight   float64
}

func (v *volumes) add(area, on mgl64.Vec3, size float64) {
	d := area.Dot(on)
	v.gradient = v.gradient.Add(area)
	v.volume += d
	v.matrix.addOuter(area, 1)
	v.right = v.right.Add(area.Mul(d))
	v.constant += d * d
	v.weight += size * size
}

// spread returns the root of the mean squared distance of x from the triangles'
// planes, larger triangles counting more, mm.
func (v *volumes) spread(x mgl64.Vec3) float64 {
	square := x.Dot(v.matrix.times(x)) - 2*x.Dot(v.right) + v.constant
	return math.Sqrt(max(square, 0) / v.weight)
}

// freely returns the best place for a vertex that lies in no held plane.
func (v *volumes) freely() mgl64.Vec3 {
	m := v.matrix
	pull := towardsMiddle * v.weight
	m[0] += pull
	m[3] += pull
	m[5] += pull
	inverse := m.inverse()
	x, lever := inverse.times(v.right), inverse.times(v.gradient)
	return x.Add(lever.Mul((v.volume - v.gradient.Dot(x)) / v.gradient.Dot(lever)))
}

// inPlane returns the best place in the plane unit·x = offset.
func (v *volumes) inPlane(unit mgl64.Vec3, offset float64) mgl64.Vec3 {
	base := unit.Mul(offset)
	if v.weight == 0 {
		return base
	}
	within := func(q mgl64.Vec3) mgl64.Vec3 { return q.Sub(unit.Mul(unit.Dot(q))) }
	across, along := frame(unit)
	ma, mb := v.matrix.times(across), v.matrix.times(along)
	pull := towardsMiddle * v.weight
	aa, ab, bb := across.Dot(ma)+pull, across.Dot(mb), along.Dot(mb)+pull
	determinant := aa*bb - ab*ab
	solve := func(q mgl64.Vec3) mgl64.Vec3 {
		p, r := across.Dot(q), along.Dot(q)
		return across.Mul((bb*p - ab*r) / determinant).Add(along.Mul((aa*r - ab*p) / determinant))
	}
	x := solve(v.right.Sub(v.matrix.times(base)))
	gradient := within(v.gradient)
	if gradient.Dot(gradient) > leastLever*v.weight {
		lever := solve(gradient)
		missing := v.volume - v.gradient.Dot(base) - gradient.Dot(x)
		x = x.Add(lever.Mul(missing / gradient.Dot(lever)))
	}
	return base.Add(x)
}
