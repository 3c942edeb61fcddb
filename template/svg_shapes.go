package template

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// isShape reports whether an element draws an outline by itself.
func isShape(name string) bool {
	switch name {
	case "path", "rect", "circle", "ellipse", "line", "polyline", "polygon":
		return true
	}
	return false
}

// viewport is the size that percentages refer to, in user units.
type viewport struct{ width, height float64 }

// along returns what a percentage of a length along x, y or neither means (SVG
// 1.1, section 7.10).
func (v viewport) along(axis byte) float64 {
	switch axis {
	case 'x':
		return v.width
	case 'y':
		return v.height
	}
	return math.Hypot(v.width, v.height) / math.Sqrt2
}

// geometry reads the shape an element draws, in its own user units.
func (e *element) geometry(v viewport) ([]subpath, error) {
	r := lengthReader{element: e, viewport: v}
	var paths []subpath
	switch e.name {
	case "path":
		if v := e.style["d"]; !v.plain("none") {
			return nil, errors.New("its path is given by a style (d: …), which is not read here")
		}
		return parsePath(e.values["d"])
	case "polygon", "polyline":
		return parsePoints(e.values["points"], e.name == "polygon")
	case "line":
		a := mgl64.Vec2{r.get("x1", 'x'), r.get("y1", 'y')}
		b := mgl64.Vec2{r.get("x2", 'x'), r.get("y2", 'y')}
		paths = []subpath{{start: a, segments: []segment{line(a, b)}}}
	case "circle":
		radius := r.get("r", ' ')
		paths = r.ellipse(radius, radius)
	case "ellipse":
		paths = r.ellipse(r.get("rx", 'x'), r.get("ry", 'y'))
	case "rect":
		paths = r.rectangle()
	}
	if r.err != nil {
		return nil, r.err
	}
	return paths, nil
}

// lengthReader reads lengths of an element and keeps the first error.
type lengthReader struct {
	*element
	viewport
	err error
}

func (r *lengthReader) get(name string, axis byte) float64 {
	text, given := r.values[name]
	v := r.style[name]
	if v.css && v.keyword() != "auto" {
		text, given = v.text, true
	}
	if !given || r.err != nil || strings.TrimSpace(text) == "auto" {
		return 0
	}
	l, err := parseLength(text)
	if err == nil && v.css && l.unit == "" && l.value != 0 {
		err = fmt.Errorf("%.20q has no unit, which a style needs", text)
	}
	if err != nil {
		r.err = fmt.Errorf("%s: %w", name, err)
		return 0
	}
	if l.unit == "%" {
		return l.value / 100 * r.along(axis)
	}
	pixels, ok := l.pixels()
	if !ok {
		r.err = fmt.Errorf("%s: the unit %s depends on the page around the drawing", name, l.unit)
	}
	return pixels
}

// sets reports whether the length is given at all.
func (r *lengthReader) sets(name string) bool {
	_, given := r.values[name]
	return given || r.style[name].css
}

func (r *lengthReader) ellipse(rx, ry float64) []subpath {
	centre := mgl64.Vec2{r.get("cx", 'x'), r.get("cy", 'y')}
	if rx < 0 || ry < 0 {
		r.err = errors.New("a radius is negative")
	}
	start := centre.Add(mgl64.Vec2{rx, 0})
	return []subpath{{start: start, closed: true, segments: []segment{{
		kind: arcSegment, p: [4]mgl64.Vec2{start, start},
		centre: centre, u: mgl64.Vec2{rx, 0}, v: mgl64.Vec2{0, ry}, to: 2 * math.Pi,
	}}}}
}

// rectangle reads a rect, its corners rounded as SVG 1.1, section 9.2 says.
func (r *lengthReader) rectangle() []subpath {
	x, y := r.get("x", 'x'), r.get("y", 'y')
	w, h := r.get("width", 'x'), r.get("height", 'y')
	rx, ry := r.get("rx", 'x'), r.get("ry", 'y')
	if !r.sets("rx") {
		rx = ry
	}
	if !r.sets("ry") {
		ry = rx
	}
	if r.err == nil && (w < 0 || h < 0 || rx < 0 || ry < 0) {
		r.err = errors.New("a size or radius is negative")
	}
	if r.err != nil {
		return nil
	}
	rx, ry = math.Min(rx, w/2), math.Min(ry, h/2)
	p := subpath{start: mgl64.Vec2{x + rx, y}, closed: true}
	to := func(x, y float64) { p.segments = append(p.segments, line(p.end(), mgl64.Vec2{x, y})) }
	round := func(x, y float64) {
		if s, ok := arc(p.end(), mgl64.Vec2{x, y}, mgl64.Vec2{rx, ry}, 0, false, true); ok {
			p.segments = append(p.segments, s)
		}
	}
	to(x+w-rx, y)
	round(x+w, y+ry)
	to(x+w, y+h-ry)
	round(x+w-rx, y+h)
	to(x+rx, y+h)
	round(x, y+h-ry)
	to(x, y+ry)
	round(x+rx, y)
	return []subpath{p}
}

func parsePoints(text string, closed bool) ([]subpath, error) {
	v, err := numbers(text)
	if err != nil {
		return nil, fmt.Errorf("points: %w", err)
	}
	if len(v)%2 != 0 {
		return nil, fmt.Errorf("points: %d numbers, expected pairs", len(v))
	}
	if len(v) == 0 {
		return nil, nil
	}
	p := subpath{start: mgl64.Vec2{v[0], v[1]}, closed: closed}
	for i := 2; i < len(v); i += 2 {
		p.segments = append(p.segments, line(p.end(), mgl64.Vec2{v[i], v[i+1]}))
	}
	if closed && p.end() != p.start {
		p.segments = append(p.segments, line(p.end(), p.start))
	}
	return []subpath{p}, nil
}
