package template

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What moves a shape and cannot be followed is a fault at its line: a part that
// lies elsewhere than a browser shows it must not be built, nor dropped.
func TestTransformsThatCannotBeFollowedAreFaults(t *testing.T) {
	base := `<rect id="base" width="20" height="20"/>` + "\n"
	for name, row := range map[string]struct{ drawing, place, says string }{
		"of an unnamed shape": {base + `<rect transform="turn(3)" width="1" height="1"/>`, "ear.svg:3: rect-1: ", "is not one of matrix(6)"},
		"of a group":          {base + `<g transform="rotate(5"><rect id="helix" width="9" height="9"/></g>`, "ear.svg:3: ", "is not closed"},
		"all within one":      {`<g transform="scale(x)">` + base + `</g>`, "ear.svg:2: ", "expected a number"},
		"of a use":            {base + `<use href="#base" transform="9"/>`, "ear.svg:3: use-1: ", "expected a function"},
		"unit missing":        {base + `<path id="helix" style="transform: translate(10, 5)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "a length with its unit"},
		"angle without unit":  {base + `<path id="helix" style="transform: rotate(10)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "deg, rad, grad or turn"},
		"blanks for commas":   {base + `<path id="helix" style="transform: translate(1px 5px)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "a length with its unit"},
		"out of the plane":    {base + `<path id="helix" style="transform: rotateX(10deg)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "out of its plane"},
		"calculated":          {base + `<path id="helix" style="transform: rotate(calc(1deg + 2deg))" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "another function within it"},
		"of the page":         {base + `<path id="helix" style="transform: translate(1em, 0)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "a length with its unit"},
		"about its own box":   {base + `<path id="helix" style="transform-box: fill-box; transform: rotate(9deg)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "transform-box: fill-box is not followed"},
		"about no place":      {base + `<path id="helix" style="transform-origin: bottom 9px; transform: rotate(9deg)" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "is not a place"},
		"along a path":        {base + `<path id="helix" style="offset-path: path('M0 0L9 9')" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "offset-path"},
		"enlarged":            {base + `<path id="helix" style="zoom: 2" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "zoom"},
		"path by style":       {base + `<path id="helix" style="d: path('M0 0h5v5z')" d="M0 0h9v9z"/>`, "ear.svg:3: helix: ", "given by a style"},
		"by a rule":           {base + "<style>\n#helix{transform:turn(3deg)}</style>" + `<path id="helix" d="M0 0h9v9z"/>`, "ear.svg:4: helix: ", "is not known here"},
		"rule not understood": {base + "<style>\n\n/* a\nb */ path:first-child { transform: scale(2) " +
			"}</style>", "ear.svg:6: ", "has a selector that is not understood"},
		"rule on a condition": {base + "<style>@media (min-width: 9px) { path { display: none } " +
			"}</style>", "ear.svg:3: ", "under a condition"},
		"many conditions": {base + "<style>" + strings.Repeat("@media all {", 11) + "</style>", "ear.svg:3: ", "too " +
			"many conditions"},
		"rules within a rule": {base + "<style>g { transform: none; path { display: none } }</style>", "ear.svg:3: ", "has " +
			"rules within it"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := readText(inMillimetres(row.drawing), Options{})
			require.ErrorIs(t, err, BadValue)
			assert.True(t, strings.HasPrefix(err.Error(), row.place), "at %s: %v", row.place, err)
			assert.ErrorContains(t, err, row.says)
			var faults Faults
			require.ErrorAs(t, err, &faults)
			assert.Len(t, faults, 1)
			assert.NotEmpty(t, faults[0].Advice)
		})
	}
}

// Rules that say nothing of place or sight, or hold only under a pointer or on
// paper, are passed over.
func TestStylesThatDoNotMatterAreNoFaults(t *testing.T) {
	sheet, err := readText(inMillimetres(`<style>
		@import url("other.css"); @font-face { font-family: "a}b"; src: url(x) }
		@keyframes turn { to { transform: rotate(1turn) } }
		@media (prefers-color-scheme: dark) { path { fill: #fff } }
		@media print { #base { display: none } }
		path:hover, path::before, #base:active { transform: scale(2) }
		path:nth-child(2n) { fill: red } [id] ~ path { stroke: blue }
		text { content: "} #base { display: none } " }
	</style><rect id="base" width="20" height="20" style="font: 'a;transform:scale(2)'; fill: none"/>`), Options{})
	require.NoError(t, err)
	assert.InDelta(t, 400, sheet.Part("base")[0].Area(), 1e-9)
	// A shape left out on purpose may be moved as it likes.
	_, err = readText(inMillimetres(`<rect id="base" width="20" height="20"/><rect id="x" transform="turn(3)" width="1" height="1"/>`),
		Options{Names: map[string][]string{"x": {}}})
	assert.NoError(t, err)
}

func TestStyleSheetsCostLittle(t *testing.T) {
	deep := strings.Repeat("<g class='a'>", 90)
	nested := strings.Repeat(".a ", 40)
	hostile := "<style>" + strings.Repeat(nested+"rect{display:inline}", 500) + "</style>" +
		deep + strings.Repeat(`<rect width="1" height="1"/>`, 500) + strings.Repeat("</g>", 90)
	_, err := readText(inMillimetres(strings.ReplaceAll(hostile, nested, ".b "+nested)), Options{})
	assert.ErrorIs(t, err, TooLarge)
	assert.ErrorContains(t, err, "too intricate")
}

// What is named and not drawn is told of, with the reason and its line; what is
// not named, or left out on purpose, is not.
func TestWhatIsNamedAndNotDrawnIsTold(t *testing.T) {
	sheet, err := readText(inMillimetres(`
<rect id="base" width="20" height="20"/>
<path id="helix" style="display: none" d="M0 0h9v9z"/>
<g visibility="hidden"><path id="tragus" d="M0 0h9v9z"/><path d="M0 0h9v9z"/></g>
<g id="layer2" style="display:none"><path id="antihelix-crura" d="M0 0h9v9z"/><path id="other" d="M0 0h9v9z"/></g>
<g id="concha" style="display:none"><path id="a" d="M0 0h9v9z"/><path id="concha-2" d="M0 0h9v9z"/></g>
<text id="scapha">Scapha</text>
<g id="base-more"><text>the base</text><path style="display:none" d="M0 0h9v9z"/></g>
<defs><path id="fossa" d="M0 0h9v9z"/><linearGradient id="ear-gradient"/><path id="shown" d="M0 0h9v9z"/></defs>
<clipPath id="ear"><rect id="ear-clip" width="3" height="3"/></clipPath>
<use id="antihelix" href="#shown" x="30"/>
<switch><path id="ear-1" d="M0 0h9v9z" systemLanguage="xx"/><g id="ear-2"/><path id="ear-3" d="M0 0h9v9z"/></switch>
<image id="pocket" width="9" height="9"/>
<path id="ear-left" display="none" d="M0 0h9v9z"/>
<title id="ear-title">Ear</title>`), Options{Names: map[string][]string{"ear-left": {}}})
	require.NoError(t, err)
	var told []string
	for _, left := range sheet.LeftOut {
		told = append(told, left.ID+" "+left.Why)
		assert.Positive(t, left.Line)
		assert.NotEmpty(t, left.Parts)
		assert.Equal(t, left.ID == "scapha" || left.ID == "pocket", left.Shows, left.ID)
	}
	assert.Equal(t, []string{
		"helix is hidden (display: none)",
		"tragus is hidden (visibility: hidden)",
		`antihelix-crura lies in <g> "layer2" (line 6), which is hidden (display: none)`,
		"concha is hidden (display: none)",
		"scapha is text, which has no outline here; make it a path in the drawing program",
		"path-2 is hidden (display: none)",
		"ear-1 is for another language or program (systemLanguage, requiredExtensions)",
		"ear-2 draws nothing",
		"ear-3 is another child of a <switch> than the one that is drawn",
		"pocket is a picture, which has no outline here; trace it in the drawing program",
		"fossa lies in <defs> (line 10), and no <use> shows it",
	}, told)
	assert.Equal(t, []string{"helix"}, sheet.LeftOut[0].Parts)
	require.Len(t, sheet.Outlines, 2)
	_, err = readText(inMillimetres(`<path id="base" display="none" d="M0 0h9v9z"/>`), Options{})
	assert.ErrorIs(t, err, NothingHere)
	assert.ErrorContains(t, err, "base (line 2) is hidden (display: none)")
}
