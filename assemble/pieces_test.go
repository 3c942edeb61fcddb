package assemble

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
	"earframe/units"
)

// cutAcross cuts a unit of the demo along a level line, with a step if there is one.
func cutAcross(t *testing.T, f *Framework, unit string, y, step float64) units.Cutting {
	t.Helper()
	line := []mgl64.Vec2{{-60, y}, {60, y}}
	if step != 0 {
		line = []mgl64.Vec2{{-60, y}, {-5, y}, {-5, y + step}, {60, y + step}}
	}
	parts, stretches, err := f.Plan.Unit(unit).Outlines[0].Cut([][]mgl64.Vec2{line}, 0)
	require.NoError(t, err)
	require.Len(t, parts, 2)
	if lo, _ := parts[0].Bounds(); lo[1] < y-1 {
		parts[0], parts[1] = parts[1], parts[0]
	}
	return units.Cutting{Unit: unit, Cuts: stretches, Pieces: []units.Piece{
		{Label: "upper piece", Outline: parts[0], Ribs: []int{6}}, {Label: "lower piece", Outline: parts[1], Ribs: []int{7}},
	}}
}

func TestPiecesOfAUnitAreSolidsThatMakeItUp(t *testing.T) {
	f, err := Build(t.Context(), demotest.Plan(t).WithStep(0.4, "test"), Options{Apart: true, Plain: true})
	require.NoError(t, err)
	same, err := f.InPieces(t.Context(), nil)
	require.NoError(t, err)
	assert.Same(t, f, same)
	cut, err := f.InPieces(t.Context(), []units.Cutting{cutAcross(t, f, "base", -6, 3), cutAcross(t, f, "concha", 2, 0)})
	require.NoError(t, err)
	var names []string
	volumes := map[string]float64{}
	for _, p := range cut.InOrder() {
		names = append(names, p.Name())
		volumes[p.Unit.Of().Name] += p.Verdict.Volume
		assert.True(t, p.Verdict.Sound(), p.Name())
		assert.Len(t, p.Verdict.Shells, 1, p.Name())
	}
	assert.Equal(t, []string{"base-upper", "base-lower", "helix", "antihelix", "tragus", "concha-upper", "concha-lower"}, names)
	for _, p := range f.Pieces {
		assert.InEpsilon(t, p.Verdict.Volume, volumes[p.Name()], 1e-3, p.Name())
		if k := cut.Plan.Unit(p.Name()); k != nil {
			assert.Equal(t, k.Name, k.Of().Name, "what is whole stays as it is")
		}
	}
	upper := cut.Plan.Unit("base-upper")
	assert.Equal(t, "Base frame, upper piece", upper.Label)
	assert.Equal(t, []int{6}, upper.Ribs)
	assert.Contains(t, upper.NotchFor, "helix")
	for _, c := range cut.Contacts {
		if c.A == "base-upper" && c.B == "base-lower" {
			// Both walls of the ring, each as high as the plate but for its rounded edges.
			assert.Greater(t, c.Area, 2*2.0*2)
			assert.Zero(t, c.Depth)
		}
	}
}
