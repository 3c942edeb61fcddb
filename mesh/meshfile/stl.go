package meshfile

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"

	"earframe/mesh"
	"earframe/mesh/internal/places"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/hschendel/stl"
)

// STL as published by 3D Systems: an 80-byte header, the number of triangles,
// and 50 bytes for each: normal, three corners, attribute; little-endian single
// precision. It has no unit, no name, no colour; here it is millimetres, and
// the header says so.

// stlHeader does not begin with "solid", which some readers take for text.
const stlHeader = Application + " binary STL, unit: millimetre"

const (
	stlHeadBytes     = 84
	stlTriangleBytes = 50
)

// WriteSTL writes the mesh as binary STL. It is an error if a coordinate is not
// held exactly by single precision.
func WriteSTL(w io.Writer, m *mesh.Mesh) error {
	if err := checkStorable("STL", m); err != nil {
		return err
	}
	header := make([]byte, 80)
	copy(header, stlHeader)
	solid := stl.Solid{BinaryHeader: header, Triangles: make([]stl.Triangle, len(m.Triangles))}
	for i, t := range m.Triangles {
		out := &solid.Triangles[i]
		for k, v := range t {
			out.Vertices[k] = stlPoint(m.Vertices[v])
		}
		a := m.Vertices[t[0]]
		normal := m.Vertices[t[1]].Sub(a).Cross(m.Vertices[t[2]].Sub(a))
		if length := normal.Len(); length > 0 {
			out.Normal = stlPoint(normal.Mul(1 / length))
		}
	}
	buffered := bufio.NewWriterSize(w, 1<<16)
	if err := solid.WriteAll(buffered); err != nil {
		return err
	}
	return buffered.Flush()
}

// stlPoint rounds to single precision and writes zero without a sign.
func stlPoint(p mgl64.Vec3) stl.Vec3 {
	return stl.Vec3{float32(p[0]) + 0, float32(p[1]) + 0, float32(p[2]) + 0}
}

// ReadSTL returns the solid in a binary STL file, or the solids in a text one.
// A file is binary if its size is what its count of triangles says, whatever its
// header begins with. Corners at exactly equal places become one vertex.
func ReadSTL(data []byte) ([]Object, error) {
	if isBinarySTL(data) {
		object, err := readBinarySTL(data)
		if err != nil {
			return nil, err
		}
		return []Object{object}, nil
	}
	text := bytes.TrimPrefix(data, []byte(byteOrderMark))
	if isText(text) && isSTLWord(bytes.TrimLeft(text, " \t\r\n"), "solid") {
		return readSTLText(text)
	}
	if len(data) >= stlHeadBytes && !isText(data) {
		// A count that no file has is none.
		if needed := stlHeadBytes + stlTriangleBytes*int64(stlCount(data)); needed <= maxFileBytes {
			return nil, fmt.Errorf("not STL, or binary STL that is not whole: %d bytes, where its %d triangles need %d",
				len(data), stlCount(data), needed)
		}
	}
	return nil, fmt.Errorf("not an STL, 3MF or GLB file: %d bytes that begin with %q",
		len(data), data[:min(len(data), 16)])
}

func stlCount(data []byte) uint32 { return binary.LittleEndian.Uint32(data[stlHeadBytes-4:]) }

func isBinarySTL(data []byte) bool {
	return len(data) >= stlHeadBytes && int64(len(data)) == stlHeadBytes+stlTriangleBytes*int64(stlCount(data))
}

// isSTLWord reports whether the line begins with the word, in any case.
func isSTLWord(line []byte, word string) bool {
	return len(line) >= len(word) && strings.EqualFold(string(line[:len(word)]), word) &&
		(len(line) == len(word) || strings.IndexByte(" \t\r\n", line[len(word)]) >= 0)
}

func readBinarySTL(data []byte) (Object, error) {
	sink := &stlSink{index: places.NewIndex(0)}
	if err := stl.CopyAll(bytes.NewReader(data), sink); err != nil {
		return Object{}, err
	}
	if sink.err != nil {
		return Object{}, sink.err
	}
	return Object{Mesh: &mesh.Mesh{Vertices: sink.index.Points, Triangles: sink.triangles}}, nil
}

// stlSink takes triangles as they are read and joins their corners.
type stlSink struct {
	index     *places.Index
	triangles [][3]int32
	err       error
}

func (s *stlSink) AppendTriangle(t stl.Triangle) {
	if s.err != nil {
		return
	}
	var corners [3]int32
	for k, p := range t.Vertices {
		for _, x := range p {
			if x := float64(x); math.IsNaN(x) || math.IsInf(x, 0) {
				s.err = fmt.Errorf("triangle %d has the coordinate %v, which is not a finite number", len(s.triangles), x)
				return
			}
		}
		corners[k], _ = s.index.Add(mgl64.Vec3{float64(p[0]), float64(p[1]), float64(p[2])})
	}
	s.triangles = append(s.triangles, corners)
}

// SetTriangleCount trusts the count: it was compared with the file's size.
func (s *stlSink) SetTriangleCount(n uint32) {
	s.triangles = make([][3]int32, 0, n)
	s.index = places.NewIndex(int(n)/2 + 2)
}

func (s *stlSink) SetName(string)         {}
func (s *stlSink) SetBinaryHeader([]byte) {}
func (s *stlSink) SetASCII(bool)          {}
