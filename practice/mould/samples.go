package mould

import (
	"context"
	"math"

	"earframe/field"
	"earframe/internal/workers"
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
func samplesOf(ctx context.Context, m *mesh.Mesh, f field.Field, spacing float64) ([]sample, error) {
	samples := piecesOf(m, spacing)
	return samples, ask(ctx, samples, f)
}

// mostAtOnce is for how many samples room is made before there are any.
const mostAtOnce = 1 << 19

// piecesOf cuts the mesh's triangles into pieces no longer than the spacing.
func piecesOf(m *mesh.Mesh, spacing float64) []sample {
	c := cutter{longest: spacing * spacing}
	// Pieces of a lattice's right triangles have a quarter of the square's area and less.
	usual := min(5*m.Area()/c.longest, mostAtOnce)
	c.samples = make([]sample, 0, max(len(m.Triangles), int(usual)))
	for _, t := range m.Triangles {
		a, b, d := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		normal := b.Sub(a).Cross(d.Sub(a))
		if area := normal.Len() / 2; area > 0 {
			c.normal = normal.Normalize()
			c.cut(a, b, d, area)
		}
	}
	return c.samples
}

// samplesABand is how many samples a field is asked about at a time.
const samplesABand = 1024

// ask fills in what the field says at the samples.
func ask(ctx context.Context, samples []sample, f field.Field) error {
	return workers.Bands(ctx, "samples of surfaces", len(samples), samplesABand, func(from, to int) error {
		var points, gradient [samplesABand]mgl64.Vec3
		var out [samplesABand]float64
		band := samples[from:to]
		for i, s := range band {
			points[i] = s.at
		}
		f.Gradients(points[:len(band)], out[:len(band)], gradient[:len(band)])
		for i, g := range gradient[:len(band)] {
			if length := g.Len(); length > 0 && !math.IsInf(length, 1) {
				band[i].normal, band[i].off = g.Mul(1/length), out[i]/length
			}
		}
		return nil
	})
}

// cutter cuts triangles into samples.
type cutter struct {
	longest float64 // side of a piece, squared, mm²
	normal  mgl64.Vec3
	samples []sample
}

// cut halves the triangle at its longest side until that is short enough, so
// that a sliver gives a row of samples and not a field of them.
func (c *cutter) cut(p, q, r mgl64.Vec3, area float64) {
	pq, qr, rp := q.Sub(p).LenSqr(), r.Sub(q).LenSqr(), p.Sub(r).LenSqr()
	switch longest := max(pq, qr, rp); {
	case longest <= c.longest:
		at := p.Add(q).Add(r).Mul(1.0 / 3)
		c.samples = append(c.samples, sample{at: at, normal: c.normal, area: area})
		return
	case longest == qr:
		p, q, r = q, r, p
	case longest == rp:
		p, q, r = r, p, q
	}
	middle := p.Add(q).Mul(0.5)
	c.cut(p, middle, r, area/2)
	c.cut(middle, q, r, area/2)
}
