package units

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
)

// drawn plans a case from a drawing.
func drawn(t *testing.T, file, drawing string) (*Plan, error) {
	t.Helper()
	c, err := casefile.Parse("case.yaml", []byte(file))
	require.NoError(t, err)
	sheet, err := template.ReadFrom(t.Context(), strings.NewReader(drawing), "sheet.svg", c.TemplateOptions())
	require.NoError(t, err)
	return NewPlan(t.Context(), c, sheet)
}

const plainDrawing = `<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">
<rect id="ear" x="10" y="10" width="40" height="60"/>`

func TestShapesThatAreNotUsedAreListed(t *testing.T) {
	plan := func(names string) *Plan {
		p, err := drawn(t, "case: a\ntemplate: {drawn: frame"+names+"}\n", plainDrawing+`<rect id="base" x="15" y="15" width="30" height="50"/>
<rect id="helix2" x="70" y="10" width="9" height="9"/><rect id="path10" x="70" y="30" width="9" height="9"><title>whole ear</title></rect></svg>`)
		require.NoError(t, err)
		return p
	}
	p := plan("")
	require.Len(t, p.Findings, 1)
	assert.Equal(t, Warning, p.Findings[0].Severity)
	assert.Equal(t, "2 shapes of the drawing were not used: helix2 (did you mean helix?), path10 (whole ear) (did you "+
		"mean ear?)", p.Findings[0].Message)
	assert.Contains(t, p.Findings[0].Advice, "template: {names: {helix2: helix}}, or leave them out on purpose: "+
		"{helix2: []}")
	assert.Contains(t, p.Findings[0].Advice, "Known: ear, base, helix")
	assert.Empty(t, plan(", names: {helix2: [], path10: []}").Findings, "left out on purpose")
}

// A part that is hidden, or written and not drawn, is not missed without a word.
func TestANamedPartThatIsNotBuiltIsAWarning(t *testing.T) {
	plan := func(names, more string) *Plan {
		p, err := drawn(t, "case: a\ntemplate: {drawn: frame"+names+"}\n", plainDrawing+"\n"+`<rect id="base" x="15" y="15" width="30" height="50"/>`+"\n"+more+"</svg>")
		require.NoError(t, err)
		return p
	}
	const hidden = `<rect id="helix" style="display:none" width="5" height="9"/>`
	p := plan("", hidden)
	require.Len(t, p.Findings, 1)
	assert.Equal(t, Finding{Rule: "named-shape-not-drawn", Severity: Warning,
		Message: "helix (line 4 of the drawing) was not built as helix: it is hidden (display: none)",
		Advice: "Show it in the drawing program, or leave it out on purpose in the case file: template: {names: {helix: " +
			"[]}}",
	}, p.Findings[0])
	assert.Empty(t, plan(", names: {helix: []}", hidden).Findings)
	p = plan(", names: {k: tragus}", `<g visibility="hidden"><rect id="k" width="5" height="9"/></g>`)
	require.Len(t, p.Findings, 1)
	assert.Equal(t, Warning, p.Findings[0].Severity)
	assert.Contains(t, p.Findings[0].Message, "k (line 4 of the drawing) was not built as tragus: it is hidden "+
		"(visibility: hidden)")

	assert.Equal(t, Warning, plan("", `<text id="concha">concha</text>`).Findings[0].Severity)
	assert.Equal(t, Note, plan("", `<text id="base-label">base</text>`).Findings[0].Severity, "the base is drawn, this is its caption")
	assert.Len(t, plan("", strings.Repeat(hidden, 20)).Findings, shownIgnored+1)
}

// What was too small to be meant is said.
func TestHealedOutlinesAreNoted(t *testing.T) {
	p, err := drawn(t, "case: a\ntemplate: {drawn: frame}\n", plainDrawing+
		`<path id="base" d="M15 15 H45 V65 H15 V14.9997 L15.0002 15.0003 z M20 20 h5 z"/></svg>`)
	require.NoError(t, err)
	require.Len(t, p.Findings, 1)
	assert.Equal(t, Note, p.Findings[0].Severity)
	assert.Regexp(t, `^base \(line 2 of the drawing\): 1 hooks of up to 0\.000\d+ mm, where the outline met itself, were taken out; 1 pieces that enclose nothing were left out$`,
		p.Findings[0].Message)
}

func TestAFrameworkWithoutABaseFrameIsSaid(t *testing.T) {
	sheet := testSheet()
	withoutBase := append(sheet[:1:1], sheet[2:]...)
	p := planOf(t, frameCase, withoutBase)
	require.Len(t, p.Findings, 2)
	assert.Equal(t, Error, p.Findings[0].Severity)
	assert.Contains(t, p.Findings[0].Message, "no base frame is drawn")
	assert.Equal(t, Note, p.Findings[1].Severity)
	assert.Contains(t, p.Findings[1].Message, `"L a1" is not engraved`)

	meant := planOf(t, frameCase+"leave_out: base\nengrave: {on: false}\n", testSheet())
	assert.Empty(t, meant.Findings, "left out on purpose")
}

func TestNothingToBuildListsWhatWasNotUsed(t *testing.T) {
	_, err := drawn(t, "case: a\n", plainDrawing+`<rect id="basement" x="15" y="15" width="30" height="50"/></svg>`)
	assert.ErrorContains(t, err, "nothing to build: no outline of the template is a part of the framework; a shape of "+
		"the drawing was not used: basement (did you mean base?)")
}

func TestLeavingOutEverythingIsSaid(t *testing.T) {
	c, err := casefile.Parse("case.yaml", []byte(frameCase+"leave_out: [base, helix, antihelix, tragus, concha]\n"))
	require.NoError(t, err)
	_, err = NewPlan(t.Context(), c, &template.Sheet{Outlines: testSheet()})
	assert.ErrorContains(t, err, "case.yaml:3:12: leave_out: nothing to build: every part that is drawn is left out")
}

func TestASkinThatLeavesNothingIsSaid(t *testing.T) {
	c, err := casefile.Parse("case.yaml", []byte(skinCase))
	require.NoError(t, err)
	_, err = NewPlan(t.Context(), c, &template.Sheet{Outlines: plateSheet(4, 30)})
	assert.ErrorContains(t, err, "nothing to build: the skin leaves nothing of any part that is drawn; nothing is left "+
		"of the outline base")
	assert.ErrorContains(t, err, "at its widest it is 4.0 mm wide, no more than twice the thickness of the skin")
}

// An ear drawn ten times too large or too small, or an outline far off, is a
// fault before it costs time and memory.
func TestASizeThatNoEarHasIsRefused(t *testing.T) {
	for _, c := range []struct{ drawing, want string }{
		{strings.Replace(plainDrawing, `90mm" height="90mm`, `90cm" height="90cm`, 1), "sheet.svg: the ear is 600 mm long, 20 to 120 mm is expected; is the drawing in cm, or its scale wrong?"},
		{strings.Replace(plainDrawing, `90mm" height="90mm`, `9mm" height="9mm`, 1), "sheet.svg: the ear is 6 mm long"},
		{strings.Replace(plainDrawing, "ear", "helix", 1) + `<rect id="base" x="800" y="10" width="9" height="9"/>`, "all outlines together are 799 mm long"},
		{plainDrawing + `<rect id="base" x="800" y="10" width="9" height="9"/>`, "sheet.svg: base: reaches 779 mm from the middle of the ear, at most 250 mm is expected"},
	} {
		_, err := drawn(t, "case: a\n", c.drawing+"</svg>")
		assert.ErrorIs(t, err, template.BadSize)
		assert.ErrorContains(t, err, c.want)
	}
	for _, length := range []float64{shortestEar, longestEar} {
		planOf(t, frameCase, plateSheet(15, length))
	}
}

func TestThePlanSaysWhatTheDrawingGave(t *testing.T) {
	turned := func(slope string) *Plan {
		p, err := drawn(t, frameCase, plainDrawing+`<rect id="base" x="15" y="15" width="30" height="50"/><path id="frankfort" d="M0 0 L`+slope+`"/></svg>`)
		require.NoError(t, err)
		return p
	}
	p := turned("80 0")
	values := map[string]Value{}
	for _, v := range p.Values {
		values[v.Path] = v
	}
	note := "measured on sheet.svg"
	assert.Equal(t, Value{Path: "template.scale_from", Value: "the drawing's width and " +
		"height", Unit: "", Origin: FromTemplate, Note: note}, values["template.scale_from"])
	assert.Equal(t, Value{Path: "template.turned", Value: 0.0, Unit: "degrees", Origin: FromTemplate, Note: note}, values["template.turned"])
	assert.Equal(t, Value{Path: "template.ear_length_measured", Value: 60.0, Unit: "mm", Origin: FromTemplate, Note: note}, values["template.ear_length_measured"])
	assert.Equal(t, Value{Path: "template.ear_breadth_measured", Value: 40.0, Unit: "mm", Origin: FromTemplate, Note: note}, values["template.ear_breadth_measured"])
	assert.Equal(t, 1.0, values["template.scale"].Value)
	assert.Empty(t, p.Findings)

	p = turned("50 50")
	require.Len(t, p.Findings, 1)
	assert.Equal(t, Warning, p.Findings[0].Severity)
	assert.InDelta(t, 45, p.Findings[0].Value, 1e-9)
	assert.Contains(t, p.Findings[0].Message, "turned by 45 degrees")
	for _, v := range p.Values {
		if v.Path == "template.ear_length_measured" {
			// A rectangle at 45 degrees reaches (a + b)/√2 either way.
			assert.InDelta(t, 100/math.Sqrt2, v.Value, 0.01)
		}
	}
}

func TestATextOfTheOtherSideIsNoticed(t *testing.T) {
	for text, notes := range map[string]int{"R a1": 1, "r": 1, "L a1": 0, "Rim": 0} {
		p := planOf(t, frameCase+"engrave: {text: "+text+"}\n", testSheet())
		require.Len(t, p.Findings, notes, text)
		if notes > 0 {
			assert.Equal(t, Note, p.Findings[0].Severity)
			assert.Contains(t, p.Findings[0].Message, "the other side; this is a left ear")
		}
	}
}
