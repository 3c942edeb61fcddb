package units

import (
	"math"
	"strings"
	"testing"

	"earframe/field"
	"earframe/template"
	"earframe/units/lettering"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plateSheet is a level plate, long along y unless turned.
func plateSheet(width, height float64) []template.Outline {
	return []template.Outline{{ID: "base", Part: "base", Outer: template.Ring{
		{-width / 2, -height / 2}, {width / 2, -height / 2}, {width / 2, height / 2}, {-width / 2, height / 2},
	}}}
}

func letteredOf(t *testing.T, p *Plan) *Lettered {
	t.Helper()
	lettered, err := p.Lettered(t.Context())
	require.NoError(t, err)
	return lettered
}

func TestSideAndCaseAreEngravedWhereThereIsRoom(t *testing.T) {
	p := planOf(t, frameCase, testSheet())
	lettered := letteredOf(t, p)
	require.NotNil(t, lettered.Engraving)
	assert.Equal(t, "L A1", strings.Join(lettered.Engraving.Lines, " "))
	assert.GreaterOrEqual(t, lettered.Engraving.Stroke, p.Printer.EngraveWidth)

	letters, err := lettered.Engraving.Solid()
	require.NoError(t, err)
	base, err := template.Region(p.outlinesOf("base")[0])
	require.NoError(t, err)
	concha, err := template.Region(p.outlinesOf("concha")[0])
	require.NoError(t, err)
	for _, ring := range lettered.Engraving.Rings {
		for _, q := range ring {
			assert.Less(t, base.Distance(q), -lettering.Margin, "inside the base frame's outline")
			assert.Positive(t, concha.Distance(q), "not under the conchal vault")
		}
	}
	// The letters are as deep as asked, and widen their strokes by as much as said.
	assert.InDelta(t, p.Engrave.Depth, letters.Bounds().Max[2], 1e-9)
	q := mgl64.Vec2(lettered.Engraving.Rings[0][0])
	assert.InDelta(t, -lettering.Widening*lettered.Engraving.Em, distanceAt(letters, mgl64.Vec3{q[0], q[1], 0})[0], 1e-9)

	cut := mgl64.Vec3{q[0], q[1], 0.2}
	assert.Negative(t, distanceAt(lettered.Plain[0].Field, cut)[0])
	assert.Positive(t, distanceAt(lettered.Solids[0].Field, cut)[0])
}

// An L seen from below has its foot at the bottom, to the reader's right, which
// is toward -x: the reader looks along +z with superior up.
func TestTextReadsFromBelow(t *testing.T) {
	p := planOf(t, frameCase+"engrave: {text: L}\n", plateSheet(20, 20))
	lettered := letteredOf(t, p)
	require.NotNil(t, lettered.Engraving)
	require.Zero(t, lettered.Engraving.Turn)
	region, err := field.NewRegion(lettered.Engraving.Rings...)
	require.NoError(t, err)
	lo, hi := region.Bounds()
	inset := 0.1
	ink := func(x, y float64) bool { return region.Distance(mgl64.Vec2{x, y}) < 0 }
	assert.True(t, ink(hi[0]-inset, hi[1]-inset), "stem at the reader's left")
	assert.True(t, ink(lo[0]+inset, lo[1]+inset), "foot at the reader's right")
	assert.False(t, ink(lo[0]+inset, hi[1]-inset), "nothing at the top right")
}

func TestTextIsTurnedIntoANarrowPlate(t *testing.T) {
	p := planOf(t, frameCase+"engrave: {text: R DEMO-01}\n", plateSheet(6, 40))
	lettered := letteredOf(t, p)
	require.NotNil(t, lettered.Engraving)
	assert.InDelta(t, math.Pi/2, math.Abs(lettered.Engraving.Turn), 0.3)
}

func TestTextThatCannotBeCarvedIsRefusedWithTheReason(t *testing.T) {
	for name, c := range map[string]struct {
		file  string
		sheet []template.Outline
		want  string
	}{
		"no room for its strokes": {"engrave: {text: ABCDEFGHIJKLMNOPQRST}\n", plateSheet(10, 30), "where it has room its " +
			"strokes would be"},
		"no room at all": {"", plateSheet(2, 25), "no free place"},
		"too little left above it": {"units: [{part: base, thickness: 1, edge: {top: 0, bottom: " +
			"0}}]\n", plateSheet(20, 20), "0.5 mm would be left of the base frame, filament printing needs 0.9 mm"},
		"too shallow to print": {"engrave: {depth: 0.1}\n", plateSheet(20, 20), "0.10 mm deep, filament printing needs " +
			"0.30 mm"},
		"no letters": {"engrave: {text: ' '}\n", plateSheet(20, 20), "no letter that can be carved"},
	} {
		t.Run(name, func(t *testing.T) {
			p := planOf(t, frameCase+c.file, c.sheet)
			assert.Empty(t, p.Findings)
			lettered := letteredOf(t, p)
			assert.Nil(t, lettered.Engraving)
			require.Len(t, lettered.Findings, 1)
			assert.Equal(t, Warning, lettered.Findings[0].Severity)
			assert.Contains(t, lettered.Findings[0].Message, c.want)
		})
	}
	assert.Nil(t, letteredOf(t, planOf(t, frameCase+"engrave: {on: false}\n", plateSheet(20, 20))).Engraving)
}
