package mould

import (
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheStepSuitsThePart(t *testing.T) {
	for name, test := range map[string]struct {
		solid field.Field
		step  float64
	}{
		"a thick round bar needs no fine step": {field.Torus(mgl64.Vec3{}, 15, 5), 0.5},
		"a slimmer one needs it finer":         {field.Torus(mgl64.Vec3{}, 15, 1.2), 0.4},
		"a unit carved round does":             {demoParts(t)["helix"].Solid, 0.25},
		"one of larger radii less so":          {demoParts(t)["antihelix"].Solid, 0.3},
		"one with sharp recesses does most":    {demoParts(t)["base"].Solid, 0.2},
		"a crumb lost at coarse ones does":     {field.Ball(mgl64.Vec3{}, 0.2), 0.2},
	} {
		step, surface, err := ChooseStep(t.Context(), test.solid)
		require.NoError(t, err)
		assert.Equal(t, test.step, step, name)
		if step == finestStep {
			assert.Nil(t, surface, name)
			continue
		}
		assert.Equal(t, contoured(t, test.solid, step), surface, name)
	}
}
