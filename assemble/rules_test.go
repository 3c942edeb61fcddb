package assemble_test

import (
	"testing"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatDoesNotFitIsFoundUnderItsRule(t *testing.T) {
	moved := func(outlines []template.Outline, by mgl64.Vec2) {
		for _, o := range outlines {
			for k := range o.Outer {
				o.Outer[k] = o.Outer[k].Add(by)
			}
		}
	}
	for name, c := range map[string]struct {
		change func(*units.Plan)
		want   map[string]units.Severity
	}{
		"as drawn": {func(*units.Plan) {}, map[string]units.Severity{}},
		"tragus raised off the base frame": {
			func(p *units.Plan) { p.Unit("tragus").Rise.Height = 4.5 },
			map[string]units.Severity{"unit-touches-nothing": units.Error, "framework-in-pieces": units.Error},
		},
		"tragus sunk into the base frame": {
			func(p *units.Plan) { p.Unit("tragus").Rise.Height = 2.2 },
			map[string]units.Severity{"units-overlap": units.Error},
		},
		"tragus drawn before the ear": {
			func(p *units.Plan) { moved(p.Unit("tragus").Outlines, mgl64.Vec2{-6, 0}) },
			map[string]units.Severity{
				"unit-outside-ear": units.Error, "unit-touches-nothing": units.Error, "framework-in-pieces": units.Error,
			},
		},
		"a printer that makes no wall below 5 mm": {
			func(p *units.Plan) { p.Printer.Wall = 5 },
			map[string]units.Severity{"wall-too-thin": units.Error, "notch-leaves-thin-wall": units.Error},
		},
	} {
		t.Run(name, func(t *testing.T) {
			plan := demotest.Plan(t, "case: demo-01\n", "case: demo-01\nengrave: {on: false}\n")
			c.change(plan)
			f, err := assemble.Build(t.Context(), plan, assemble.Options{Step: 0.8})
			require.NoError(t, err)
			assert.Equal(t, c.want, demotest.Kinds(t, f.Findings), "%v", f.Findings)
		})
	}
}
