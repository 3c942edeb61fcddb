package units

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
)

// cutSheet is a ring of 30 × 40 mm with walls of 6 mm, and lines over it.
func cutSheet() *template.Sheet {
	line := func(id string, points ...mgl64.Vec2) template.Line { return template.Line{ID: id, Points: points} }
	return &template.Sheet{
		Outlines: []template.Outline{{ID: "base", Part: "base",
			Outer: template.Ring{{-15, -20}, {15, -20}, {15, 20}, {-15, 20}},
			Holes: []template.Ring{{{-9, -14}, {-9, 14}, {9, 14}, {9, -14}}}}},
		Lines: []template.Line{
			line("cut-low", mgl64.Vec2{-15.4, 0}, mgl64.Vec2{-8.5, 0}), line("cut-far", mgl64.Vec2{30, 0}, mgl64.Vec2{40, 0}),
			line("cut-high", mgl64.Vec2{8.5, 3}, mgl64.Vec2{15.4, 3}), line("cut-half", mgl64.Vec2{-20, 5}, mgl64.Vec2{-12, 5}),
			line("cut-bar", mgl64.Vec2{-14.5, 6}, mgl64.Vec2{14.5, 6}), line("cut-across", mgl64.Vec2{8.5, 2}, mgl64.Vec2{15.4, 9}),
			line("cut-loop", mgl64.Vec2{-15.4, -5}, mgl64.Vec2{15.4, -5}, mgl64.Vec2{20, 0}, mgl64.Vec2{15.4, 9}, mgl64.Vec2{8.5, 9}),
		},
	}
}

func cutPlan(t *testing.T, pieces string) (*Plan, error) {
	t.Helper()
	c, err := casefile.Parse("case.yaml", []byte("case: a\ntemplate: {drawn: frame}\nunits: [{part: base, "+
		"pieces: "+pieces+"}]\n"))
	if err != nil {
		return nil, err
	}
	return NewPlan(t.Context(), c, cutSheet())
}

func TestPiecesAreANumberOrLinesOfTheDrawing(t *testing.T) {
	for pieces, want := range map[string]int{"2": 2, "[cut-low, cut-high]": 2, "[cut-bar]": 2, "1": 1} {
		p, err := cutPlan(t, pieces)
		require.NoError(t, err, pieces)
		assert.Equal(t, want, p.Units[0].Pieces, pieces)
		given := false
		for _, v := range p.Values {
			given = given || v.Path == "units[base].pieces" && v.Origin == Given
		}
		assert.True(t, given)
	}
	p, err := cutPlan(t, "[cut-low, cut-high]")
	require.NoError(t, err)
	assert.Len(t, p.Units[0].Cuts, 2)
	p = planOf(t, "case: a\ntemplate: {drawn: frame}\n", cutSheet().Outlines)
	assert.Zero(t, p.Units[0].Pieces)
}

func TestACutThatDoesNotPartItsUnitAsAskedIsAFaultOfItsKey(t *testing.T) {
	for pieces, says := range map[string]string{
		"5":                     "case.yaml:3:30: units[base].pieces: found \"5\", expected a whole number from 1 to 4",
		"0":                     "units[base].pieces: found \"0\"",
		"[cut-far]":             "cut-far does not cut base: it does not cross the outline",
		"[cut-half]":            "cut-half does not cut base: it ends within the outline",
		"[cut-lwo]":             "Did you mean cut-low",
		"[cut-low]":             "cut along cut-low, base is left in 1 where 2 pieces were asked",
		"[cut-loop]":            "cut along cut-loop, base is left in 3 where 2 pieces were asked",
		"[cut-across, cut-bar]": "it crosses another cut",
	} {
		_, err := cutPlan(t, pieces)
		assert.ErrorContains(t, err, says, pieces)
		assert.ErrorContains(t, err, "units[base].pieces", pieces)
	}
}
