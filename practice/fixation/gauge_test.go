package fixation_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/practice/fixation"
)

func TestAWGIsTheFormulaOfASTMB258(t *testing.T) {
	// ASTM B258: 0.005 in × 92^((36-n)/39), worked out apart with a calculator;
	// 36 and 4/0 are the two sizes that the scale is laid between.
	for n, want := range map[int]float64{-3: 11.684, 32: 0.2019, 34: 0.1601, 35: 0.1426, 36: 0.1270, 38: 0.1007,
		40: 0.0799} {
		assert.InDelta(t, want, fixation.AWG(n), 0.00005, "%d", n)
	}
	// Steel sutures of 40 to 26 gauge in inches, from a maker's manual (from memory).
	for n, inches := range map[int]float64{40: 0.0031, 38: 0.0040, 35: 0.0056, 34: 0.0063, 32: 0.0080, 30: 0.0100,
		28: 0.0126, 26: 0.0159} {
		assert.InDelta(t, inches*25.4, fixation.AWG(n), 0.00005*25.4+1e-9, "%d", n)
	}
}

func TestSWGIsTheTableOfBS3737(t *testing.T) {
	// The corners of the table, between which it is even, as GNU units 2.22 gives
	// them under brwiregauge; -6 is 7/0, 0 is 0.
	corners := []struct {
		number int
		inches float64
	}{
		{-6, 0.5}, {-5, 0.464}, {-3, 0.4}, {-2, 0.372}, {3, 0.252}, {6, 0.192}, {10, 0.128}, {14, 0.08}, {19, 0.04},
		{23, 0.024}, {26, 0.018}, {28, 0.0148}, {30, 0.0124}, {39, 0.0052}, {49, 0.0012}, {50, 0.001},
	}
	for i, to := range corners[1:] {
		from := corners[i]
		for n := from.number; n <= to.number; n++ {
			want := from.inches + (to.inches-from.inches)*float64(n-from.number)/float64(to.number-from.number)
			name := fmt.Sprint(n)
			if n < 0 {
				name = fmt.Sprintf("%d/0", 1-n)
			}
			got, ok := fixation.SWG(name)
			require.True(t, ok, name)
			assert.InDelta(t, want*25.4, got, 1e-9, name)
		}
	}
	_, ok := fixation.SWG("51")
	assert.False(t, ok)
}

func TestAWireIsShownOnBothScales(t *testing.T) {
	for _, c := range []struct {
		diameter float64
		awg, swg string
	}{{0.1, "38", "42"}, {0.1524, "34", "38"}, {0.2, "32", "36"}, {0.127, "36", "39"}, {13, "4/0", "7/0"}, {11, "3/0",
		"5/0"}, {0.001, "56", "50"}} {
		g := fixation.NearestGauges(c.diameter)
		assert.Equal(t, c.awg, g.AWG.Number, "%g mm", c.diameter)
		assert.Equal(t, c.swg, g.SWG.Number, "%g mm", c.diameter)
	}
	text := fixation.NearestGauges(0.1).Text
	assert.Contains(t, text, "38 gauge AWG (Brown & Sharpe), 0.101 mm")
	assert.Contains(t, text, "42 gauge SWG, 0.102 mm")
	assert.Contains(t, text, "38 gauge on the SWG scale is 0.152 mm", "the same number is another wire there")
}
