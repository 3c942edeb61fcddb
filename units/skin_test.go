package units

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/strips"
	"earframe/template"
)

const skinCase = "case: a1\nengrave: {on: false}\n"

// Inward and outward offsets of the plane: Steiner's formula, A - Pr + πr² for a
// smooth convex outline of area A and perimeter P.
func TestSkinIsTakenOffPartsAndRecessesAreWidened(t *testing.T) {
	sheet := testSheet()
	p := planOf(t, skinCase+"skin: {lateral: 1}\n", sheet)
	for _, o := range sheet {
		got := p.outlinesOf(o.Part)
		require.Len(t, got, 1, o.Part)
		area, perimeter := o.Area(), o.Outer.Perimeter()
		switch o.Part {
		case "ear":
			assert.Equal(t, o, got[0], "the ear's outline is the skin's own")
		case "concha", "tragus":
			assert.InEpsilon(t, area-perimeter+math.Pi, got[0].Area(), 1e-3, o.Part)
		case "fossa":
			assert.InEpsilon(t, area+perimeter+math.Pi, got[0].Area(), 1e-3, o.Part)
		case "scapha":
			assert.Greater(t, got[0].Area(), area)
		default:
			assert.Less(t, got[0].Area(), area, o.Part)
		}
	}
	// Drawn as the frame itself, nothing is taken off.
	assert.Equal(t, sheet, planOf(t, frameCase, sheet).Outlines)
}

func TestAStripNarrowerThanTwoSkinsVanishesAndIsSaidSo(t *testing.T) {
	p := planOf(t, skinCase, testSheet()) // the helix is 4 mm wide, the skin 2 mm on both sides
	assert.Nil(t, p.Unit("helix"))
	require.NotNil(t, p.Unit("base"))
	var found *Finding
	for i, f := range p.Findings {
		if f.Unit == "helix" {
			found = &p.Findings[i]
		}
	}
	require.NotNil(t, found)
	assert.Equal(t, Error, found.Severity)
	assert.Contains(t, found.Message, "outline helix")
	assert.NotNil(t, found.At)
	_, err := p.Solids(t.Context())
	require.NoError(t, err, "what is left can still be built")
}

func TestAStripWithANeckFallsIntoPiecesAndIsSaidSo(t *testing.T) {
	waist := func(t float64) float64 { return 8 - 5*math.Exp(-40*(t-0.5)*(t-0.5)) }
	strip := strips.Along(strips.Arc(30, 30, 0, 2), waist, 300)
	strip.ID, strip.Part = "rim", "helix"
	plate := template.Outline{ID: "base", Part: "base", Outer: template.Ring{{-40, -40}, {40, -40}, {40, 40}, {-40, 40}}}
	p := planOf(t, skinCase, []template.Outline{plate, strip})
	helix := p.Unit("helix")
	require.NotNil(t, helix)
	assert.Len(t, helix.Outlines, 2)
	assert.Nil(t, helix.Rise.Profile, "two pieces have no common centreline")
	require.NotEmpty(t, p.Findings)
	f := p.Findings[0]
	assert.Contains(t, f.Message, "falls into 2 pieces")
	assert.InDelta(t, 3, f.Value, 0.1, "the neck is 3 mm wide")
	middle := strips.Arc(30, 30, 0, 2)(0.5)
	assert.InDelta(t, middle[0], f.At[0], 0.5)
	assert.InDelta(t, middle[1], f.At[1], 0.5)
}
