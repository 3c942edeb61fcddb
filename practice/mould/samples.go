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
	off    float64    // distance from the field's surface, mm, to the first order
}

// samplesOf cuts the mesh's triangles into pieces no longer than the spacing, and
// asks the field, whose surface the mesh is, which way they look: the facets of
// a simplified mesh lean by more than a wall does.
func samplesOf(m *mesh.Mesh, f field.Field, spacing float64) []sample {
	samples := piecesOf(m, spacing)
	ask(samples, f)
	return samples
}

// piecesOf cuts the mesh's triangles into pieces no longer than the spacing.
func piecesOf(m *mesh.Mesh, spacing float64) (samples []sample) {
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		normal := b.Sub(a).Cross(c.Sub(a))
		if area := normal.Len() / 2; area > 0 {
			samples = cut(a, b, c, sample{normal: normal.Normalize(), area: area}, spacing, samples)
		}
	}
	return samples
}

// ask fills in what the field says at the samples.
func ask(samples []sample, f field.Field) {
	points := make([]mgl64.Vec3, len(samples))
	out, gradient := make([]float64, len(samples)), make([]mgl64.Vec3, len(samples))
	for i, s := range samples {
		points[i] = s.at
	}
	const batch = 1024
	for i := 0; i < len(points); i += batch {
		j := min(i+batch, len(points))
		f.Gradients(points[i:j], out[i:j], gradient[i:j])
	}
	for i, g := range gradient {
		if length := g.Len(); length > 0 && !math.IsInf(length, 1) {
			samples[i].normal, samples[i].off = g.Mul(1/length), out[i]/length
		}
	}
}

// cut halves the triangle at its longest side until that is no longer than the
// spacing, so that a sliver gives a row of samples and not a field of them.
func cut(a, b, c mgl64.Vec3, s sample, spacing float64, samples []sample) []sample {
	ab, bc, ca := b.Sub(a).Len(), c.Sub(b).Len(), a.Sub(c).Len()
	switch longest := max(ab, bc, ca); {
	case longest <= spacing:
		s.at = a.Add(b).Add(c).Mul(1.0 / 3)
		return append(samples, s)
	case longest == bc:
		a, b, c = b, c, a
	case longest == ca:
		a, b, c = c, a, b
	}
	middle := a.Add(b).Mul(0.5)
	s.area /= 2
	samples = cut(a, middle, c, s, spacing, samples)
	return cut(middle, b, c, s, spacing, samples)
}
