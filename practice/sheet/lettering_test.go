package sheet

import (
	"bytes"
	"encoding/xml"
	"io"
	"slices"
	"strings"
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
		in := SessionInput{Plan: plan, Wire: rapid.String().Draw(r, "wire"),
			Seams: []Seam{{Name: rapid.String().Draw(r, "seam"), Numbers: []int{1}}}}
		d, err := Session(in)
		require.NoError(t, err)
		var file bytes.Buffer
		require.NoError(t, d.WritePDF(&file))
		file.Reset()
		require.NoError(t, d.WriteSVG(0, &file))
		requireWellFormed(t, &file)
	})
}

// requireWellFormed reads an SVG to its end and looks up every letter it uses.
func requireWellFormed(t require.TestingT, file io.Reader) {
	decoder := xml.NewDecoder(file)
	defined := map[string]bool{}
	used := 0
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			require.NotZero(t, used)
			return
		}
		require.NoError(t, err)
		element, begins := token.(xml.StartElement)
		if !begins {
			continue
		}
		for _, a := range element.Attr {
			switch a.Name.Local {
			case "id":
				require.False(t, defined[a.Value], a.Value)
				defined[a.Value] = true
			case "href":
				if element.Name.Local == "use" {
					require.True(t, defined[strings.TrimPrefix(a.Value, "#")], a.Value)
					used++
				}
			}
		}
	}
}

func TestNumbersAreBrief(t *testing.T) {
	for want, v := range map[string]float64{"3": 3, "0.4": 0.4, "−1.8": -1.8, "0": -0.001, "2.35": 2.3456, "10": 10,
		"100": 100} {
		assert.Equal(t, want, decimal(v))
	}
}

func TestWordsBesideAFigureKeepTheirOrderAndTheirDistance(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		at := 0.0
		var places, pitches []float64
		for range rapid.IntRange(1, 12).Draw(r, "words") {
			at += rapid.Float64Range(0, 8).Draw(r, "further")
			places, pitches = append(places, at), append(pitches, rapid.Float64Range(1, 6).Draw(r, "pitch"))
		}
		moved := spread(places, pitches)
		cost := func(of []float64) (sum float64) {
			for i := range of {
				sum += (of[i] - places[i]) * (of[i] - places[i])
			}
			return sum
		}
		for i := 1; i < len(moved); i++ {
			require.GreaterOrEqual(t, moved[i]-moved[i-1], pitches[i]-1e-9)
		}
		// No run of neighbours can move together and be nearer.
		for first := range moved {
			for last := first; last < len(moved); last++ {
				for _, by := range []float64{-0.01, 0.01} {
					other := slices.Clone(moved)
					for i := first; i <= last; i++ {
						other[i] += by
					}
					allowed := (first == 0 || other[first]-other[first-1] >= pitches[first]) &&
						(last == len(moved)-1 || other[last+1]-other[last] >= pitches[last+1])
					if allowed {
						require.GreaterOrEqual(t, cost(other), cost(moved)-1e-9)
					}
				}
			}
		}
	})
}
