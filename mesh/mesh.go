package mesh

import (
	"math"
	"slices"
	"unsafe"

	"earframe/internal/crossing"

	"github.com/go-gl/mathgl/mgl64"
)

// Mesh is an indexed triangle mesh in millimetres. Each triangle holds three
// indices into Vertices, counter-clockwise seen from outside.
type Mesh struct {
	Vertices  []mgl64.Vec3
	Triangles [][3]int32
}

// Volume returns the enclosed volume in mm³: positive for a closed mesh wound
// outwards, by the sum of signed tetrahedra over the triangles.
func (m *Mesh) Volume() float64 {
	six := 0.0
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		six += a.Dot(b.Cross(c))
	}
	return six / 6
}

// Area returns the surface area in mm².
func (m *Mesh) Area() float64 {
	twice := 0.0
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		twice += b.Sub(a).Cross(c.Sub(a)).Len()
	}
	return twice / 2
}

// Bytes returns how much memory the mesh holds.
func (m *Mesh) Bytes() int64 {
	return int64(len(m.Vertices))*int64(unsafe.Sizeof(mgl64.Vec3{})) +
		int64(len(m.Triangles))*int64(unsafe.Sizeof([3]int32{}))
}

// Bounds returns the lowest and highest coordinates of the vertices; for an
// empty mesh lo is +Inf and hi is -Inf.
func (m *Mesh) Bounds() (lo, hi mgl64.Vec3) {
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, v := range m.Vertices {
		for k := range v {
			lo[k] = math.Min(lo[k], v[k])
			hi[k] = math.Max(hi[k], v[k])
		}
	}
	return lo, hi
}

// OnPlate returns the mesh moved along z so that its lowest point is at 0, as it
// stands on a printer's plate. Coordinates are rounded to single precision, so
// that a file keeps them; the mesh has to be judged again. One that stands so
// already, and an empty one, comes back as it is.
func (m *Mesh) OnPlate() *Mesh {
	if len(m.Vertices) == 0 {
		return m
	}
	low, _ := m.Bounds()
	moved := &Mesh{Vertices: make([]mgl64.Vec3, len(m.Vertices)), Triangles: m.Triangles}
	for i, v := range m.Vertices {
		moved.Vertices[i] = mgl64.Vec3{v[0], v[1], Representable(v[2] - low[2])}
	}
	if slices.Equal(moved.Vertices, m.Vertices) {
		return m
	}
	return moved
}

// Representable rounds a coordinate to the nearest number of single precision,
// which is what every mesh file holds.
func Representable(x float64) float64 { return float64(float32(x)) }

// IsFinite reports whether no coordinate is infinite or not a number.
func IsFinite(v mgl64.Vec3) bool { return crossing.IsFinite(v) }
