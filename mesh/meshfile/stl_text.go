package meshfile

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"earframe/mesh"
	"earframe/mesh/internal/places"

	"github.com/go-gl/mathgl/mgl64"
)

// stlWords reads the text form of STL: words apart by any white space, in any case,
// names to the end of their line. Normals are passed over: the corners' order says
// the same.
type stlWords struct {
	rest []byte
	line int // of the word last read, from 1
}

// readSTLText reads the solids of a text file one after another.
func readSTLText(text []byte) ([]Object, error) {
	r := &stlWords{rest: text, line: 1}
	var objects []Object
	for len(objects) == 0 || len(bytes.Trim(r.rest, " \t\r\n\x00\x1a")) > 0 {
		object, err := r.solid()
		if err != nil {
			return nil, fmt.Errorf("STL text, line %d: %w", r.line, err)
		}
		objects = append(objects, object)
	}
	return objects, nil
}

// solid reads one solid from its first line to its last.
func (r *stlWords) solid() (Object, error) {
	if _, err := r.expect("solid"); err != nil {
		return Object{}, err
	}
	object := Object{Name: strings.ToValidUTF8(strings.TrimSpace(string(r.toLineEnd())), "?")}
	index := places.NewIndex(0)
	var triangles [][3]int32
	for {
		word, err := r.expect("facet", "endsolid")
		if err != nil {
			return Object{}, err
		}
		if word == "endsolid" {
			r.toLineEnd()
			object.Mesh = &mesh.Mesh{Vertices: index.Points, Triangles: triangles}
			return object, nil
		}
		triangle, err := r.facet(index)
		if err != nil {
			return Object{}, err
		}
		triangles = append(triangles, triangle)
	}
}

// facet reads what follows the word facet.
func (r *stlWords) facet(index *places.Index) (triangle [3]int32, err error) {
	if _, err := r.expect("normal"); err != nil {
		return triangle, err
	}
	for range 3 {
		r.word()
	}
	for _, word := range []string{"outer", "loop"} {
		if _, err := r.expect(word); err != nil {
			return triangle, err
		}
	}
	for k := range triangle {
		if _, err := r.expect("vertex"); err != nil {
			return triangle, err
		}
		var at mgl64.Vec3
		for axis := range at {
			if at[axis], err = r.number(); err != nil {
				return triangle, err
			}
		}
		triangle[k], _ = index.Add(at)
	}
	for _, word := range []string{"endloop", "endfacet"} {
		if _, err := r.expect(word); err != nil {
			return triangle, err
		}
	}
	return triangle, nil
}

// word returns the next word, empty at the end of the text.
func (r *stlWords) word() []byte {
	for i, c := range r.rest {
		switch c {
		case '\n':
			r.line++
		case ' ', '\t', '\r':
		default:
			r.rest = r.rest[i:]
			end := bytes.IndexAny(r.rest[:min(len(r.rest), longestSTLWord)], " \t\r\n")
			if end < 0 {
				end = min(len(r.rest), longestSTLWord)
			}
			word := r.rest[:end]
			r.rest = r.rest[end:]
			return word
		}
	}
	r.rest = nil
	return nil
}

// longestSTLWord is longer than any number that a program writes.
const longestSTLWord = 128

// toLineEnd returns what is left of the line.
func (r *stlWords) toLineEnd() []byte {
	line := r.rest
	if end := bytes.IndexByte(r.rest, '\n'); end >= 0 {
		line = r.rest[:end]
	}
	r.rest = r.rest[len(line):]
	return line
}

// expect reads a word that has to be one of those, and returns which.
func (r *stlWords) expect(words ...string) (string, error) {
	found := r.word()
	for _, word := range words {
		if len(found) == len(word) && strings.EqualFold(string(found), word) {
			return word, nil
		}
	}
	if len(found) == 0 {
		return "", fmt.Errorf("the text ends where %q was expected", strings.Join(words, " or "))
	}
	return "", fmt.Errorf("found %q where %q was expected", found, strings.Join(words, " or "))
}

// number reads a coordinate, rounded to single precision.
func (r *stlWords) number() (float64, error) {
	found := r.word()
	if len(found) == 0 {
		return 0, fmt.Errorf("the text ends where a number was expected")
	}
	x, err := strconv.ParseFloat(string(found), 32)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("found %q where a number was expected, finite in single precision, with a decimal point", found)
	}
	return x + 0, nil // -0 is 0
}
