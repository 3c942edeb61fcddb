package lettering

import (
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
)

// The Go Bold font's capital I is a plain upright with serifs-free stem; its
// stem is measured here by sections through the letter.
func TestStrokeIsTheWidthAcrossTheLetters(t *testing.T) {
	font, err := newLetters()
	require.NoError(t, err)
	rings, _ := font.letter('L')
	slices.Reverse(rings[0]) // letters run clockwise
	region, err := field.NewRegion(rings[0])
	require.NoError(t, err)
	lo, hi := region.Bounds()
	across := 0.0
	const n = 20000
	y := (lo[1] + hi[1]) / 2
	for i := range n {
		if region.Distance(mgl64.Vec2{lo[0] + (hi[0]-lo[0])*(float64(i)+0.5)/n, y}) < 0 {
			across += (hi[0] - lo[0]) / n
		}
	}
	got := font.narrowestStroke("L") - 2*Widening
	assert.LessOrEqual(t, got, across+1e-3)
	assert.Greater(t, got, across/2)
}

func TestLinesBreakAtSpacesAndAfterDashes(t *testing.T) {
	all := layouts("L DEMO-01")
	assert.Contains(t, all, []string{"L DEMO-01"})
	assert.Contains(t, all, []string{"L", "DEMO-01"})
	assert.Contains(t, all, []string{"L DEMO-", "01"})
	assert.Contains(t, all, []string{"L", "DEMO-", "01"})
	assert.Len(t, all, 4)
	assert.Equal(t, [][]string{{""}}, layouts(""))
	for _, lines := range layouts("A B C D E F") {
		assert.LessOrEqual(t, len(lines), 3)
	}
}
