package crossing

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Two triangles of a sound mesh have in common what they share by index: no
// point, a vertex, or an edge. Anything more is a crossing. All tests below are
// signs of orient3d and orient2d, hence exact, and take closed triangles: to
// touch is to cross.

// Cross reports whether two triangles with area have more in common
// than the vertices they share.
func Cross(vertices []mgl64.Vec3, s, t [3]int32) bool {
	sharedS, sharedT, count := sharedCorners(s, t)
	switch count {
	case 0:
		return apartTrianglesMeet(vertices, s, t)
	case 1:
		// A common point besides the shared vertex v gives a common ray
		// from v; where it leaves the first of the two, through the side
		// opposite v, it is still in the other.
		a, b := &vertices[s[(sharedS[0]+1)%3]], &vertices[s[(sharedS[0]+2)%3]]
		c, d := &vertices[t[(sharedT[0]+1)%3]], &vertices[t[(sharedT[0]+2)%3]]
		v := &vertices[s[sharedS[0]]]
		signC, signD := orient3d(v, a, b, c), orient3d(v, a, b, d)
		if signC*signD > 0 {
			return false
		}
		signA, signB := orient3d(v, c, d, a), orient3d(v, c, d, b)
		if signA*signB > 0 {
			return false
		}
		return segmentMeetsTriangle(c, d, signC, signD, v, a, b) ||
			segmentMeetsTriangle(a, b, signA, signB, v, c, d)
	case 2:
		// Folded flat onto each other: in one plane and on the same side of
		// the shared edge.
		u, v := &vertices[s[sharedS[0]]], &vertices[s[sharedS[1]]]
		a, b := &vertices[s[3-sharedS[0]-sharedS[1]]], &vertices[t[3-sharedT[0]-sharedT[1]]]
		if orient3d(u, v, a, b) != 0 {
			return false
		}
		x, y := projection(projectionAxis(u, v, a))
		return orient2d(u, v, a, x, y)*orient2d(u, v, b, x, y) > 0
	}
	return true
}

// sharedCorners returns which corners of s and t are the same vertex.
func sharedCorners(s, t [3]int32) (inS, inT [3]int, count int) {
	for i, v := range s {
		for j, w := range t {
			if v == w {
				inS[count], inT[count] = i, j
				count++
				break
			}
		}
	}
	return inS, inT, count
}

// apartTrianglesMeet reports whether two triangles that share no vertex have a
// common point: then an edge of one meets the other.
func apartTrianglesMeet(vertices []mgl64.Vec3, s, t [3]int32) bool {
	corner := [2][3]*mgl64.Vec3{
		{&vertices[s[0]], &vertices[s[1]], &vertices[s[2]]},
		{&vertices[t[0]], &vertices[t[1]], &vertices[t[2]]},
	}
	var sign [2][3]int // of the corners against the other triangle's plane
	for i := range 2 {
		other := corner[1-i]
		for k, p := range corner[i] {
			sign[i][k] = orient3d(other[0], other[1], other[2], p)
		}
		if sign[i][0] != 0 && sign[i][0] == sign[i][1] && sign[i][1] == sign[i][2] {
			return false
		}
	}
	for i := range 2 {
		other := corner[1-i]
		for k := range 3 {
			next := (k + 1) % 3
			if segmentMeetsTriangle(corner[i][k], corner[i][next], sign[i][k], sign[i][next], other[0], other[1], other[2]) {
				return true
			}
		}
	}
	return false
}

// segmentMeetsTriangle reports whether the segment p q has a point in common
// with the triangle a b c, given the signs of p and q against its plane.
func segmentMeetsTriangle(p, q *mgl64.Vec3, signP, signQ int, a, b, c *mgl64.Vec3) bool {
	if signP*signQ > 0 {
		return false
	}
	if signP == 0 && signQ == 0 {
		return coplanarSegmentMeetsTriangle(p, q, a, b, c)
	}
	one, two := orient3d(p, q, a, b), orient3d(p, q, b, c)
	if one*two < 0 {
		return false
	}
	three := orient3d(p, q, c, a)
	return one*three >= 0 && two*three >= 0
}

// coplanarSegmentMeetsTriangle looks for a separating line: along a side of the
// triangle or along the segment, since the difference of the two sets has no
// other sides.
func coplanarSegmentMeetsTriangle(p, q, a, b, c *mgl64.Vec3) bool {
	x, y := projection(projectionAxis(a, b, c))
	turn := orient2d(a, b, c, x, y)
	side := [3]*mgl64.Vec3{a, b, c}
	for k := range 3 {
		from, to := side[k], side[(k+1)%3]
		if orient2d(from, to, p, x, y)*turn < 0 && orient2d(from, to, q, x, y)*turn < 0 {
			return false
		}
	}
	one, two, three := orient2d(p, q, a, x, y), orient2d(p, q, b, x, y), orient2d(p, q, c, x, y)
	return one == 0 || one != two || two != three
}

// projectionAxis returns an axis along which the triangle is seen with area, or
// -1 where its corners lie on one line: the axis nearest its normal, if sight
// along it is not spoilt by rounding.
func projectionAxis(a, b, c *mgl64.Vec3) int {
	u, v := b.Sub(*a), c.Sub(*a)
	normal := u.Cross(v)
	best := 0
	for k := 1; k < 3; k++ {
		if math.Abs(normal[k]) > math.Abs(normal[best]) {
			best = k
		}
	}
	for k := range 3 {
		axis := (best + k) % 3
		if x, y := projection(axis); orient2d(a, b, c, x, y) != 0 {
			return axis
		}
	}
	return -1
}

// projection returns the two axes that remain in sight along the given one.
func projection(axis int) (x, y int) { return (axis + 1) % 3, (axis + 2) % 3 }

// Usable reports whether the triangle names three different vertices with finite
// coordinates that do not lie on one line.
func Usable(vertices []mgl64.Vec3, t [3]int32) bool {
	for _, v := range t {
		if v < 0 || int(v) >= len(vertices) || !IsFinite(vertices[v]) {
			return false
		}
	}
	if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
		return false
	}
	return projectionAxis(&vertices[t[0]], &vertices[t[1]], &vertices[t[2]]) >= 0
}

// IsFinite reports whether no coordinate is infinite or not a number.
func IsFinite(v mgl64.Vec3) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
