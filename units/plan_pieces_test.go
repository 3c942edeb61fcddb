package units

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
)

// twoPieceVault is a vault drawn in two pieces with a common edge at x = 0, in
// a base frame, and a scapha in two pieces as well.
func twoPieceVault() []template.Outline {
	box := func(id, part string, x0, y0, x1, y1 float64) template.Outline {
		return template.Outline{ID: id, Part: part, Outer: template.Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	}
	return []template.Outline{
		box("base", "base", -17, 5, 17, 28),
		box("vault-a", "concha", -10, -20, 0, 5),
		box("vault-b", "concha", 0, -20, 10, 5),
		box("groove-a", "scapha", -8, 14, 0, 18),
		box("groove-b", "scapha", 0, 14, 8, 18),
	}
}

func TestPiecesOfAUnitThatTouchAreOne(t *testing.T) {
	p := planOf(t, skinCase+"skin: {lateral: 2}\n", twoPieceVault())
	assert.Empty(t, p.Findings)
	vault := p.Unit("concha")
	require.Len(t, vault.Outlines, 1)
	assert.InDelta(t, 16*21, vault.Outlines[0].Area(), 0.1, "2 mm off all round, nothing off the seam")
	seam := mgl64.Vec3{0, -8, vault.Rise.Height + vault.Thickness - 1e-3}
	solid, err := vault.Solid()
	require.NoError(t, err)
	assert.Negative(t, distanceAt(solid, seam)[0], "the seam is filled to the top")
	assert.Len(t, p.Unit("base").Recesses[0].Outlines, 1)

	frame := planOf(t, frameCase+"engrave: {on: false}\nunits: [{part: concha, edge: {top: 1}}]\n", twoPieceVault())
	require.Len(t, frame.Unit("concha").Outlines, 1)
	assert.InDelta(t, 500, frame.Unit("concha").Outlines[0].Area(), 0.05)
	solid, err = frame.Unit("concha").Solid()
	require.NoError(t, err)
	assert.Negative(t, distanceAt(solid, mgl64.Vec3{0, -8, -1e-3})[0], "no groove is rounded along the seam")
}

func TestPiecesOfDifferentUnitsStayApart(t *testing.T) {
	p := planOf(t, frameCase+`engrave: {on: false}
units:
  - {part: concha, name: a, outlines: vault-a}
  - {part: concha, name: b, outlines: vault-b}
  - part: base
    recesses: [{outline: groove-a, depth: 1}, {outline: groove-b, depth: 0.5}]
`, twoPieceVault())
	for _, name := range []string{"a", "b"} {
		require.Len(t, p.Unit(name).Outlines, 1)
		assert.InDelta(t, 250, p.Unit(name).Outlines[0].Area(), 1e-9)
	}
	require.Len(t, p.Unit("base").Recesses, 2)
	assert.InDelta(t, 32, p.Unit("base").Recesses[1].Outlines[0].Area(), 1e-9)
}

const crossedAntihelix = plainDrawing + `<rect id="base" x="12" y="12" width="36" height="56"/>
<rect id="antihelix-body" x="20" y="20" width="8" height="40"/>
<rect id="antihelix-crura" x="25" y="22" width="15" height="10"/>`

// Crura drawn over the antihelix's body, as people draw, are one unit with it: its
// area is that of both less what they share. Where the case makes two units of
// them, each is as it is drawn.
func TestCruraDrawnOverTheBodyAreJoinedToIt(t *testing.T) {
	p, err := drawn(t, frameCase, crossedAntihelix+"</svg>")
	require.NoError(t, err)
	require.Len(t, p.Unit("antihelix").Outlines, 1)
	assert.InDelta(t, 8*40+15*10-3*10, p.Unit("antihelix").Outlines[0].Area(), 0.01)
	require.Len(t, p.Findings, 1)
	f := p.Findings[0]
	assert.Equal(t, Note, f.Severity)
	assert.Equal(t, "antihelix", f.Unit)
	assert.Equal(t, "antihelix-crura is drawn over antihelix-body, by up to 3.0 mm: the two are joined", f.Message)
	assert.InDelta(t, 3, f.Value, 0.01)

	two, err := drawn(t, frameCase+`units:
  - {part: antihelix, name: body, outlines: antihelix-body}
  - {part: antihelix, name: crura, outlines: antihelix-crura}
`, crossedAntihelix+"</svg>")
	require.NoError(t, err)
	assert.Empty(t, two.Findings)
	assert.InDelta(t, 320, two.Unit("body").Outlines[0].Area(), 1e-9)
	assert.InDelta(t, 150, two.Unit("crura").Outlines[0].Area(), 1e-9)
}

// An outline within another of its unit may have been meant as a hole, so it is
// not lost without a word; as a unit of its own it is built.
func TestAnOutlineWithinAnotherIsRefusedButAsAUnitOfItsOwn(t *testing.T) {
	drawing := crossedAntihelix + `<rect id="antihelix-inner" x="22" y="40" width="4" height="9"/></svg>`
	_, err := drawn(t, frameCase, drawing)
	assert.ErrorIs(t, err, template.Crossing)
	assert.ErrorContains(t, err, "sheet.svg:4: antihelix-inner: lies inside antihelix-body (line 3)")
	assert.ErrorContains(t, err, "or make it a unit of its own in the case file")
	p, err := drawn(t, frameCase+`units:
  - {part: antihelix, name: body, outlines: [antihelix-body, antihelix-crura]}
  - {part: antihelix, name: inner, outlines: antihelix-inner}
`, drawing)
	require.NoError(t, err)
	assert.InDelta(t, 36, p.Unit("inner").Outlines[0].Area(), 1e-9)
	_, err = drawn(t, frameCase+"leave_out: antihelix\n", drawing)
	assert.NoError(t, err)
}
