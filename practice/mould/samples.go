package mould

import (
	"math"

	"earframe/field"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// sample is a small piece of a surface.
type sample struct {
	at     mgl64.Vec3 // its middle, mm
	normal mgl64.Vec3 // of the field there, unit
	area   float64    // mm²
}

// samplesOf cuts the mesh's triangles into pieces no longer than about the
// spacing, and asks the field, whose surface the mesh is, which way they look:
// the facets of a simplified mesh lean by more than a wall does.
func samplesOf(m *mesh.Mesh, f field.Field, spacing float64) []sample {
	var samples []sample
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		u, v := b.Sub(a), c.Sub(a)
		normal := u.Cross(v)
		n := int(math.Ceil(max(u.Len(), v.Len(), c.Sub(b).Len()) / spacing))
		area := normal.Len() / 2 / float64(n*n)
		if area == 0 {
			continue
		}
		normal = normal.Normalize()
		for i := range n {
			for j := range 2*(n-i) - 1 {
				// Upright and turned pieces take turns along a row.
				p, q := float64(i)+1.0/3, float64(j/2)+1.0/3
				if j%2 == 1 {
					p, q = p+1.0/3, q+1.0/3
				}
				at := a.Add(u.Mul(p / float64(n))).Add(v.Mul(q / float64(n)))
				samples = append(samples, sample{at, normal, area})
			}
		}
	}
	points := make([]mgl64.Vec3, len(samples))
	gradient := make([]mgl64.Vec3, len(samples))
	for i, s := range samples {
		points[i] = s.at
	}
	const batch = 1024
	for i := 0; i < len(points); i += batch {
		j := min(i+batch, len(points))
		f.Gradients(points[i:j], make([]float64, j-i), gradient[i:j])
	}
	for i, g := range gradient {
		if length := g.Len(); length > 0 && !math.IsInf(length, 1) {
			samples[i].normal = g.Mul(1 / length)
		}
	}
	return samples
}
