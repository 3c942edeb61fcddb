package template

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const head = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" `

// readText reads a drawing given as text.
func readText(text string, options Options) (*Sheet, error) {
	return ReadFrom(context.Background(), strings.NewReader(text), "ear.svg", options)
}

func mustRead(t *testing.T, text string, options Options) *Sheet {
	sheet, err := readText(text, options)
	require.NoError(t, err)
	return sheet
}

// inMillimetres wraps shapes in a drawing of 100 by 100 mm, one unit a mm.
func inMillimetres(shapes string) string {
	return head + `width="100mm" height="100mm" viewBox="0 0 100 100">` + "\n" + shapes + "\n</svg>"
}

// CSS Values and Units Level 3, section 5.2: 1 in = 2.54 cm = 25.4 mm = 72 pt =
// 6 pc = 96 px, 1 Q = 1/40 cm; SVG 1.1, sections 7.2, 7.7 and 7.8.
func TestUnitsOfLengthAreThoseOfCSS(t *testing.T) {
	square := `<rect id="ear" width="10" height="20"/></svg>`
	for size, want := range map[string]float64{ // length of the ear, mm
		`width="50mm" height="50mm" viewBox="0 0 50 50"`:                                       20,
		`width="5cm" height="5cm" viewBox="0 0 50 50"`:                                         20,
		`width="2in" height="2in" viewBox="0 0 50 50"`:                                         2 * 25.4 / 50 * 20,
		`width="144pt" height="144pt" viewBox="0 0 50 50"`:                                     2 * 25.4 / 50 * 20,
		`width="12pc" height="12pc" viewBox="0 0 50 50"`:                                       2 * 25.4 / 50 * 20,
		`width="192px" height="192px" viewBox="0 0 50 50"`:                                     2 * 25.4 / 50 * 20,
		`width="200Q" height="200q" viewBox="0 0 50 50"`:                                       20,
		`width="1e2mm" height="+1.0E+2mm" viewBox="0,0,50,50"`:                                 40,
		`width="50mm" height="50mm"`:                                                           20 * 25.4 / 96,
		`width="50mm" viewBox="0 0 50 70"`:                                                     20,
		`height="50mm" viewBox="0 0 70 50"`:                                                    20,
		`width="100mm" height="50mm" viewBox="0 0 50 50"`:                                      20,
		`width="100mm" height="50mm" viewBox="0 0 50 50" preserveAspectRatio="xMidYMid slice"`: 40,
		`width="50mm" height="100mm" viewBox="0 0 50 50" preserveAspectRatio="none"`:           40,
	} {
		sheet := mustRead(t, head+size+">"+square, Options{})
		assert.InDelta(t, want, sheet.Part("ear")[0].Length(), 1e-9, size)
		assert.Equal(t, FromDocument, sheet.ScaleSource)
	}
}

func TestADrawingWithoutSizeNeedsAScale(t *testing.T) {
	ear := `<rect id="ear" x="3" y="4" width="10" height="20"/>`
	for _, size := range []string{``, `width="50" height="50"`, `width="100%" height="100%"`, `width="2em"`, `width="auto"`} {
		_, err := readText(head+size+` viewBox="0 0 50 50">`+ear+`</svg>`, Options{})
		assert.ErrorIs(t, err, NoSize, size)
		assert.ErrorContains(t, err, "draw a line with the id scale")
	}
	open := head + `viewBox="0 0 50 50">` + ear
	marked := open + `<line id="scale" data-mm="30" x1="0" y1="45" x2="10" y2="45"/></svg>`

	sheet := mustRead(t, open+`</svg>`, Options{EarLength: 60})
	assert.Equal(t, FromEarLength, sheet.ScaleSource)
	assert.InDelta(t, 60, sheet.Part("ear")[0].Length(), 1e-9)
	assert.InDelta(t, 3, sheet.Scale, 1e-9)

	sheet = mustRead(t, marked, Options{})
	assert.Equal(t, FromScaleMark, sheet.ScaleSource)
	assert.InDelta(t, 60, sheet.Part("ear")[0].Length(), 1e-9)

	mustRead(t, marked, Options{EarLength: 60.3})
	_, err := readText(marked, Options{EarLength: 62})
	assert.ErrorIs(t, err, ScaleClash)
	assert.ErrorContains(t, err, "the ear is given as 62 mm long, the scale mark makes it 60 mm")

	_, err = readText(head+`><rect id="base" width="10" height="10"/></svg>`, Options{EarLength: 60})
	assert.ErrorIs(t, err, NoSize)
	assert.ErrorContains(t, err, "no outline named ear")
}

func TestTheScaleMarkIsHeldAgainstTheDrawing(t *testing.T) {
	drawing := func(long string) string {
		return inMillimetres(`<rect id="ear" width="10" height="20"/><line id="scale" data-mm="` + long + `" x1="10" y1="45" x2="60" y2="45"/>`)
	}
	for _, agrees := range []string{"50", "50.2", "49.8", " 50mm "} {
		sheet := mustRead(t, drawing(agrees), Options{})
		assert.Equal(t, 1.0, sheet.Scale, "the drawing's own size counts")
	}
	_, err := readText(drawing("51"), Options{})
	assert.ErrorIs(t, err, ScaleClash)
	assert.ErrorContains(t, err, "the scale mark says it is 51 mm long, the drawing's width and height make it 50 mm")
	assert.NotContains(t, err.Error(), "pixels per inch")
	for long, perInch := range map[string]string{
		fmt.Sprint(50 * 96 / 90.0): "made at 90 pixels per inch", fmt.Sprint(50 * 90 / 96.0): "made at 90 pixels per inch",
		fmt.Sprint(50 * 96 / 72.0): "made at 72 pixels per inch",
	} {
		_, err := readText(drawing(long), Options{})
		assert.ErrorIs(t, err, ScaleClash)
		assert.ErrorContains(t, err, perInch)
	}
	for _, bad := range []string{"", "fifty", "0", "-50", "NaN", "Inf", "1e308"} {
		_, err := readText(drawing(bad), Options{})
		assert.ErrorIs(t, err, BadMark, bad)
	}
	_, err = readText(inMillimetres(`<rect id="ear" width="10" height="20"/><rect id="scale" data-mm="5" width="5" height="1"/>`), Options{})
	assert.ErrorIs(t, err, BadMark)
	assert.ErrorContains(t, err, "not a straight line")
}

func TestTheSheetIsTurnedToTheFrankfortHorizontal(t *testing.T) {
	// An ear 60 by 30 units whose long side stands square to the mark.
	for _, degrees := range []float64{0, 12, -35, 80} {
		for _, swapped := range []bool{false, true} {
			ends := `x1="5" y1="50" x2="95" y2="50"`
			if swapped {
				ends = `x1="95" y1="50" x2="5" y2="50"`
			}
			sheet := mustRead(t, inMillimetres(fmt.Sprintf(`<g transform="rotate(%g 50 50)"><path id="ear" d="M35 20 h30 v60 l-25 0 z"/><line id="frankfort" %s/></g>`, degrees, ends)), Options{})
			ear := sheet.Part("ear")[0]
			assert.InDelta(t, 60, ear.Length(), 1e-9, "turned by %g", degrees)
			assert.InDelta(t, degrees, mgl64.RadToDeg(sheet.Turned), 1e-9, "counter-clockwise undoes clockwise")
			assert.InDelta(t, sheet.Frankfort[0][1], sheet.Frankfort[1][1], 1e-9)
			assert.Less(t, sheet.Frankfort[0][0], sheet.Frankfort[1][0])
			lo, hi := ear.Bounds()
			assert.InDelta(t, 0, lo.Add(hi).Len(), 1e-9, "the ear's middle is the origin")
			low := ear.Outer[0]
			for _, p := range ear.Outer {
				if p[1] < low[1] {
					low = p
				}
			}
			assert.InDelta(t, -30, low[1], 1e-9, "what is below on the drawing is below on the sheet")
		}
	}
	_, err := readText(inMillimetres(`<rect id="ear" width="10" height="20"/><line id="frankfort" x1="5" y1="5" x2="5" y2="95"/>`), Options{})
	assert.ErrorIs(t, err, BadMark)
	assert.ErrorContains(t, err, "stands upright")
}

func TestMirrorTurnsTheSheetOver(t *testing.T) {
	drawing := inMillimetres(`<path id="ear" d="M0 0 h10 v20 z"/>`)
	plain, mirrored := mustRead(t, drawing, Options{}), mustRead(t, drawing, Options{Mirror: true})
	assert.True(t, mirrored.Mirrored)
	right := mgl64.Vec2{5, -10}
	assert.Contains(t, plain.Part("ear")[0].Outer, right)
	assert.Contains(t, mirrored.Part("ear")[0].Outer, mgl64.Vec2{-right[0], right[1]})
	assert.Positive(t, mirrored.Part("ear")[0].Outer.Area(), "outer rings stay counter-clockwise")
}

func TestOutlinesAreNamedInManyWays(t *testing.T) {
	for name, text := range map[string]string{
		"id":                     `<rect id="helix" width="9" height="9"/>`,
		"id with more":           `<rect id="helix-rim" width="9" height="9"/>`,
		"id in capitals":         `<rect id="Helix_2" width="9" height="9"/>`,
		"data-part":              `<rect id="ear" data-part="helix" width="9" height="9"/>`,
		"title":                  `<rect id="rect12" width="9" height="9"><title>Helix, rim and crus</title></rect>`,
		"layer":                  `<g inkscape:groupmode="layer" inkscape:label="Helix"><rect width="9" height="9"/></g>`,
		"group":                  `<g id="helix"><g><rect id="rect4" width="9" height="9"/></g></g>`,
		"own before the group's": `<g id="base"><rect id="helix" width="9" height="9"/></g>`,
		"use":                    `<defs><rect id="ear" width="9" height="9"/></defs><use id="helix" href="#ear"/>`,
		"symbol":                 `<symbol id="s"><rect id="r" width="9" height="9"/></symbol><use id="helix" href="#s"/>`,
		"what a use shows":       `<defs><rect id="helix" width="9" height="9"/></defs><use href="#helix"/>`,
	} {
		sheet := mustRead(t, inMillimetres(text), Options{})
		require.Len(t, sheet.Outlines, 1, name)
		assert.Equal(t, "helix", sheet.Outlines[0].Part, name)
		assert.InDelta(t, 81, sheet.Outlines[0].Area(), 1e-9, name)
	}
}

func TestNamesOfTheCaseFile(t *testing.T) {
	drawing := inMillimetres(`<path d="M0 0 h40 v60 h-40 z"/> <path id="tragus" d="M1 1 h5 v5 h-5 z"/> <path d="M10 10 h5 v5 h-5 z m10 0 h5 v5 h-5 z"/>`)
	sheet := mustRead(t, drawing, Options{Names: map[string][]string{"path-1": {"ear", "base"}, "path-2": {"antihelix"}, "tragus": {}}})
	var found []string
	for _, o := range sheet.Outlines {
		found = append(found, o.ID+" "+o.Part)
	}
	assert.Equal(t, []string{"path-1 ear", "path-1 base", "path-2 antihelix", "path-2 antihelix"}, found)
	assert.Empty(t, sheet.Ignored, "an empty list leaves a shape out on purpose")

	_, err := readText(drawing, Options{Names: map[string][]string{"path-3": {"base"}, "path-2": {"antehelix"}}})
	assert.ErrorIs(t, err, BadName)
	assert.ErrorContains(t, err, `no element with the id "path-3"; did you mean path-1? known: path-1, tragus, path-2`)
	assert.ErrorContains(t, err, `"antehelix" is given to path-2, which is not a part or mark; did you mean antihelix?`)
	shown := inMillimetres(`<symbol id="s"><rect id="r" width="9" height="9"/><rect id="t" width="8" height="8"/></symbol><use id="u" href="#s"/><use id="v" href="#s" x="20"/>`)
	for name, count := range map[string]int{"u/r": 1, "v/t": 1, "r": 2} { // a shape in one use, or in all
		sheet := mustRead(t, shown, Options{Names: map[string][]string{name: {"concha"}}})
		assert.Len(t, sheet.Part("concha"), count, name)
	}
	_, err = readText(inMillimetres(`<rect id="a" data-part="helx" width="9" height="9"/>`), Options{})
	assert.ErrorContains(t, err, "did you mean helix?")
}

func TestShapesWithoutAKnownNameAreListedWithWhatTheyMayBe(t *testing.T) {
	sheet := mustRead(t, inMillimetres(`<rect id="ear" width="40" height="60"/>
<g inkscape:label="whole ear" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" inkscape:groupmode="layer"><rect id="p1" width="9" height="9"/></g>
<rect id="helix2" width="9" height="9"/><rect id="anti-helix" width="9" height="9"/><rect id="basement" width="9" height="9"/>
<rect id="helxi" width="9" height="9"/><rect id="shape7" width="9" height="9"/><rect id="x"><title>left tragus</title></rect>`), Options{})
	want := []Ignored{
		{"p1", "whole ear", "ear"}, {"helix2", "", "helix"}, {"anti-helix", "", "antihelix"}, {"basement", "", "base"},
		{"helxi", "", "helix"}, {"shape7", "", ""}, {"x", "left tragus", "tragus"},
	}
	assert.Equal(t, want, sheet.Ignored)
}

func TestNothingNamedListsWhatThereIs(t *testing.T) {
	_, err := readText(inMillimetres(`<rect id="helix2" width="9" height="9"/><rect id="x" width="9" height="9"/>`), Options{})
	assert.ErrorContains(t, err, "the drawing has helix2 (did you mean helix?), x")
	_, err = readText(inMillimetres(`<rect id="rect7" width="9" height="9"/><circle r="4"/>`), Options{})
	assert.ErrorIs(t, err, NothingHere)
	assert.ErrorContains(t, err, "the drawing has rect7, circle-1")
	assert.ErrorContains(t, err, "ear, base, helix, antihelix, tragus, concha, scapha, fossa, pocket")
}

func TestFillRulesMakeHoles(t *testing.T) {
	same, against := "M5 5 h10 v10 h-10 z", "M5 5 v10 h10 v-10 z"
	inner := " M8 8 h2 v2 h-2 z"
	outer := "M0 0 h20 v20 h-20 z "
	for name, row := range map[string]struct {
		text          string
		pieces, holes int
		area          float64
	}{
		"nonzero, wound alike":      {`<path id="base" d="` + outer + same + `"/>`, 1, 0, 400},
		"nonzero, wound against":    {`<path id="base" d="` + outer + against + `"/>`, 1, 1, 300},
		"evenodd":                   {`<path id="base" fill-rule="evenodd" d="` + outer + same + `"/>`, 1, 1, 300},
		"evenodd by style":          {`<path id="base" fill-rule="nonzero" style="fill:red; fill-rule: evenodd" d="` + outer + same + `"/>`, 1, 1, 300},
		"evenodd by style sheet":    {`<style>/* x */ .st0, .st1{fill-rule:evenodd;clip-rule:evenodd}</style><path id="base" class="st1" d="` + outer + same + `"/>`, 1, 1, 300},
		"the id before the class":   {`<style>#base{fill-rule:evenodd}.a{fill-rule:nonzero}</style><path id="base" class="a" d="` + outer + same + `"/>`, 1, 1, 300},
		"the class before the name": {`<style>.a{fill-rule:evenodd}</style><style>path,*{fill-rule:nonzero}</style><path id="base" class="a" d="` + outer + same + `"/>`, 1, 1, 300},
		"the later of two classes":  {`<style>.a{fill-rule:nonzero}.b{fill-rule:evenodd}</style><path id="base" class="b a" d="` + outer + same + `"/>`, 1, 1, 300},
		"a sheet before attributes": {`<style>*{fill-rule:evenodd}</style><path id="base" fill-rule="nonzero" d="` + outer + same + `"/>`, 1, 1, 300},
		"evenodd from the group":    {`<g fill-rule="evenodd"><path id="base" d="` + outer + same + `"/></g>`, 1, 1, 300},
		"island in the hole":        {`<path id="base" fill-rule="evenodd" d="` + outer + same + inner + `"/>`, 2, 1, 304},
		"island, nonzero":           {`<path id="base" d="` + outer + against + inner + `"/>`, 2, 1, 304},
		"two pieces":                {`<path id="base" d="` + outer + "M30 0 h10 v10 h-10 z" + `"/>`, 2, 0, 500},
		"drawn the other way round": {`<path id="base" d="M0 0 v20 h20 v-20 z ` + same + `"/>`, 1, 1, 300},
	} {
		sheet := mustRead(t, inMillimetres(row.text), Options{})
		area, holes := 0.0, 0
		for _, o := range sheet.Outlines {
			assert.Positive(t, o.Outer.Area(), name)
			for _, hole := range o.Holes {
				assert.Negative(t, hole.Area(), name)
			}
			area += o.Area()
			holes += len(o.Holes)
		}
		assert.Len(t, sheet.Outlines, row.pieces, name)
		assert.Equal(t, row.holes, holes, name)
		assert.InDelta(t, row.area, area, 1e-9, name)
	}
}

// The area of a disc from a circle, an ellipse, arcs and a rounded rect: a
// polygon within tolerance e of a circle of radius r has an area within 2 pi r e.
func TestCurvesAreFlattenedWithinTolerance(t *testing.T) {
	for _, text := range []string{
		`<circle id="ear" cx="50" cy="50" r="20"/>`,
		`<ellipse id="ear" cx="50" cy="50" rx="20" ry="20"/>`,
		`<path id="ear" d="M30 50 a20 20 0 0 1 40 0 a20 20 0 0 1 -40 0 z"/>`,
		`<rect id="ear" x="30" y="30" width="40" height="40" rx="20"/>`,
		`<g transform="scale(1000)"><circle id="ear" cx=".05" cy=".05" r=".02"/></g>`,
	} {
		for _, tolerance := range []float64{0, 0.5, 0.001} {
			sheet := mustRead(t, inMillimetres(text), Options{Tolerance: tolerance})
			if tolerance == 0 {
				tolerance = DefaultTolerance
			}
			ear := sheet.Part("ear")[0]
			assert.InDelta(t, math.Pi*400, ear.Area(), 2*math.Pi*20*tolerance, text)
			for i, p := range ear.Outer {
				middle := p.Add(ear.Outer[(i+1)%len(ear.Outer)]).Mul(0.5)
				// The origin, the middle of the polygon's box, is off too.
				assert.InDelta(t, 20, middle.Len(), 2*tolerance, text)
			}
			assert.Less(t, len(ear.Outer), int(8+8/math.Sqrt(tolerance/20)), "no more points than needed: %s", text)
		}
	}
}

func TestWhatIsNotShownIsNotRead(t *testing.T) {
	sheet := mustRead(t, inMillimetres(`<rect id="ear" width="30" height="50"/>
		<g display="none"><rect id="base" width="9" height="9"/></g><rect id="base-2" style="display:none" width="9" height="9"/>
		<clipPath id="helix"><rect width="9" height="9"/></clipPath><defs><rect id="tragus" width="9" height="9"/></defs>
		<text id="concha">x</text>`), Options{})
	assert.Len(t, sheet.Outlines, 1)
}
