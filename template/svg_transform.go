package template

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// affine maps (x, y) to (a x + c y + e, b x + d y + f), the order in which SVG
// writes a matrix.
type affine struct{ a, b, c, d, e, f float64 }

func identity() affine { return affine{a: 1, d: 1} }

func scaling(x, y float64) affine { return affine{a: x, d: y} }

func translation(x, y float64) affine { return affine{1, 0, 0, 1, x, y} }

// rotation turns x towards y by the angle in radians.
func rotation(angle float64) affine {
	sin, cos := math.Sincos(angle)
	return affine{cos, sin, -sin, cos, 0, 0}
}

// of returns the map that applies n first and m after it.
func (m affine) of(n affine) affine {
	return affine{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

func (m affine) point(p mgl64.Vec2) mgl64.Vec2 {
	return mgl64.Vec2{m.a*p[0] + m.c*p[1] + m.e, m.b*p[0] + m.d*p[1] + m.f}
}

// vector maps a difference of points.
func (m affine) vector(p mgl64.Vec2) mgl64.Vec2 {
	return mgl64.Vec2{m.a*p[0] + m.c*p[1], m.b*p[0] + m.d*p[1]}
}

func (m affine) determinant() float64 { return m.a*m.d - m.b*m.c }

// inverse returns the map back; the determinant must not be 0.
func (m affine) inverse() affine {
	det := m.determinant()
	n := affine{a: m.d / det, b: -m.b / det, c: -m.c / det, d: m.a / det}
	back := n.vector(mgl64.Vec2{m.e, m.f})
	n.e, n.f = -back[0], -back[1]
	return n
}

// parseTransform reads a transform list: matrix, translate, scale, rotate,
// skewX and skewY (SVG 1.1, section 7.6). Angles are in degrees.
func parseTransform(text string) (affine, error) {
	m := identity()
	s := scanner{text: text}
	for !s.done() {
		open := strings.IndexByte(s.text[s.at:], '(')
		if open < 0 {
			return m, fmt.Errorf("transform: expected a function such as translate(1 2), found %s", s.rest())
		}
		name := strings.TrimSpace(s.text[s.at : s.at+open])
		s.at += open + 1
		end := strings.IndexByte(s.text[s.at:], ')')
		if end < 0 {
			return m, fmt.Errorf("transform: %s( is not closed", name)
		}
		arguments, err := numbers(s.text[s.at : s.at+end])
		if err != nil {
			return m, fmt.Errorf("transform: %s: %w", name, err)
		}
		step, err := transformStep(name, arguments)
		if err != nil {
			return m, err
		}
		m = m.of(step)
		s.at += end + 1
		s.skipComma()
	}
	return m, nil
}

func transformStep(name string, v []float64) (affine, error) {
	radians := func(i int) float64 { return mgl64.DegToRad(v[i]) }
	switch n := len(v); {
	case name == "matrix" && n == 6:
		return affine{v[0], v[1], v[2], v[3], v[4], v[5]}, nil
	case name == "translate" && n == 1:
		return translation(v[0], 0), nil
	case name == "translate" && n == 2:
		return translation(v[0], v[1]), nil
	case name == "scale" && n == 1:
		return scaling(v[0], v[0]), nil
	case name == "scale" && n == 2:
		return scaling(v[0], v[1]), nil
	case name == "rotate" && n == 1:
		return rotation(radians(0)), nil
	case name == "rotate" && n == 3:
		return translation(v[1], v[2]).of(rotation(radians(0))).of(translation(-v[1], -v[2])), nil
	case name == "skewX" && n == 1:
		return affine{a: 1, d: 1, c: math.Tan(radians(0))}, nil
	case name == "skewY" && n == 1:
		return affine{a: 1, d: 1, b: math.Tan(radians(0))}, nil
	}
	return identity(), fmt.Errorf("transform: %.20q with %d numbers is not one of matrix(6), translate(1–2), "+
		"scale(1–2), rotate(1 or 3), skewX(1), skewY(1)", name, len(v))
}
