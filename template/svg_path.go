package template

import (
	"fmt"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// pathReader reads path data (SVG 1.1, section 8.3).
type pathReader struct {
	scanner
	paths   []subpath
	current mgl64.Vec2
	control mgl64.Vec2 // last control point, for the smooth curves
	last    byte       // last command, upper case
	count   int
}

// parsePath reads path data into its subpaths. Data with an error is refused
// whole: half an outline is no outline.
func parsePath(data string) ([]subpath, error) {
	r := &pathReader{scanner: scanner{text: data}}
	for !r.done() {
		command := r.text[r.at]
		if strings.IndexByte("MmLlHhVvCcSsQqTtAaZz", command) < 0 {
			return nil, fmt.Errorf("path data: expected a command, found %s", r.rest())
		}
		if len(r.paths) == 0 && command|0x20 != 'm' {
			return nil, fmt.Errorf("path data begins with %c, expected M", command)
		}
		r.at++
		if err := r.run(command); err != nil {
			return nil, fmt.Errorf("path data, command %c: %w", command, err)
		}
	}
	return r.paths, nil
}

// run does a command with all the argument sets that follow it.
func (r *pathReader) run(command byte) error {
	relative := command >= 'a'
	upper := command &^ 0x20
	if upper == 'Z' {
		r.close()
		return nil
	}
	for first := true; first || r.more(); first = false {
		if r.count++; r.count > maxSegments {
			return fmt.Errorf("more than %d pieces", maxSegments)
		}
		if err := r.one(upper, relative); err != nil {
			return err
		}
		r.last = upper
		if upper == 'M' {
			upper = 'L' // further pairs are lines
		}
		r.skipComma()
	}
	return nil
}

// more reports whether another argument set follows.
func (r *pathReader) more() bool {
	r.skipSpace()
	return r.at < len(r.text) && strings.IndexByte("0123456789+-.", r.text[r.at]) >= 0
}

func (r *pathReader) close() {
	p := &r.paths[len(r.paths)-1]
	if p.end() != p.start {
		p.segments = append(p.segments, line(p.end(), p.start))
	}
	p.closed = true
	r.current, r.last = p.start, 'Z'
}

// add appends a segment; after a close it begins a subpath where that began.
func (r *pathReader) add(s segment) {
	p := &r.paths[len(r.paths)-1]
	if p.closed {
		r.paths = append(r.paths, subpath{start: r.current})
		p = &r.paths[len(r.paths)-1]
	}
	p.segments = append(p.segments, s)
	r.current = s.end()
}

// points reads n points into a fixed array.
func (r *pathReader) points(n int, relative bool) (p [3]mgl64.Vec2, err error) {
	for i := range n {
		for k := range 2 {
			if i+k > 0 {
				r.skipComma()
			}
			if p[i][k], err = r.number(); err != nil {
				return p, err
			}
		}
		if relative {
			p[i] = p[i].Add(r.current)
		}
	}
	return p, nil
}

// one does a command once.
func (r *pathReader) one(command byte, relative bool) error {
	switch command {
	case 'H', 'V':
		return r.straight(command, relative)
	case 'A':
		return r.arc(relative)
	}
	needed := 1
	switch command {
	case 'S', 'Q':
		needed = 2
	case 'C':
		needed = 3
	}
	p, err := r.points(needed, relative)
	if err != nil {
		return err
	}
	mirrored := func(family string) mgl64.Vec2 {
		if r.last != 0 && strings.IndexByte(family, r.last) >= 0 {
			return r.current.Mul(2).Sub(r.control)
		}
		return r.current
	}
	from := r.current
	switch command {
	case 'M':
		r.current = p[0]
		r.paths = append(r.paths, subpath{start: p[0]})
	case 'L':
		r.add(line(from, p[0]))
	case 'C':
		r.control = p[1]
		r.add(cubic(from, p[0], p[1], p[2]))
	case 'S':
		first := mirrored("CS")
		r.control = p[0]
		r.add(cubic(from, first, p[0], p[1]))
	case 'Q':
		r.control = p[0]
		r.add(quadratic(from, p[0], p[1]))
	case 'T':
		r.control = mirrored("QT")
		r.add(quadratic(from, r.control, p[0]))
	}
	return nil
}

func (r *pathReader) straight(command byte, relative bool) error {
	v, err := r.number()
	if err != nil {
		return err
	}
	axis := 0
	if command == 'V' {
		axis = 1
	}
	to := r.current
	if relative {
		v += to[axis]
	}
	to[axis] = v
	r.add(line(r.current, to))
	return nil
}

func (r *pathReader) arc(relative bool) error {
	var v [3]float64
	for i := range v {
		var err error
		if v[i], err = r.number(); err != nil {
			return err
		}
		r.skipComma()
	}
	large, err := r.flag()
	if err != nil {
		return err
	}
	sweep, err := r.flag()
	if err != nil {
		return err
	}
	p, err := r.points(1, relative)
	if err != nil {
		return err
	}
	if s, ok := arc(r.current, p[0], mgl64.Vec2{v[0], v[1]}, mgl64.DegToRad(v[2]), large, sweep); ok {
		r.add(s)
	}
	return nil
}

// flag reads a 0 or 1, which needs no separator after it.
func (r *pathReader) flag() (bool, error) {
	r.skipSpace()
	if r.at >= len(r.text) || r.text[r.at] != '0' && r.text[r.at] != '1' {
		return false, fmt.Errorf("expected a flag 0 or 1, found %s", r.rest())
	}
	set := r.text[r.at] == '1'
	r.at++
	r.skipComma()
	return set, nil
}
