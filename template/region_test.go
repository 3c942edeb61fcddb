package template

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestARegionIsWhatTheOutlinesEnclose(t *testing.T) {
	framed := Outline{
		ID: "base", Outer: Ring{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, Holes: []Ring{{{4, 4}, {4, 6}, {6, 6}, {6, 4}}},
	}
	apart := Outline{ID: "helix", Outer: Ring{{20, 0}, {24, 0}, {24, 4}, {20, 4}}}
	both, err := Region(framed, apart)
	require.NoError(t, err)
	assert.InDelta(t, -1, both.Distance(mgl64.Vec2{3, 5}), 1e-12, "beside the hole")
	assert.InDelta(t, 1, both.Distance(mgl64.Vec2{5, 5}), 1e-12, "in the hole")
	assert.InDelta(t, -2, both.Distance(mgl64.Vec2{22, 2}), 1e-12)
	filled, err := Region(framed.Filled())
	require.NoError(t, err)
	assert.InDelta(t, -5, filled.Distance(mgl64.Vec2{5, 5}), 1e-12)
	assert.Len(t, framed.Holes, 1, "the outline itself keeps its hole")
}

func TestARegionOfNothingIsRefusedByTheOutlinesName(t *testing.T) {
	for name, outlines := range map[string][]Outline{
		"a line":    {{ID: "tragus", Outer: Ring{{0, 0}, {1, 0}}}},
		"clockwise": {{ID: "tragus", Outer: Ring{{0, 0}, {0, 1}, {1, 1}}}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Region(outlines...)
			assert.ErrorContains(t, err, "outline tragus: ")
		})
	}
	_, err := Region()
	assert.Error(t, err)
}
