package template

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// placing returns how the transform properties of an element move it, within a
// viewport of the size that percentages refer to: about its origin, first the
// property transform, then scale, rotate and translate (CSS Transforms Level 2,
// section 6). The origin is usually 0 0, for the root element the middle.
func (d *document) placing(e *element, size viewport, usualOrigin string) (affine, error) {
	style := d.styleOf(e)
	m, err := transformProperty(style["transform"], size)
	if err != nil {
		return m, err
	}
	for _, property := range []string{"scale", "rotate", "translate"} { // each outside the one before
		v := style[property]
		if v.plain("none") {
			continue
		}
		step, err := singleTransform(property, v.keyword(), size)
		if err != nil {
			return m, fmt.Errorf("%s: %w", property, err)
		}
		m = step.of(m)
	}
	if v := style["offset-path"]; !v.plain("none") {
		return m, errors.New("it is moved along an offset-path, which is not followed here")
	}
	if v := style["zoom"]; !v.plain("normal") && v.text != "1" && v.text != "100%" {
		return m, errors.New("it is enlarged by zoom, which is not followed here")
	}
	if m == identity() {
		return m, nil
	}
	if v := style["transform-box"]; !v.plain("view-box") {
		return m, fmt.Errorf("transform-box: %.20s is not followed here, only view-box, which is usual", v.text)
	}
	origin := style["transform-origin"]
	if origin.plain("") {
		origin = styleValue{text: usualOrigin, css: true}
	}
	x, y, err := transformOrigin(origin, size)
	if err != nil {
		return m, fmt.Errorf("transform-origin: %w", err)
	}
	return translation(x, y).of(m).of(translation(-x, -y)), nil
}

// transformProperty reads a transform as an attribute or as a style gives it.
func transformProperty(v styleValue, size viewport) (affine, error) {
	switch {
	case v.plain("none"):
		return identity(), nil
	case v.css:
		return parseStyleTransform(v.text, size)
	}
	return parseTransform(v.text)
}

// parseStyleTransform reads the transform of a style (CSS Transforms Level 1,
// section 9): lengths and angles with their units, commas between the arguments
// and none between the functions. What a function does in depth does not show.
func parseStyleTransform(text string, size viewport) (affine, error) {
	m := identity()
	for rest := strings.TrimSpace(text); rest != ""; rest = strings.TrimSpace(rest) {
		open := strings.IndexByte(rest, '(')
		if open < 0 {
			return m, fmt.Errorf("transform: expected a function such as translate(1mm, 2mm), found %.20q", rest)
		}
		name := strings.ToLower(rest[:open])
		end := strings.IndexByte(rest, ')')
		if end < open || strings.Contains(rest[open+1:end], "(") {
			return m, fmt.Errorf("transform: %.20s( is not closed, or has another function within it", name)
		}
		arguments := strings.Split(rest[open+1:end], ",")
		for i := range arguments {
			arguments[i] = strings.ToLower(strings.TrimSpace(arguments[i]))
		}
		step, err := styleStep(name, arguments, size)
		if err != nil {
			return m, fmt.Errorf("transform: %.20s: %w", name, err)
		}
		m, rest = m.of(step), rest[end+1:]
	}
	return m, nil
}

// styleStep returns what one function of a style's transform does.
func styleStep(name string, v []string, size viewport) (affine, error) {
	r := argumentReader{v: v, size: size}
	m := identity()
	switch name {
	case "matrix":
		r.count(6, 6)
		m = affine{r.number(0), r.number(1), r.number(2), r.number(3), r.number(4), r.number(5)}
	case "translate":
		r.count(1, 2)
		m = translation(r.length(0, 'x'), r.length(1, 'y'))
	case "translate3d":
		r.count(3, 3)
		m = translation(r.length(0, 'x'), r.length(1, 'y'))
	case "translatex":
		r.count(1, 1)
		m = translation(r.length(0, 'x'), 0)
	case "translatey":
		r.count(1, 1)
		m = translation(0, r.length(0, 'y'))
	case "scale":
		r.count(1, 2)
		m = scaling(r.number(0), r.number(len(v)-1))
	case "scale3d":
		r.count(3, 3)
		m = scaling(r.number(0), r.number(1))
	case "scalex":
		r.count(1, 1)
		m = scaling(r.number(0), 1)
	case "scaley":
		r.count(1, 1)
		m = scaling(1, r.number(0))
	case "rotate", "rotatez":
		r.count(1, 1)
		m = rotation(r.angle(0))
	case "skew":
		r.count(1, 2)
		m = affine{a: 1, d: 1, c: math.Tan(r.angle(0)), b: math.Tan(r.angle(1))}
	case "skewx":
		r.count(1, 1)
		m.c = math.Tan(r.angle(0))
	case "skewy":
		r.count(1, 1)
		m.b = math.Tan(r.angle(0))
	case "translatez", "scalez":
		r.count(1, 1)
	default:
		return m, errors.New("is not known here, or turns the drawing out of its plane")
	}
	return m, r.err
}

// singleTransform reads one of the properties translate, rotate and scale.
func singleTransform(property, text string, size viewport) (affine, error) {
	words := strings.Fields(text)
	r := argumentReader{v: words, size: size}
	m := identity()
	switch property {
	case "translate":
		r.count(1, 3)
		m = translation(r.length(0, 'x'), r.length(1, 'y'))
	case "scale":
		r.count(1, 3)
		m = scaling(r.number(0), r.number(min(1, len(words)-1)))
	case "rotate":
		if len(words) == 2 && words[0] == "z" {
			r.v = words[1:]
		}
		r.count(1, 1)
		m = rotation(r.angle(0))
	}
	return m, r.err
}

// transformOrigin returns the point that a transform leaves where it is.
func transformOrigin(v styleValue, size viewport) (x, y float64, err error) {
	words := strings.Fields(v.keyword())
	if len(words) > 2 {
		words = words[:2] // the third is the depth
	}
	if len(words) == 1 {
		words = append(words, "center")
	}
	upright := func(word string) bool { return word == "top" || word == "bottom" }
	level := func(word string) bool { return word == "left" || word == "right" }
	keyword := func(word string) bool { return upright(word) || level(word) || word == "center" }
	if (upright(words[0]) || level(words[1])) && keyword(words[0]) && keyword(words[1]) {
		words[0], words[1] = words[1], words[0]
	}
	if upright(words[0]) || level(words[1]) {
		return 0, 0, fmt.Errorf("%.30q is not a place", v.text)
	}
	for i, word := range words {
		switch word {
		case "left", "top":
			words[i] = "0%"
		case "center":
			words[i] = "50%"
		case "right", "bottom":
			words[i] = "100%"
		}
	}
	r := argumentReader{v: words, size: size, unitless: !v.css}
	x, y = r.length(0, 'x'), r.length(1, 'y')
	return x, y, r.err
}

// argumentReader reads the arguments of a function and keeps the first error.
type argumentReader struct {
	v        []string
	size     viewport
	unitless bool // lengths need no unit, as in attributes
	err      error
}

// count asks for a number of arguments.
func (r *argumentReader) count(least, most int) {
	if n := len(r.v); n < least || n > most {
		r.err = fmt.Errorf("has %d arguments, expected %d to %d, with commas between them", n, least, most)
	}
}

// split returns the number that argument i begins with and its unit; 0 without
// one for an argument that is not there.
func (r *argumentReader) split(i int) (value float64, unit string) {
	if r.err != nil || i >= len(r.v) {
		return 0, ""
	}
	s := scanner{text: r.v[i]}
	value, err := s.number()
	if err != nil {
		r.err = err
	}
	return value, s.text[s.at:]
}

func (r *argumentReader) fault(i int, expected string) {
	if r.err == nil {
		r.err = fmt.Errorf("found %.20q, expected %s", r.v[i], expected)
	}
}

// number reads a number, or a percentage of 1.
func (r *argumentReader) number(i int) float64 {
	value, unit := r.split(i)
	switch unit {
	case "":
	case "%":
		value /= 100
	default:
		r.fault(i, "a number")
	}
	return value
}

// length reads a length, in user units.
func (r *argumentReader) length(i int, axis byte) float64 {
	value, unit := r.split(i)
	if unit == "" && (value == 0 || r.unitless) {
		return value
	}
	if unit == "%" {
		return value / 100 * r.size.along(axis)
	}
	pixels, known := length{value, unit}.pixels()
	if unit == "" || !known {
		r.fault(i, "a length with its unit: px, mm, cm, in, pt, pc or %")
	}
	return pixels
}

// angle reads an angle, in radians.
func (r *argumentReader) angle(i int) float64 {
	value, unit := r.split(i)
	switch unit {
	case "deg":
		return value * math.Pi / 180
	case "grad":
		return value * math.Pi / 200
	case "turn":
		return value * 2 * math.Pi
	case "rad":
		return value
	}
	if value != 0 || unit != "" {
		r.fault(i, "an angle with its unit: deg, rad, grad or turn")
	}
	return value
}
