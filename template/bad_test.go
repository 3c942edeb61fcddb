package template

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An endless drawing, to see that reading stops.
type endless struct{ sent int }

func (e *endless) Read(p []byte) (int, error) {
	start := head + ">"
	n := 0
	if e.sent < len(start) {
		n = copy(p, start[e.sent:])
	}
	for i := n; i < len(p); i++ {
		p[i] = ' '
	}
	e.sent += len(p)
	return len(p), nil
}

func TestBadDrawingsAreRefusedWithTheReason(t *testing.T) {
	deep := strings.Repeat("<g>", 5000) + strings.Repeat("</g>", 5000)
	var laughs strings.Builder // every group shows the one before it ten times
	laughs.WriteString(`<defs><g id="l0"><rect id="base" width="1" height="1"/></g>`)
	for i := 1; i < 12; i++ {
		fmt.Fprintf(&laughs, `<g id="l%d">%s</g>`, i, strings.Repeat(fmt.Sprintf(`<use href="#l%d"/>`, i-1), 10))
	}
	laughs.WriteString(`</defs><use href="#l11"/>`)
	rules := inMillimetres(strings.Repeat("<style>"+strings.Repeat(".a{display:inline}", 1000)+"</style>", 101))
	// Ten thousand uses show a group whose ten elements have 9,000 letters each.
	wordy := `<g id="w">` + strings.Repeat(`<g class="`+strings.Repeat("c ", 4500)+`"/>`, 10) + `</g>` + strings.Repeat(`<use href="#w"/>`, 10_000)
	// Angles one within the other: their boxes overlap, they do not.
	var angles strings.Builder
	for i := range maxOfPart {
		fmt.Fprintf(&angles, `<path id="base-%d" d="M%[1]d %[1]d%sv.5%sV%d h-.5z"/>`, i, strings.Repeat("h4", 120), strings.Repeat("h-4", 119)+"h-3.5", 600)
	}
	for name, row := range map[string]struct {
		text string
		kind Kind
		says string
	}{
		"nothing":          {"", NotSVG, "an empty file"},
		"blank":            {" \n ", NotSVG, "an empty file"},
		"words":            {"an ear, traced", NotSVG, "no element at all"},
		"a page":           {"<html><body/></html>", NotSVG, "the root element is <html>, expected <svg>"},
		"PDF":              {"%PDF-1.7", NotSVG, "save the drawing as SVG"},
		"PNG":              {"\x89PNG\r\n", NotSVG, "picture of pixels"},
		"SVGZ":             {"\x1f\x8b\x08", NotSVG, "unpack it"},
		"JPEG":             {"\xff\xd8\xff\xe0\x00\x10JFIF", NotSVG, "picture of pixels"},
		"GIF":              {"GIF89a", NotSVG, "picture of pixels"},
		"WebP":             {"RIFF\x00\x01\x02\x03WEBPVP8", NotSVG, "picture of pixels"},
		"HEIC":             {"\x00\x00\x00\x18ftypheic", NotSVG, "picture of pixels"},
		"PostScript":       {"%!PS-Adobe-3.0 EPSF-3.0", NotSVG, "a PostScript drawing; save it as SVG"},
		"DXF":              {"999\nmade by\n  0\r\nSECTION\r\n", NotSVG, "a DXF drawing; save it as SVG"},
		"ZIP":              {"PK\x03\x04\x14\x00", NotSVG, "a ZIP archive, as 3MF files"},
		"GLB":              {"glTF\x02\x00\x00\x00", NotSVG, "a mesh"},
		"only text":        {inMillimetres(`<text>Ear</text><image width="9" height="9"/>`), NothingHere, "no shapes, only text and pictures"},
		"nothing drawn":    {inMillimetres(``), NothingHere, "the drawing has no shapes; give"},
		"UTF-16":           {"\xff\xfe<\x00", NotSVG, "UTF-8"},
		"cut off":          {head + "><g>", NotSVG, "not well-formed XML"},
		"odd encoding":     {`<?xml version="1.0" encoding="EBCDIC"?><svg/>`, NotSVG, "save the drawing in UTF-8"},
		"deep":             {inMillimetres(deep), TooLarge, "nested more than 100 deep"},
		"many laughs":      {inMillimetres(laughs.String()), TooLarge, "has more than 100000 lines and curves"},
		"entities":         {`<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>` + inMillimetres("&b;"), NotSVG, "declares entities"},
		"unknown entity":   {inMillimetres("&b;"), NotSVG, "not well-formed"},
		"many elements":    {inMillimetres(strings.Repeat("<g/>", maxElements)), TooLarge, "more than 100000 elements"},
		"many style rules": {rules, TooLarge, "more than 100000 rules"},
		"wordy":            {inMillimetres(wordy), TooLarge, "letters of attributes once every <use> is followed"},
		"angles":           {inMillimetres(angles.String()), TooLarge, "too intricate"},
		"many curves":      {inMillimetres(`<path id="base" d="M0 0` + strings.Repeat("h1", maxSegments+1) + `z"/>`), BadValue, "more than 100000 pieces"},
		"width":            {head + `width="10 apples"><rect id="base" width="1" height="1"/></svg>`, BadValue, `unit "apples" is not known; use mm`},
		"no width":         {head + `width="0mm"><rect id="base" width="1" height="1"/></svg>`, BadValue, "expected a positive length"},
		"viewBox":          {head + `width="10mm" viewBox="0 0 10"><rect id="base" width="1" height="1"/></svg>`, BadValue, "viewBox has 3 numbers, expected 4"},
		"flat viewBox":     {head + `width="10mm" viewBox="0 0 10 0"><rect id="base" width="1" height="1"/></svg>`, BadValue, "must be positive"},
		"many empty laughs": {inMillimetres(strings.Replace(laughs.String(), "<rect id=\"base\" width=\"1\" "+
			"height=\"1\"/>", "", 1)), TooLarge, "once every <use> is followed"},
		"self use":          {inMillimetres(`<g id="a"><use id="base" href="#a"/></g>`), BadValue, "contains this <use> itself"},
		"use of nothing":    {inMillimetres(`<use id="base" href="#b"/>`), BadValue, `refers to "#b", which is not in the drawing`},
		"open":              {inMillimetres(`<path id="base" d="M10 10 h20 v20 h-20 v-19"/>`), OpenPath, "ends lie 1 mm apart"},
		"open arc":          {inMillimetres(`<path id="base" d="M10 10 A5 5 0 1 1 15 15"/>`), OpenPath, "at x 10.000 y 10.000 mm from the drawing's top left corner"},
		"a line":            {inMillimetres(`<line id="base" x2="10" y2="10"/>`), OpenPath, "open"},
		"crossing itself":   {inMillimetres(`<path id="base" d="M10 10 L30 30 H10 L30 10 z"/>`), Crossing, "crosses or touches itself, at x 20.000 y 20.000 mm"},
		"touching itself":   {inMillimetres(`<path id="base" d="M10 10 h20 v20 h-10 l-5 -20 l-5 20 z"/>`), Crossing, "at x 15.000 y 10.000 mm"},
		"folded back":       {inMillimetres(`<path id="base" d="M10 10 h20 v20 h-20 v10 v-10 z"/>`), Crossing, "at x 10.000 y 40.000 mm"},
		"hole crossing":     {inMillimetres(`<path id="base" fill-rule="evenodd" d="M10 10 h20 v20 h-20 z M25 15 h10 v10 h-10 z"/>`), Crossing, "two rings of the shape cross"},
		"no area":           {inMillimetres(`<path id="base" d="M10 10 h20 h-20 z"/>`), ZeroArea, "encloses no area"},
		"a point":           {inMillimetres(`<circle id="base" r="0"/>`), ZeroArea, "encloses no area"},
		"empty path":        {inMillimetres(`<path id="base" d=""/>`), ZeroArea, "draws nothing"},
		"flattened":         {inMillimetres(`<rect id="base" width="9" height="9" transform="scale(1 0)"/>`), ZeroArea, "encloses no area"},
		"two ears cross":    {inMillimetres(`<rect id="ear" width="20" height="20"/>` + "\n" + `<rect id="ear-2" x="10" y="10" width="20" height="20"/>`), Crossing, "ear.svg:3: ear-2: crosses ear (line 2), an outline of the same part ear"},
		"ear in an ear":     {inMillimetres(`<rect id="ear" width="20" height="20"/><rect id="ear-2" x="5" y="5" width="5" height="5"/>`), Crossing, "lies inside ear"},
		"path data":         {inMillimetres(`<path id="base" d="M10 10 L20 x"/>`), BadValue, `path data, command L: expected a number, found "x"`},
		"no moveto":         {inMillimetres(`<path id="base" d="L20 20"/>`), BadValue, "begins with L, expected M"},
		"arc flag":          {inMillimetres(`<path id="base" d="M0 0 A1 1 0 2 0 5 5"/>`), BadValue, "expected a flag 0 or 1"},
		"points":            {inMillimetres(`<polygon id="base" points="0 0 1"/>`), BadValue, "expected pairs"},
		"transform":         {inMillimetres(`<rect id="base" transform="turn(3)" width="1" height="1"/>`), BadValue, "is not one of matrix(6)"},
		"negative size":     {inMillimetres(`<rect id="base" width="-1" height="1"/>`), BadValue, "negative"},
		"not a number":      {inMillimetres(`<path id="base" d="M0 0 L NaN 5 z"/>`), BadValue, "expected a number"},
		"huge":              {inMillimetres(`<path id="base" d="M0 0 L 1e308 5 L5 1e308 z"/>`), BadNumber, "farther out than 1 km"},
		"huge, curved":      {inMillimetres(`<circle id="base" r="1e300"/>`), BadNumber, "farther out than 1 km"},
		"out of range":      {inMillimetres(`<path id="base" d="M0 0 L 1e309 5 L5 5 z"/>`), BadValue, "out of range"},
		"huge scale":        {inMillimetres(`<rect id="base" width="1" height="1" transform="scale(1e200) scale(1e200)"/>`), BadNumber, "not a number"},
		"two frankforts":    {inMillimetres(`<rect id="base" width="9" height="9"/><line id="frankfort" x2="9"/><line id="frankfort-2" x2="8"/>`), BadMark, "a second frankfort mark"},
		"frankfort a point": {inMillimetres(`<rect id="base" width="9" height="9"/><line id="frankfort"/>`), BadMark, "not a straight line"},
	} {
		t.Run(name, func(t *testing.T) {
			sheet, err := readText(row.text, Options{})
			require.Error(t, err)
			assert.Nil(t, sheet)
			assert.ErrorIs(t, err, row.kind)
			assert.ErrorContains(t, err, row.says)
			assert.True(t, strings.HasPrefix(err.Error(), "ear.svg"), "names the file: %v", err)
			requireInspectAgrees(t, row.text, row.kind, row.says)
		})
	}
}

// requireInspectAgrees asks that inspecting tells of the same fault: of a drawing
// that cannot be read as an error, of one outline in its shape. What only the
// names or several outlines together make wrong is listed without a word.
func requireInspectAgrees(t *testing.T, text string, kind Kind, says string) {
	shapes, err := InspectFrom(t.Context(), strings.NewReader(text), "ear.svg")
	if err != nil {
		require.ErrorIs(t, err, kind)
		require.ErrorContains(t, err, says)
		return
	}
	if kind == NothingHere {
		require.Empty(t, shapes)
		return
	}
	require.NotEmpty(t, shapes)
	first := shapes[0]
	switch {
	case kind == BadValue, kind == BadNumber:
		assert.Contains(t, first.Problem, says)
	case kind == OpenPath:
		assert.False(t, first.Closed)
	case kind == ZeroArea:
		assert.Zero(t, first.Area)
	case kind == Crossing && len(shapes) == 1:
		assert.Equal(t, "crosses or touches itself", first.Problem)
	default:
		assert.Empty(t, first.Problem)
		assert.Contains(t, []Kind{Crossing, BadMark, TooLarge}, kind)
	}
}

func TestAllFaultsComeTogether(t *testing.T) {
	_, err := readText(inMillimetres(`<path id="helix" d="M10 10 L30 30 H10 L30 10 z"/>
		<path id="tragus" d="M10 10 h20 v20"/>
		<path id="concha" d="M10 10 h20 z"/>`), Options{})
	var faults Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults, 3)
	for i, want := range []struct {
		line int
		id   string
		kind Kind
	}{{2, "helix", Crossing}, {3, "tragus", OpenPath}, {4, "concha", ZeroArea}} {
		assert.Equal(t, want.line, faults[i].Line)
		assert.Equal(t, want.id, faults[i].ID)
		assert.Equal(t, want.kind, faults[i].Kind)
	}
	_, err = readText(head+`viewBox="0 0 9 9"><path id="ear" d="M1 1 L3 3 H1 L3 1 z"/></svg>`, Options{EarLength: 60})
	assert.ErrorContains(t, err, "at x 2.000 y 2.000 units from the drawing's top left corner")
}

func TestOutlinesOfAPartMayBeLaidEdgeToEdge(t *testing.T) {
	sheet, err := readText(inMillimetres(`<rect id="antihelix-body" width="10" height="30"/><rect id="antihelix-crus" x="9.98" y="5" width="10" height="5"/>
		<path id="concha" d="M10 10 h20 v20 h-20 v-19.995"/>`), Options{})
	require.NoError(t, err)
	assert.Len(t, sheet.Part("antihelix"), 2)
	assert.Len(t, sheet.Part("concha")[0].Outer, 4, "a gap below 0.01 mm is closed")
}

func TestFilesThatCannotBeRead(t *testing.T) {
	_, err := Read(t.Context(), filepath.Join(t.TempDir(), "none.svg"), Options{})
	assert.ErrorIs(t, err, os.ErrNotExist)
	_, err = Read(t.Context(), t.TempDir(), Options{})
	assert.ErrorIs(t, err, NotSVG)
	assert.ErrorContains(t, err, "is a folder")

	large := filepath.Join(t.TempDir(), "large.svg")
	require.NoError(t, os.WriteFile(large, nil, 0o600))
	require.NoError(t, os.Truncate(large, maxBytes))
	for _, read := range []func() error{
		func() error { _, err := Read(t.Context(), large, Options{}); return err },
		func() error { _, err := Inspect(t.Context(), large); return err },
		func() error { _, err := ReadFrom(t.Context(), &endless{}, "endless.svg", Options{}); return err },
	} {
		err := read()
		assert.ErrorIs(t, err, TooLarge)
		assert.ErrorContains(t, err, "the limit is 50 MB")
	}
	_, err = ReadFrom(t.Context(), failing{}, "ear.svg", Options{})
	assert.ErrorIs(t, err, errBroken)

	for _, options := range []Options{{Tolerance: -1}, {Tolerance: math.NaN()}, {EarLength: -3}, {EarLength: math.Inf(1)}} {
		_, err := readText(inMillimetres(`<rect id="ear" width="9" height="9"/>`), options)
		assert.ErrorIs(t, err, BadNumber)
	}
}

var errBroken = errors.New("the disk is gone")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errBroken }
