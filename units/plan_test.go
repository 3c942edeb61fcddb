package units

import (
	"fmt"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/internal/strips"
	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/parts"
)

func planOf(t testing.TB, file string, sheet []template.Outline) *Plan {
	c, err := casefile.Parse("case.yaml", []byte(file))
	require.NoError(t, err)
	p, err := NewPlan(t.Context(), c, &template.Sheet{Outlines: sheet})
	require.NoError(t, err)
	return p
}

const frameCase = "case: a1\ntemplate: {drawn: frame}\n"

func TestATemplateAloneGivesEveryPartWithDefaults(t *testing.T) {
	p := planOf(t, frameCase+"units: []\n", testSheet())
	require.Len(t, p.Units, 5)
	for i, row := range parts.All() {
		part := row.Part
		assert.Equal(t, part, p.Units[i].Part)
		assert.Equal(t, string(part), p.Units[i].Name)
	}
	assert.Empty(t, p.Findings)

	base, helix, concha := p.Unit("base"), p.Unit("helix"), p.Unit("concha")
	// Ribs: common practice, no source.
	assert.Equal(t, []int{6, 7}, base.Ribs)
	assert.Equal(t, []int{8}, helix.Ribs)
	assert.Equal(t, []int{9}, p.Unit("antihelix").Ribs)
	assert.Empty(t, p.Unit("tragus").Ribs)
	assert.Equal(t, []string{"helix"}, base.NotchFor)
	assert.Equal(t, []string{"helix"}, concha.NotchFor)
	assert.Len(t, base.Recesses, 2)

	// The vault closes the floor lowest of all and touches the base frame; the
	// crus dips beneath the base frame's underside; the rim stands highest.
	assert.Zero(t, concha.Rise.Height+concha.Thickness)
	profile := helix.Rise.Profile
	assert.Negative(t, profile[0].Height)
	assert.Greater(t, profile[0].Height, concha.Rise.Height)
	assert.Less(t, profile[len(profile)-1].Height, base.Thickness)
	rim := base.Thickness + helix.Thickness
	assert.Greater(t, rim, p.Unit("antihelix").Rise.Height+p.Unit("antihelix").Thickness)
	// Total depth 8 to 10 mm: from memory, an unsourced default.
	assert.InDelta(t, 9, rim-concha.Rise.Height, 1)
}

func TestEveryValueSaysWhereItComesFrom(t *testing.T) {
	p := planOf(t, frameCase+"units:\n  - part: helix\n    thickness: 4.5\n", testSheet())
	byPath := map[string]Value{}
	for _, v := range p.Values {
		assert.NotContains(t, byPath, v.Path, "one value a path")
		byPath[v.Path] = v
		assert.NotEmpty(t, v.Note, v.Path)
	}
	assert.Equal(t, Value{Path: "units[helix].thickness", Value: 4.5, Unit: "mm", Origin: Given, Note: "case.yaml:5"}, byPath["units[helix].thickness"])
	assert.Equal(t, Given, byPath["case"].Origin)
	assert.Equal(t, Default, byPath["skin.lateral"].Origin)
	assert.Equal(t, "common practice, no source", byPath["skin.lateral"].Note)
	for _, row := range parts.All() {
		part := row.Part
		path := fmt.Sprintf("units[%s].", part)
		assert.Equal(t, FromTemplate, byPath[path+"outlines"].Origin)
		if part != Helix {
			assert.Equal(t, UnsourcedDefault, byPath[path+"thickness"].Origin, "layer heights have no published table")
		}
	}
	assert.Equal(t, UnsourcedDefault, byPath["units[helix].rise"].Origin)
	assert.Equal(t, "remainder", byPath["units[tragus].ribs"].Value)
}

func TestFaultsThatShowOnlyWithTheTemplate(t *testing.T) {
	twoPieces := append(testSheet(), template.Outline{
		ID: "antihelix-crura", Part: "antihelix", Outer: template.Ring{{0, 21}, {3, 21}, {3, 23}, {0, 23}},
	})
	for name, c := range map[string]struct {
		units string
		sheet []template.Outline
		want  string
	}{
		"edge rounder than the unit is thick": {"- {part: helix, thickness: 3, edge: {top: " +
			"2}}", testSheet(), "case.yaml:4:43: units[helix].edge.top: found 2 mm, expected at most half the thickness (1.5 " +
			"mm)"},
		"recess through the unit": {"- {part: base, recesses: [{outline: scapha, depth: " +
			"3}]}", testSheet(), "units[base].recesses[scapha].depth: found 3 mm, expected less than the thickness (3 mm)"},
		"recess that is not drawn":  {"- {part: base, recesses: [{outline: scafa}]}", testSheet(), `the template has no recess "scafa". Did you mean scapha?`},
		"outline that is not drawn": {"- {part: helix, outlines: helx}", testSheet(), `the template has no outline "helx" of the part helix. Did you mean helix?`},
		"outline of another part":   {"- {part: helix, outlines: tragus}", testSheet(), `no outline "tragus" of the part helix`},
		"part that is not drawn": {"- {part: tragus}", testSheet()[:4], "the template has no outline for the " +
			"part tragus"},
		"the name of a default": {"- {part: base, name: helix}", testSheet(), "case.yaml:4:22: " +
			"units[helix].name: a unit of the part base is named helix, as the one that the drawing's helix becomes. Give it " +
			"another name, or say leave_out: helix"},
		"name of a device": {"- {part: base, name: com1}", testSheet(), "units[com1].name: com1 is the " +
			"name of a device in Windows"},
		"no outline to choose from": {"- {part: base, recesses: [{outline: scapha}]}", testSheet()[:2], `the template has no recess "scapha". There are none`},
		"two units of one name":     {"- {part: helix}\n- {part: helix}", testSheet(), "a second unit named helix"},
		"one outline in two units": {"- {part: helix, outlines: helix}\n- {part: helix, name: rim, outlines: " +
			"helix}", testSheet(), "outline helix is already part of the unit helix"},
		"two units, outlines not said": {"- {part: antihelix, outlines: antihelix}\n- {part: antihelix, name: " +
			"crura}", twoPieces, "outlines missing: 2 units are made of the part antihelix"},
		"profile of two outlines": {"- {part: antihelix, rise: [{at: 0, height: 1}, {at: 1, height: " +
			"2}]}", twoPieces, "antihelix is made of 2 outlines"},
		"profile of what is no strip": {"- {part: base, rise: [{at: 0, height: 1}, {at: 1, height: " +
			"2}]}", testSheet(), "not one strip with two ends"},
		"profile out of order": {"- {part: helix, rise: [{at: 0.5, height: 1}, {at: 0.2, height: " +
			"2}]}", testSheet(), "at 0.2 comes after at 0.5"},
		"let in a unit that is not there": {"- {part: base, notches: [helx]}", testSheet(), `no other unit is named "helx". Did you mean helix?`},
		"let into itself":                 {"- {part: base, notches: [base]}", testSheet(), `no other unit is named "base"`},
		"clearance for nothing":           {"- {part: tragus, clearance: 0.1}", testSheet(), "clearance without notches"},
	} {
		t.Run(name, func(t *testing.T) {
			parsed, err := casefile.Parse("case.yaml", []byte(frameCase+"units:\n"+c.units+"\n"))
			require.NoError(t, err)
			_, err = NewPlan(t.Context(), parsed, &template.Sheet{Outlines: c.sheet})
			var faults casefile.Errors
			require.ErrorAs(t, err, &faults)
			assert.ErrorContains(t, err, c.want)
		})
	}
	c, err := casefile.Parse("case.yaml", []byte(frameCase))
	require.NoError(t, err)
	_, err = NewPlan(t.Context(), c, &template.Sheet{Outlines: testSheet()[:1]})
	assert.ErrorContains(t, err, "nothing to build")
}

func TestAPartOfTwoOutlinesIsOneUnitOrTwo(t *testing.T) {
	sheet := append(testSheet(), template.Outline{
		ID: "concha-2", Part: "concha", Outer: template.Ring{{-6, -24}, {0, -24}, {0, -20}, {-6, -20}},
	})
	p := planOf(t, frameCase, sheet)
	assert.Len(t, p.Unit("concha").Outlines, 2)

	p = planOf(t, frameCase+"units:\n- {part: concha, name: vault-a, outlines: concha}\n- {part: concha, name: vault-b, "+
		"outlines: concha-2, thickness: 2}\n", sheet)
	assert.Equal(t, "Conchal vault (vault-b)", p.Unit("vault-b").Label)
	assert.Len(t, p.Units, 6)

	p = planOf(t, frameCase+"units:\n- {part: concha, outlines: concha}\n", sheet)
	require.Len(t, p.Findings, 1)
	assert.Contains(t, p.Findings[0].Message, "outline concha-2 of the part concha is in no unit")
}

func TestLeaveOutLeavesAPartOut(t *testing.T) {
	p := planOf(t, frameCase+"leave_out: tragus\n", testSheet())
	assert.Nil(t, p.Unit("tragus"))
	assert.Len(t, p.Units, 4)
}

func TestHelixBeginsAtItsCrusOnBothSidesHoweverItWasDrawn(t *testing.T) {
	crus, tail := helixPath(0), helixPath(1)
	for name, sheet := range map[string][]template.Outline{
		"left": testSheet(), "right": mirrored(testSheet()),
		"without a concha": testSheet()[:5], "without concha and ear": testSheet()[1:5],
	} {
		t.Run(name, func(t *testing.T) {
			side, flip := "left", 1.0
			if name == "right" {
				side, flip = "right", -1
			}
			p := planOf(t, frameCase+"side: "+side+"\n", sheet)
			line := p.Unit("helix").Centreline
			require.NotNil(t, line)
			assert.InDelta(t, 0, line.At(0).Sub(mgl64.Vec2{flip * crus[0], crus[1]}).Len(), 1)
			assert.InDelta(t, 0, line.At(1).Sub(mgl64.Vec2{flip * tail[0], tail[1]}).Len(), 1)
			assert.InEpsilon(t, strips.Length(helixPath), line.Length(), 0.015)
		})
	}
}

// A plan mirrors nothing itself: the drawing is mirrored on reading, and only
// the check of the side depends on it.
func TestTheOtherSideIsNoticed(t *testing.T) {
	for _, c := range []struct {
		side   string
		sheet  []template.Outline
		notice bool
	}{
		{"left", testSheet(), false},
		{"left", mirrored(testSheet()), true},
		{"right", testSheet(), true},
		{"right", mirrored(testSheet()), false},
	} {
		p := planOf(t, frameCase+"side: "+c.side+"\n", c.sheet)
		if !c.notice {
			assert.Empty(t, p.Findings, c.side)
			continue
		}
		require.Len(t, p.Findings, 1)
		assert.Contains(t, p.Findings[0].Message, "the other side than "+c.side)
		assert.Contains(t, p.Findings[0].Advice, "template.mirror")
	}
}

func TestUnitsLieOnAThickerBaseFrame(t *testing.T) {
	p := planOf(t, frameCase+"units: [{part: base, thickness: 4}]\n", testSheet())
	assert.Equal(t, 4.0, p.Unit("antihelix").Rise.Height)
	assert.Equal(t, 4.0, p.Unit("tragus").Rise.Height)
	assert.Equal(t, 4.0, p.Unit("helix").Rise.Profile[2].Height)
}

func TestPrinterLimitsAreThoseOfTheTable(t *testing.T) {
	for _, name := range []string{Filament, Resin} {
		limits, ok := PrinterLimits(name)
		require.True(t, ok)
		assert.NotEmpty(t, limits.Source)
		for _, v := range []float64{limits.Wall, limits.EngraveWidth, limits.EngraveDepth, limits.Clearance, limits.Hole, limits.Pin} {
			assert.Positive(t, v)
		}
	}
	_, ok := PrinterLimits("laser")
	assert.False(t, ok)
}

func distanceAt(f field.Field, points ...mgl64.Vec3) []float64 {
	out := make([]float64, len(points))
	f.Distances(points, out)
	return out
}

func TestPocketWithoutSuctionHasAnInfiniteBridgingRadius(t *testing.T) {
	p := planOf(t, frameCase+"pocket: {bridging_radius: none}\n", testSheet())
	assert.True(t, math.IsInf(p.Pocket.BridgingRadius, 1))
}

func TestSuctionIsReadInItsUnitAndARadiusGoesBeforeIt(t *testing.T) {
	for pocket, want := range map[string]struct {
		suction, radius float64
	}{
		"":                                       {117.6 * 101.325 / 760, 0},
		"suction: 71.4 mmHg":                     {9.519, 0},
		"suction: 15.7kPa":                       {15.7, 0},
		"suction: none":                          {0, 0},
		"bridging_radius: 6":                     {0, 6},
		"bridging_radius: none":                  {0, math.Inf(1)},
		"suction: none, bridging_radius: 6":      {0, 6},
		"suction: 20 kPa, bridging_radius: none": {20, math.Inf(1)},
	} {
		p := planOf(t, frameCase+"pocket: {"+pocket+"}\n", testSheet())
		assert.InDelta(t, want.suction, p.Pocket.Suction, 1e-3, pocket)
		assert.Equal(t, want.radius, p.Pocket.BridgingRadius, pocket)
	}
}

func TestACrusWithNoOpeningIsLetIntoTheBaseFrame(t *testing.T) {
	sheet := testSheet()
	sheet[1].Holes = nil
	p := planOf(t, frameCase, sheet[:4])
	base, profile := p.Unit("base"), p.Unit("helix").Rise.Profile
	assert.Positive(t, profile[0].Height)
	assert.Less(t, profile[0].Height, base.Thickness)
}
