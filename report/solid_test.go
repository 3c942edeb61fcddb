package report_test

import (
	"image/color"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/mesh"
	"earframe/report"
)

// Okabe–Ito, as the whole project uses it.
var (
	skyBlue     = color.RGBA{R: 0x56, G: 0xB4, B: 0xE9, A: 255}
	orange      = color.RGBA{R: 0xE6, G: 0x9F, B: 0x00, A: 255}
	bluishGreen = color.RGBA{R: 0x00, G: 0x9E, B: 0x73, A: 255}
)

// box is an axis-parallel box as twelve triangles.
func box(lo, hi mgl64.Vec3) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		v := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				v[k] = hi[k]
			}
		}
		m.Vertices = append(m.Vertices, v)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Triangles = append(m.Triangles, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// torus lies flat at the centre: ring is the radius of its round, tube that of
// its flesh, cut into around × across quads.
func torus(centre mgl64.Vec3, ring, tube float64, around, across int) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range around {
		sinU, cosU := math.Sincos(2 * math.Pi * float64(i) / float64(around))
		for j := range across {
			sinV, cosV := math.Sincos(2 * math.Pi * float64(j) / float64(across))
			r := ring + tube*cosV
			m.Vertices = append(m.Vertices, centre.Add(mgl64.Vec3{r * cosU, r * sinU, tube * sinV}))
		}
	}
	at := func(i, j int) int32 { return int32(i%around*across + j%across) }
	for i := range around {
		for j := range across {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}

// mirrored is the mesh of the other side's ear: x turned round, winding kept
// outward.
func mirrored(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, v := range m.Vertices {
		out.Vertices = append(out.Vertices, mgl64.Vec3{-v[0], v[1], v[2]})
	}
	for _, t := range m.Triangles {
		out.Triangles = append(out.Triangles, [3]int32{t[0], t[2], t[1]})
	}
	return out
}

// stack is a plate with a ring on it and a block in front (anterior at a left
// ear), each in its colour.
func stack() []report.Object {
	return []report.Object{
		{Name: "base", Label: "Base frame", Color: skyBlue, Mesh: box(mgl64.Vec3{-17, -30, 0}, mgl64.Vec3{17, 30, 3})},
		{Name: "helix", Label: "Helix with crus", Color: orange, Mesh: torus(mgl64.Vec3{0, 8, 5}, 13, 2.5, 96, 32)},
		{Name: "tragus", Label: "Tragus", Color: bluishGreen, Mesh: box(mgl64.Vec3{-15, -22, 3}, mgl64.Vec3{-8, -10, 7})},
	}
}
