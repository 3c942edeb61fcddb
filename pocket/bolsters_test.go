package pocket

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"
)

// bolsteredDemo is the demo with bolsters, and lines of the drawing to lay them along.
func bolsteredDemo(t *testing.T, bolsters string, lines ...string) (*units.Plan, error) {
	t.Helper()
	return demotest.Load("side: left\n", "side: left\nskin: {lateral: 1}\npocket: {bolsters: ["+bolsters+"]}\n",
		"</svg>", strings.Join(lines, "")+"</svg>")
}

// Rolls bring the skin down: more shows, less is dead, more skin is asked for, and
// what they bear is told by tension, roll and suction.
func TestBolstersBringTheSkinDown(t *testing.T) {
	plan, err := bolsteredDemo(t, "{where: scapha, diameter: 2}, {where: concha, diameter: 6}, {where: rim}")
	require.NoError(t, err)
	r := check(t, plan, Options{NoAdvice: true})
	b := r.Measures.Bolsters
	require.NotNil(t, b)
	free, err := bolsteredDemo(t, "")
	require.NoError(t, err)
	without := check(t, free, Options{NoAdvice: true})
	assert.Nil(t, without.Measures.Bolsters)

	assert.InEpsilon(t, without.Drape.DrapeArea, b.Drape, 0.002, "as if they had never been")
	assert.InDelta(t, r.Drape.DrapeArea-b.Drape, b.Added, 1e-9)
	assert.Greater(t, b.Added, 10.0)
	assert.Less(t, r.Measures.Dead.Volume, 0.95*b.Dead)
	assert.InEpsilon(t, without.Measures.Dead.Volume, b.Dead, 0.02)
	for n, g := range r.Measures.Relief {
		assert.Equal(t, g.Name, b.Relief[n].Name)
		// Skin that a bolster draws in lies less close elsewhere: it is tighter.
		assert.GreaterOrEqual(t, g.Kept, b.Relief[n].Kept-0.03, g.Name)
		assert.InDelta(t, without.Measures.Relief[n].Kept, b.Relief[n].Kept, 0.02, g.Name)
	}
	assert.InDelta(t, 13.5+129*(r.Measures.Demand.Sliding-1), b.Tension, 1e-9, "of 1 mm of skin, N/m")
	require.Len(t, b.Rolls, 3)
	for n, roll := range b.Rolls {
		assert.GreaterOrEqual(t, roll.Drained, roll.Force, roll.Name)
		// Skin pulls no more than upright on all that it leaves the roll along.
		around := 2*(roll.Length-roll.Diameter) + 2*math.Pi*r.bolsters[n].Swell
		assert.Less(t, roll.Drained*roll.Length, around*b.Tension/1000, roll.Name)
		assert.Positive(t, roll.Drained, roll.Name)
		assert.InDelta(t, b.Loose/(roll.Diameter/2), roll.Pressure, 1e-9, "kPa, by Laplace")
	}
	rim := b.Rolls[2]
	assert.Equal(t, "foot of the rim", rim.Name)
	assert.InDelta(t, 1, rim.Resting, 0.02)
	assert.Greater(t, rim.From[1], rim.To[1])
}

// Bolsters that cannot do good are named by their keys.
func TestBolstersThatCannotDoGoodAreFound(t *testing.T) {
	plan, err := bolsteredDemo(t,
		"{where: scapha, diameter: 8}, {where: bolster-a}, {where: bolster-b, diameter: 4}, {where: bolster-out}",
		`<line id="bolster-a" x1="40" y1="20" x2="40" y2="30"/>`, `<line id="bolster-b" x1="36" y1="25" x2="44" y2="25"/>`,
		`<line id="bolster-out" x1="-90" y1="0" x2="-80" y2="0"/>`)
	require.NoError(t, err)
	r := check(t, plan, Options{Step: 0.8, NoAdvice: true})
	said := map[string][]string{}
	for _, f := range r.Findings {
		said[f.Rule] = append(said[f.Rule], f.Message+". "+f.Advice)
	}
	demotest.Kinds(t, r.Findings)
	require.NotEmpty(t, said["bolster-off-floor"])
	assert.Contains(t, said["bolster-off-floor"][0], "pocket.bolsters[scapha]: the bolster of 8 mm")
	assert.Contains(t, said["bolster-off-floor"][0], "the roll takes 10.0 mm with the skin on both sides")
	require.Len(t, said["bolsters-cross"], 1)
	assert.Contains(t, said["bolsters-cross"][0], "pocket.bolsters[bolster-a] and pocket.bolsters[bolster-b]")
	require.Len(t, said["bolster-without-place"], 1)
	assert.Contains(t, said["bolster-without-place"][0], "pocket.bolsters[bolster-out]: the bolster's line lies outside")
	require.Len(t, said["bolster-presses-hard"], 1)
	assert.Len(t, r.Measures.Bolsters.Rolls, 3)
}

func TestABolsterWhereThereIsNoGrooveIsFound(t *testing.T) {
	plan, err := bolsteredDemo(t, "{where: fossa}")
	require.NoError(t, err)
	for _, u := range plan.Units {
		u.Recesses = nil
	}
	r := check(t, plan, Options{Step: 0.8, NoAdvice: true})
	var f units.Finding
	for _, found := range r.Findings {
		if found.Rule == "bolster-without-place" {
			f = found
		}
	}
	assert.Equal(t, units.Error, f.Severity)
	assert.Equal(t, "pocket.bolsters[fossa]: the frame has no triangular fossa to lay a bolster along", f.Message)
	assert.Nil(t, r.Measures.Bolsters)
}

func TestLinesOfBolstersThatAreNotDrawnAreFaultsOfTheirKeys(t *testing.T) {
	for bolsters, want := range map[string]string{
		"{where: scafa}": "pocket.bolsters[scafa].where: the template has no line of a bolster \"scafa\". " +
			"Did you mean scapha?",
		"{where: cut-1}":                  "pocket.bolsters[cut-1].where",
		"{where: rim}, {where: rim}":      "a second bolster along rim",
		"{diameter: 3}":                   "pocket.bolsters[1]",
		"{where: rim, diameter: 0.1}":     "pocket.bolsters[rim].diameter",
		"{where: rim, diameter: -2e9999}": "pocket.bolsters[rim].diameter",
	} {
		_, err := bolsteredDemo(t, bolsters, `<line id="cut-1" x1="40" y1="20" x2="40" y2="30"/>`)
		var faults casefile.Errors
		require.ErrorAs(t, err, &faults, bolsters)
		assert.ErrorContains(t, err, want)
	}
	_, err := bolsteredDemo(t, "{where: bolster-a}", `<rect id="bolster-a" width="3" height="3"/>`)
	assert.ErrorContains(t, err, "the line of a bolster is not one open line")
}

// A section across a roll is a circle, one along it the roll's own outline, and one
// beside it nothing.
func TestSectionsShowRolls(t *testing.T) {
	const radius = 1.5
	var across, along []mgl64.Vec3
	for n := range 101 {
		across = append(across, mgl64.Vec3{4, float64(n) / 10, 5})
		along = append(along, mgl64.Vec3{float64(n) / 10, 4, 5})
	}
	area := func(rings [][]mgl64.Vec2) float64 {
		require.Len(t, rings, 1)
		return template.Ring(rings[0]).Area()
	}
	assert.InEpsilon(t, math.Pi*radius*radius, area(rollCut(across, radius, 3)), 0.01)
	assert.InEpsilon(t, math.Pi*radius*radius+10*2*radius, area(rollCut(along, radius, 4)), 0.01)
	assert.Empty(t, rollCut(along, radius, 4+radius))
	assert.Empty(t, rollCut(nil, radius, 4))
	two := append(slices.Clone(across), mgl64.Vec3{9, 3, 5})
	assert.Len(t, rollCut(two, radius, 3), 2)

	plan, err := bolsteredDemo(t, "{where: rim}")
	require.NoError(t, err)
	r := check(t, plan, Options{Step: 0.8, NoAdvice: true})
	for _, cut := range r.Sections(0.2, 0.5) {
		require.NotEmpty(t, cut.Rolls, cut.Label)
		for _, ring := range cut.Rolls {
			for _, p := range ring {
				// Skin of even thickness lies between the roll and what it presses on.
				assert.GreaterOrEqual(t, p[1], r.Drape.Height(mgl64.Vec2{p[0], cut.Y})+plan.Skin.Lateral-0.1)
			}
		}
	}
}

// Where a lost groove is wide enough, a bolster is advised, and it keeps the promise.
func TestABolsterIsAdvisedWhereItHelps(t *testing.T) {
	demo := func(bolsters string) *Result {
		plan, err := demotest.Load("side: left\n",
			"side: left\nskin: {lateral: 0.5}\npocket: {suction: none, bolsters: ["+bolsters+"]}\n")
		require.NoError(t, err)
		return check(t, plan, Options{NoAdvice: true})
	}
	r := demo("")
	fossa := r.Measures.Relief[slices.IndexFunc(r.Measures.Relief, func(g Relief) bool {
		return g.Name == "triangular "+
			"fossa"
	})]
	lost, ok := r.groove(fossa)
	require.True(t, ok)
	require.Less(t, fossa.Kept, 0.5, "lost without")
	coarse := trialOf(t, r)
	helps, err := r.bolsterHelps(t.Context(), coarse, lost)
	require.NoError(t, err)
	require.True(t, helps)
	with := demo("{where: fossa}")
	for _, g := range with.Measures.Relief {
		if g.Name == fossa.Name {
			assert.Greater(t, g.Kept, 0.47, "half of it, but for the coarse grid of the advice")
		}
	}
	helps, err = with.bolsterHelps(t.Context(), coarse, lost)
	require.NoError(t, err)
	assert.False(t, helps, "there is one already")
}
