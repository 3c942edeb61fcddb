package units

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"

	"earframe/template"
)

func TestUnitsAreAssembledByPartAndFromTheSuperiorOneDownward(t *testing.T) {
	unit := func(name string, part Part, middle float64) *Unit {
		return &Unit{Name: name, Part: part, Outlines: []template.Outline{{Outer: []mgl64.Vec2{{-1, middle - 2}, {1, middle - 2}, {0, middle + 4}}}}}
	}
	given := []*Unit{
		unit("concha", Concha, 0), unit("body", Antihelix, -6), unit("inferior-crus", Antihelix, 10),
		unit("tragus", Tragus, 3), unit("superior-crus", Antihelix, 14), unit("helix", Helix, 5), unit("base", Base, 0),
	}
	var names []string
	for _, u := range InAssembly(given) {
		names = append(names, u.Name)
	}
	assert.Equal(t, []string{"base", "helix", "superior-crus", "inferior-crus", "body", "tragus", "concha"}, names)
	assert.Equal(t, "concha", given[0].Name, "what is given stays in its order")
}

func TestUnitsOfOneHeightKeepTheirOrder(t *testing.T) {
	a, b := &Unit{Name: "a", Part: Antihelix}, &Unit{Name: "b", Part: Antihelix}
	assert.Equal(t, []*Unit{a, b}, InAssembly([]*Unit{a, b}))
	assert.Equal(t, []*Unit{b, a}, InAssembly([]*Unit{b, a}))
}
