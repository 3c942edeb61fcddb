package template

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two drawings of ears that were not made for this: no ids, no size.
func TestRealDrawingsAreInspectedNamedAndScaled(t *testing.T) {
	for _, file := range []string{"../testdata/drawings/ear-twemoji.svg", "../testdata/drawings/ear-emojione.svg"} {
		shapes, err := Inspect(t.Context(), file)
		require.NoError(t, err)
		require.Len(t, shapes, 3)
		for i, id := range []string{"path-1", "path-2", "path-3"} {
			assert.Equal(t, id, shapes[i].ID)
			assert.Empty(t, shapes[i].Parts)
			assert.True(t, shapes[i].Closed)
			assert.Equal(t, "units", shapes[i].Unit)
		}
		names := map[string][]string{"path-1": {"ear", "base"}, "path-2": {"helix"}}
		_, err = Read(t.Context(), file, Options{Names: names})
		assert.ErrorIs(t, err, NoSize)
		sheet, err := Read(t.Context(), file, Options{Names: names, EarLength: 60})
		require.NoError(t, err)
		require.Len(t, sheet.Outlines, 3)
		ear, helix := sheet.Part("ear")[0], sheet.Part("helix")[0]
		assert.InDelta(t, 60, ear.Length(), DefaultTolerance)
		assert.Equal(t, ear.Area(), sheet.Part("base")[0].Area())
		for _, p := range helix.Outer {
			assert.True(t, ear.Contains(p), "the helix lies within the ear")
		}
		assert.InDelta(t, 60/shapes[0].Height*shapes[1].Height, helix.Length(), 2*DefaultTolerance)
	}
}

// The third shape of one of them crosses itself, which a screen does not show.
func TestARealDrawingThatCrossesItself(t *testing.T) {
	const file = "../testdata/drawings/ear-emojione.svg"
	shapes, err := Inspect(t.Context(), file)
	require.NoError(t, err)
	assert.Equal(t, "crosses or touches itself", shapes[2].Problem)
	_, err = Read(t.Context(), file, Options{EarLength: 60, Names: map[string][]string{"path-1": {"ear", "base"}, "path-3": {"antihelix"}}})
	assert.ErrorIs(t, err, Crossing)
	assert.ErrorContains(t, err, "ear-emojione.svg:1: path-3: the outline crosses or touches itself, at x 17.7")
}

func TestInspectMeasuresEveryShape(t *testing.T) {
	shapes, err := Inspect(t.Context(), "../testdata/drawings/nesting.svg")
	require.NoError(t, err)
	byID := map[string]Shape{}
	for _, s := range shapes {
		byID[s.ID] = s
	}
	const mm = 2 * 25.4 / 96 // a unit of that drawing: 5 in over 240 units
	plain := byID["plain"]
	assert.Equal(t, "mm", plain.Unit)
	assert.InDelta(t, 50*mm, plain.Width, 1e-9)
	assert.InDelta(t, 30*mm, plain.Height, 1e-9)
	assert.InDelta(t, 1500*mm*mm, plain.Area, 1e-9)
	assert.Equal(t, 9, plain.Line)
	assert.Equal(t, "path", plain.Element)
	assert.InDelta(t, (1600-400)*mm*mm, byID["ringed"].Area, 1e-9)
	assert.False(t, byID["mark"].Closed)
	assert.Contains(t, byID, "used-badge/badge-rect")
	assert.NotContains(t, byID, "hidden")
}

func BenchmarkReadDemo(b *testing.B) {
	for b.Loop() {
		if _, err := Read(b.Context(), "../units/demo/good/template.svg", Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// All outlines of the demo, two millimetres taken off.
func BenchmarkTakeOffDemo(b *testing.B) {
	sheet, err := Read(b.Context(), "../units/demo/good/template.svg", Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for _, o := range sheet.Outlines {
			if _, err := TakeOff(b.Context(), o, 1); err != nil {
				b.Fatal(err)
			}
		}
	}
}
