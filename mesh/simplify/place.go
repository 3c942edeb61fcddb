package simplify

import "math"

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

func (m *symmetric) addOuter(v vector) {
	m[0] += v.x * v.x
	m[1] += v.x * v.y
	m[2] += v.x * v.z
	m[3] += v.y * v.y
	m[4] += v.y * v.z
	m[5] += v.z * v.z
}

func (m *symmetric) times(v vector) vector {
	return vector{
		m[0]*v.x + m[1]*v.y + m[2]*v.z,
		m[1]*v.x + m[3]*v.y + m[4]*v.z,
		m[2]*v.x + m[4]*v.y + m[5]*v.z,
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
	gradient vector
	volume   float64
	matrix   symmetric
	right    vector
	constant float64
	weight   float64
}

func (v *volumes) add(area, on vector, size float64) {
	d := area.dot(on)
	v.gradient = v.gradient.add(area)
	v.volume += d
	v.matrix.addOuter(area)
	v.right = v.right.add(area.times(d))
	v.constant += d * d
	v.weight += size * size
}

// spread returns the root of the mean squared distance of x from the triangles'
// planes, larger triangles counting more, mm.
func (v *volumes) spread(x vector) float64 {
	square := x.dot(v.matrix.times(x)) - 2*x.dot(v.right) + v.constant
	return math.Sqrt(max(square, 0) / v.weight)
}

// freely returns the best place for a vertex that lies in no held plane.
func (v *volumes) freely() vector {
	m := v.matrix
	pull := towardsMiddle * v.weight
	m[0] += pull
	m[3] += pull
	m[5] += pull
	inverse := m.inverse()
	x, lever := inverse.times(v.right), inverse.times(v.gradient)
	return x.add(lever.times((v.volume - v.gradient.dot(x)) / v.gradient.dot(lever)))
}

// inPlane returns the best place in the plane unit·x = offset.
func (v *volumes) inPlane(unit vector, offset float64) vector {
	base := unit.times(offset)
	if v.weight == 0 {
		return base
	}
	within := func(q vector) vector { return q.sub(unit.times(unit.dot(q))) }
	across, along := frame(unit)
	ma, mb := v.matrix.times(across), v.matrix.times(along)
	pull := towardsMiddle * v.weight
	aa, ab, bb := across.dot(ma)+pull, across.dot(mb), along.dot(mb)+pull
	determinant := aa*bb - ab*ab
	solve := func(q vector) vector {
		p, r := across.dot(q), along.dot(q)
		return across.times((bb*p - ab*r) / determinant).add(along.times((aa*r - ab*p) / determinant))
	}
	x := solve(v.right.sub(v.matrix.times(base)))
	gradient := within(v.gradient)
	if gradient.dot(gradient) > leastLever*v.weight {
		lever := solve(gradient)
		missing := v.volume - v.gradient.dot(base) - gradient.dot(x)
		x = x.add(lever.times(missing / gradient.dot(lever)))
	}
	return base.add(x)
}
