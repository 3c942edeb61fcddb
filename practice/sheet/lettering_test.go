package sheet

import (
	"bytes"
	"testing"

	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWrappedTextIsNoWiderThanItsRoom(t *testing.T) {
	fonts, err := newTypefaces()
	require.NoError(t, err)
	rapid.Check(t, func(r *rapid.T) {
		words := rapid.String().Draw(r, "words")
		width := rapid.Float64Range(8, 60).Draw(r, "width")
		letters := ""
		for _, line := range fonts.wrap(words, plain, width) {
			require.LessOrEqual(t, fonts.width(line.words, plain), width)
			letters += line.words
		}
		require.Equal(t, withoutSpaces(fonts.clean(words)), withoutSpaces(letters), "no letter is lost")
	})
}

func withoutSpaces(s string) string {
	var out []rune
	for _, r := range s {
		if r != ' ' {
			out = append(out, r)
		}
	}
	return string(out)
}

func TestLettersThatTheFontsLackAreShownAsMissing(t *testing.T) {
	fonts, err := newTypefaces()
	require.NoError(t, err)
	assert.Equal(t, "Ä Ω я ? ? a b", fonts.clean("Ä Ω я 耳 😀 a\tb\x00"))
}

func TestAnyTextCanBeWritten(t *testing.T) {
	plan := demoPlan(t, units.Left)
	rapid.Check(t, func(r *rapid.T) {
		in := SessionInput{Plan: plan, Wire: rapid.String().Draw(r, "wire"), Seams: []Seam{{rapid.String().Draw(r, "seam"), []int{1}}}}
		d, err := Session(in)
		require.NoError(t, err)
		var file bytes.Buffer
		require.NoError(t, d.WritePDF(&file))
		require.NoError(t, d.WriteSVG(0, &file))
	})
}

func TestNumbersAreBrief(t *testing.T) {
	for want, v := range map[string]float64{"3": 3, "0.4": 0.4, "−1.8": -1.8, "0": -0.001, "2.35": 2.3456, "10": 10, "100": 100} {
		assert.Equal(t, want, decimal(v))
	}
}

func TestWordsBesideAFigureKeepTheirOrderAndTheirDistance(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		const pitch = 4
		at := 0.0
		var column []callout
		for range rapid.IntRange(1, 12).Draw(r, "words") {
			at -= rapid.Float64Range(0, 8).Draw(r, "lower")
			column = append(column, callout{"x", [2]float64{0, at}})
		}
		heights := spread(column, pitch)
		sum := 0.0
		for i := range column {
			if i > 0 {
				require.GreaterOrEqual(t, heights[i-1]-heights[i], pitch-1e-9)
			}
			sum += heights[i] - column[i].at[1]
		}
		require.InDelta(t, 0, sum, 1e-6, "as near as can be in the mean")
	})
}
