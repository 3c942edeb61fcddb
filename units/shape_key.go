package units

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/kept"
	"earframe/template"
)

// ShapeKey returns the key of all that shapes a unit's solid as Solids makes it:
// its own values, those of the units that are let into it and its room around
// them, each number by its exact bits. What does not shape it, such as names, ribs
// or the sampling step, is not in it.
func (p *Plan) ShapeKey(u *Unit) kept.Key {
	shape := []any{u.shapeKey()}
	for _, neighbour := range p.letInto(u) {
		shape = append(shape, neighbour.shapeKey(), u.Clearance)
	}
	return kept.KeyOf(shape...)
}

// shapeKey is the key of the unit as carved, without notches.
func (u *Unit) shapeKey() kept.Key {
	shape := []any{u.Thickness, u.EdgeTop, u.EdgeBottom, outlinesKey(u.Outlines), u.Rise.Height, len(u.Rise.Profile)}
	for _, point := range u.Rise.Profile {
		shape = append(shape, point.At, point.Height)
	}
	if u.Rise.Profile != nil && u.Centreline != nil {
		shape = append(shape, pointsKey(u.Centreline.Points))
	}
	for _, r := range u.Recesses {
		shape = append(shape, r.Depth, r.Wall, outlinesKey(r.Outlines))
	}
	return kept.KeyOf(shape...)
}

// key of the letters, as they are cut.
func (e *Engraving) key() kept.Key {
	return kept.KeyOf(e.Em, e.Depth, ringsKey(e.Rings))
}

func outlinesKey(outlines []template.Outline) kept.Key {
	keys := make([]kept.Key, len(outlines))
	for i, o := range outlines {
		rings := [][]mgl64.Vec2{o.Outer}
		for _, hole := range o.Holes {
			rings = append(rings, hole)
		}
		keys[i] = ringsKey(rings)
	}
	return kept.KeyOf(keys)
}

func ringsKey(rings [][]mgl64.Vec2) kept.Key {
	keys := make([]kept.Key, len(rings))
	for i, ring := range rings {
		keys[i] = pointsKey(ring)
	}
	return kept.KeyOf(keys)
}

func pointsKey(points []mgl64.Vec2) kept.Key {
	numbers := make([]float64, 0, 2*len(points))
	for _, p := range points {
		numbers = append(numbers, p[0], p[1])
	}
	return kept.KeyOf(numbers)
}
