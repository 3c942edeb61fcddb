// Package solids holds closed triangle meshes of known volume, for tests of what
// judges, measures, writes and reads meshes.
package solids

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Solid has the fields of a mesh, mm, wound outwards: (*mesh.Mesh)(solid) makes
// one of it. The mesh package's own tests can use no package that imports it.
type Solid struct {
	Vertices  []mgl64.Vec3
	Triangles [][3]int32
}

// Rounded moves the vertices to where single precision holds them.
func (s *Solid) Rounded() *Solid {
	for i, p := range s.Vertices {
		for k, x := range p {
			s.Vertices[i][k] = float64(float32(x))
		}
	}
	return s
}

// Box returns the twelve triangles of a box, wound outwards.
func Box(low, high mgl64.Vec3) *Solid {
	m := &Solid{}
	for i := range 8 {
		p := low
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = high[k]
			}
		}
		m.Vertices = append(m.Vertices, p)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Triangles = append(m.Triangles, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// Ball returns an icosahedron whose faces were split in four, level
// times, with its vertices moved onto the sphere.
func Ball(centre mgl64.Vec3, radius float64, level int) *Solid {
	golden := (1 + math.Sqrt(5)) / 2
	corners := [][3]float64{{-1, golden, 0}, {1, golden, 0}, {-1, -golden, 0}, {1, -golden, 0},
		{0, -1, golden}, {0, 1, golden}, {0, -1, -golden}, {0, 1, -golden},
		{golden, 0, -1}, {golden, 0, 1}, {-golden, 0, -1}, {-golden, 0, 1}}
	m := &Solid{Triangles: [][3]int32{{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11},
		{1, 5, 9}, {5, 11, 4}, {11, 10, 2}, {10, 7, 6}, {7, 1, 8}, {3, 9, 4}, {3, 4, 2}, {3, 2, 6},
		{3, 6, 8}, {3, 8, 9}, {4, 9, 5}, {2, 4, 11}, {6, 2, 10}, {8, 6, 7}, {9, 8, 1}}}
	for _, c := range corners {
		m.Vertices = append(m.Vertices, mgl64.Vec3(c).Normalize())
	}
	for range level {
		middle := map[[2]int32]int32{}
		between := func(a, b int32) int32 {
			key := [2]int32{min(a, b), max(a, b)}
			if _, known := middle[key]; !known {
				middle[key] = int32(len(m.Vertices))
				m.Vertices = append(m.Vertices, m.Vertices[a].Add(m.Vertices[b]).Normalize())
			}
			return middle[key]
		}
		var split [][3]int32
		for _, t := range m.Triangles {
			ab, bc, ca := between(t[0], t[1]), between(t[1], t[2]), between(t[2], t[0])
			split = append(split, [3]int32{t[0], ab, ca}, [3]int32{t[1], bc, ab}, [3]int32{t[2], ca, bc}, [3]int32{ab, bc, ca})
		}
		m.Triangles = split
	}
	for i := range m.Vertices {
		m.Vertices[i] = m.Vertices[i].Mul(radius).Add(centre)
	}
	return m
}

// Torus returns a torus about the z axis as a grid of quads.
func Torus(major, minor float64, round, across int) *Solid {
	m := &Solid{}
	at := func(i, k int) int32 { return int32(i%round*across + k%across) }
	for i := range round {
		for k := range across {
			sinU, cosU := math.Sincos(2 * math.Pi * float64(i) / float64(round))
			sinV, cosV := math.Sincos(2 * math.Pi * float64(k) / float64(across))
			m.Vertices = append(m.Vertices, mgl64.Vec3{(major + minor*cosV) * cosU, (major + minor*cosV) * sinU, minor * sinV})
			m.Triangles = append(m.Triangles,
				[3]int32{at(i, k), at(i+1, k), at(i+1, k+1)}, [3]int32{at(i, k), at(i+1, k+1), at(i, k+1)})
		}
	}
	return m
}

// Wedge returns a prism along y whose sides meet at x = 0 at the angle,
// symmetric about z = 0.
func Wedge(angle, length, width float64) *Solid {
	z := length * math.Tan(angle/2)
	return &Solid{
		Vertices: []mgl64.Vec3{
			{0, 0, 0}, {length, 0, z}, {length, 0, -z}, {0, width, 0}, {length, width, z}, {length, width, -z},
		},
		Triangles: [][3]int32{{0, 2, 1}, {3, 4, 5}, {0, 1, 4}, {0, 4, 3}, {1, 2, 5}, {1, 5, 4}, {2, 0, 3}, {2, 3, 5}},
	}
}

// Sum puts solids into one, without joining anything.
func Sum(parts ...*Solid) *Solid {
	sum := &Solid{}
	for _, s := range parts {
		first := int32(len(sum.Vertices))
		sum.Vertices = append(sum.Vertices, s.Vertices...)
		for _, t := range s.Triangles {
			sum.Triangles = append(sum.Triangles, [3]int32{t[0] + first, t[1] + first, t[2] + first})
		}
	}
	return sum
}
