package mould

import (
	"math"

	"earframe/field"
	"earframe/internal/hull"
	"earframe/mesh"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// sides is the number of a block's sides: every five degrees one.
const sides = 72

// disc is a round place that the block has to hold.
type disc struct {
	centre mgl64.Vec2
	radius float64
}

// footprintOf returns the outline of the block around the discs: the polygon of
// the lines that touch them all from outside, one every five degrees, turned so
// that one lies along the longest side of what they cover. It is convex, so that
// a rubber band holds two halves together, and no disc comes nearer to its rim
// than it touches it.
func footprintOf(discs []disc, direction float64) []mgl64.Vec2 {
	var normals [sides]mgl64.Vec2
	var reach [sides]float64
	for i := range sides {
		angle := direction + float64(i)*2*math.Pi/sides
		normals[i] = mgl64.Vec2{math.Cos(angle), math.Sin(angle)}
		reach[i] = math.Inf(-1)
		for _, d := range discs {
			reach[i] = math.Max(reach[i], d.centre.Dot(normals[i])+d.radius)
		}
	}
	var ring []mgl64.Vec2
	for i := range sides {
		j := (i + 1) % sides
		// Where both lines meet: p · n = reach for each of them.
		area := normals[i][0]*normals[j][1] - normals[i][1]*normals[j][0]
		p := mgl64.Vec2{
			(reach[i]*normals[j][1] - reach[j]*normals[i][1]) / area,
			(reach[j]*normals[i][0] - reach[i]*normals[j][0]) / area,
		}
		if len(ring) == 0 || p.Sub(ring[len(ring)-1]).Len() > samePlace {
			ring = append(ring, p)
		}
	}
	if ring[0].Sub(ring[len(ring)-1]).Len() <= samePlace {
		ring = ring[:len(ring)-1]
	}
	return ring
}

// samePlace, mm, is how near two corners are one: sides that only touch a corner
// of what they go round have no length but for rounding.
const samePlace = 1e-6

// outlineOf returns the corners of the convex hull of the mesh seen from above,
// counter-clockwise, and the direction of its longest side, radians.
func outlineOf(m *mesh.Mesh) (corners []mgl64.Vec2, direction float64) {
	points := make([]mgl64.Vec2, len(m.Vertices))
	for i, v := range m.Vertices {
		points[i] = v.Vec2()
	}
	corners = hull.Of(points)
	longest := 0.0
	for i, p := range corners {
		if side := corners[(i+1)%len(corners)].Sub(p); side.Len() > longest {
			longest, direction = side.Len(), math.Atan2(side[1], side[0])
		}
	}
	return corners, direction
}

// block is the mould as one piece, before anything is taken out of it.
type block struct {
	ring      []mgl64.Vec2
	region    *field.Region
	top       float64 // mm; its underside is at 0
	Field     field.Field
	volume    float64 // mm³
	footprint float64 // mm²
}

func newBlock(discs []disc, direction, top float64) (*block, error) {
	b := &block{ring: footprintOf(discs, direction), top: top}
	var err error
	if b.region, err = field.NewRegion(b.ring); err != nil {
		return nil, err
	}
	b.Field, err = field.NewPrism(field.Prism{Region: b.region, Underside: field.Level(0), Thickness: field.Level(top)})
	b.footprint = template.Ring(b.ring).Area()
	b.volume = b.footprint * top
	return b, err
}
