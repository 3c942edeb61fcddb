package template

import (
	"fmt"
	"strings"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// Region returns what the outlines enclose, holes left out, as one region in mm.
// They must not overlap. The error names them; it tells of an outline that
// encloses nothing, or of none at all.
func Region(outlines ...Outline) (*field.Region, error) {
	var rings [][]mgl64.Vec2
	for _, o := range outlines {
		rings = append(rings, o.Rings()...)
	}
	region, err := field.NewRegion(rings...)
	if err != nil {
		return nil, fmt.Errorf("outline %s: %w", namesOf(outlines), err)
	}
	return region, nil
}

func namesOf(outlines []Outline) string {
	names := make([]string, len(outlines))
	for i, o := range outlines {
		names[i] = o.ID
	}
	return strings.Join(names, ", ")
}

// Filled returns the outline without its holes.
func (o Outline) Filled() Outline {
	o.Holes = nil
	return o
}
