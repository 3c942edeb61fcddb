package practice

import (
	"bytes"
	"context"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh/contour"
	"earframe/practice/budget"
	"earframe/practice/sheet"
	"earframe/units"
	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// demoSet is the built-in example's practice set, made once.
func demoSet(t testing.TB) *Set {
	t.Helper()
	f := demoFramework(t)
	setOnce.Do(func() { theSet, setFault = Make(context.Background(), f, nil) })
	require.NoError(t, setFault)
	return theSet
}

var (
	setOnce  sync.Once
	theSet   *Set
	setFault error
)

// volume contours a solid finely and measures it, mm³.
func volume(t testing.TB, solid field.Field) float64 {
	surface, err := contour.Of(context.Background(), solid, contour.Options{Step: 0.15})
	require.NoError(t, err)
	return surface.Volume()
}

// svgText returns all pages as SVG.
func svgText(t testing.TB, document *sheet.Document) string {
	var text bytes.Buffer
	for i := range document.Pages {
		require.NoError(t, document.WriteSVG(i, &text))
	}
	return text.String()
}

func TestASetHoldsWhatACarvingSessionNeeds(t *testing.T) {
	s := demoSet(t)
	parts := len(s.Framework.Pieces)
	assert.Len(t, s.Blanks, 3, "ribs 6 and 7 in one piece, 8, 9")
	assert.Len(t, s.Moulds, parts+len(s.Blanks), "a mould for every unit and blank")
	assert.Len(t, s.Mix, len(s.Moulds)+1)
	assert.Len(t, s.Kit.Pieces, parts)
	assert.Len(t, s.Budget.Units, parts)
	assert.NotEmpty(t, s.Wiring.Points)
	for _, b := range s.Blanks {
		assert.True(t, b.Verdict.Sound(), b.Name)
	}
	for _, v := range s.Values {
		assert.NotEmpty(t, v.Origin, v.Path)
		if v.Origin != units.Given {
			assert.NotEmpty(t, v.Note, "%s: a number that the case does not give says where it comes from", v.Path)
		}
	}
}

func TestTheDemosFindingsStandUnderTheirRules(t *testing.T) {
	assert.Equal(t, map[string]units.Severity{
		"wire-near-edge": units.Warning, "wire-comes-out-covered": units.Note, "wires-crowded": units.Note,
		"print-wall-too-thin": units.Warning, "mould-wall-too-thin": units.Warning, "print-needs-supports": units.Note, "mould-grips-cast": units.Note,
	}, demotest.Kinds(t, demoSet(t).Findings))
}

// A helix cut along the 8th rib has its radius already: half its width times the
// rib's curvature less strain than a straight strip's (Gere and Goodno, Mechanics of
// Materials, chapter 5).
func TestTheHelixIsBentFromTheCurveOfItsRib(t *testing.T) {
	s := demoSet(t)
	rib := s.Blanks[slices.IndexFunc(s.Blanks, func(b Blank) bool { return b.Name == "rib-8" })].Sizes[0]
	cut := s.Budget.Units[slices.IndexFunc(s.Budget.Units, func(u budget.Unit) bool { return u.Unit == "helix" })]
	require.NotEmpty(t, cut.Bend.Concave, cut.Text)
	line := s.Framework.Plan.Unit("helix").Centreline
	var places []mgl64.Vec2
	for i := -20; i <= 20; i++ { // over 4 mm, as wide as it is
		places = append(places, line.At(cut.Bend.StrainAt+float64(i)*0.1/line.Length()))
	}
	change := 1/centreline.BendRadius(places) - 1/rib.Radius
	assert.InEpsilon(t, 100*cut.Bend.StrainWidth/2*change, cut.Bend.Strain, 0.05)
	assert.InEpsilon(t, rib.Radius, cut.Bend.Own, 0.03)
	assert.InDelta(t, cut.Bend.LeastAt, cut.Bend.StrainAt, 0.05)
	assert.Contains(t, cut.Text, "Cut along the rib's curve, its concave border becomes the inner edge. Thin it "+
		"from the outer edge: cartilage keeps its perichondrium on the other")
}

func TestACastIsAsLargeAsTheUnitWithoutItsLetters(t *testing.T) {
	s := demoSet(t)
	solids, err := s.Framework.Plan.Solids(t.Context())
	require.NoError(t, err)
	for i, p := range s.Framework.Pieces {
		m := s.Moulds[i]
		require.Equal(t, p.Name(), m.Name)
		want := volume(t, solids[i].Field)
		assert.InEpsilon(t, want, 1000*m.CavityML, 0.005, m.Name)
		assert.GreaterOrEqual(t, 1000*m.CavityML, 0.995*p.Verdict.Volume, "%s: letters are not cast", m.Name)
	}
}

func TestAMixIsWhatIsPouredAndTheSpare(t *testing.T) {
	s := demoSet(t)
	all := 0.0
	for i, m := range s.Moulds {
		assert.InEpsilon(t, m.PourML()*(1+s.Framework.Plan.Practice.Casting.Spare), s.Mix[i].MixedML, 1e-9, m.Name)
		all += s.Mix[i].MixedML
	}
	whole := s.Mix[len(s.Mix)-1]
	assert.InEpsilon(t, all, whole.MixedML, 1e-9)
	// Silicone and cornstarch 2 to 1: published for practice casts of ribs 6 to 9
	// (PMC7380086, 2020).
	assert.InEpsilon(t, 2*whole.Ingredients[1].ML, whole.Ingredients[0].ML, 1e-9)
}

func TestHeightsAreThoseOfWhatIsCarvedWithoutTheFilletOfTheJoinedPrint(t *testing.T) {
	s := demoSet(t)
	filleted := *s.Framework
	var solids []field.Field
	for _, p := range filleted.Pieces {
		solids = append(solids, p.Solid)
	}
	filleted.Joined.Solid = field.Blend(0.5, solids...)
	m := &maker{Set: &Set{Framework: &filleted}}
	require.NoError(t, m.readHeights(context.Background()))
	require.Len(t, m.Heights.Top, len(s.Heights.Top))
	for i, want := range s.Heights.Top {
		if got := m.Heights.Top[i]; got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			require.Equal(t, want, got, "place %d", i)
		}
	}
}

func TestSheetsShowEveryUnitAndEveryPiece(t *testing.T) {
	s := demoSet(t)
	carving, err := s.Carving()
	require.NoError(t, err)
	text := svgText(t, carving)
	for _, p := range s.Framework.Pieces {
		assert.Contains(t, text, p.Unit.Label)
	}
	assert.Len(t, s.nestings(), len(s.Blanks))
	session, err := s.Session(nil)
	require.NoError(t, err)
	require.Len(t, session.Pages, 1)
	assert.Contains(t, svgText(t, session), "Order of work")
}

func TestTheSheetsNameTheRibsThatUnitsAreReallyCutFrom(t *testing.T) {
	s := demoSet(t)
	as := s.asCut()
	for _, cut := range s.Budget.Units {
		require.True(t, cut.Works(), cut.Unit)
		for _, p := range cut.Placements {
			piece := slices.IndexFunc(s.Budget.Pieces, func(piece budget.Nesting) bool { return piece.Name == p.Piece })
			require.GreaterOrEqual(t, piece, 0)
			assert.Subset(t, as.Unit(cut.Unit).Ribs, s.Budget.Pieces[piece].Ribs, cut.Unit)
		}
	}
	assert.Equal(t, []int{9}, s.Framework.Plan.Unit("antihelix").Ribs, "the plan itself stays as it is")
	assert.Equal(t, []int{6, 7}, as.Unit("antihelix").Ribs, "the 9th rib is too narrow for it")
}

func TestAUnitInTwoPartsIsWiredAlongItsCut(t *testing.T) {
	s := demoSet(t)
	inTwo := 0
	for _, u := range s.Budget.Units {
		if len(u.Placements) > 1 {
			inTwo++
			i := slices.IndexFunc(s.Joins, func(j Join) bool { return j.Unit == u.Unit })
			require.GreaterOrEqual(t, i, 0, u.Unit)
			j := s.Joins[i]
			assert.InDelta(t, j.Length/s.Framework.Plan.Practice.Fixation.Spacing, float64(j.Count), 0.5)
			assert.Greater(t, j.WireMM, float64(j.Count)*s.Framework.Plan.Practice.Fixation.Allowance)
		}
	}
	assert.Positive(t, inTwo, "the demo's base frame and conchal vault are wider than its cartilage")
	assert.Len(t, s.Joins, inTwo)
}

func TestPilotHolesGoThroughThePrints(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a framework")
	}
	plan := demoCase(t, "fixation: {spacing: 12, hole: 2.2}\nprinter: filament\nstep: 0.4\n")
	f, err := assemble.Build(context.Background(), plan, assemble.Options{})
	require.NoError(t, err)
	m := &maker{Set: &Set{Framework: f}, plan: plan}
	require.NoError(t, m.kitAndWiring(context.Background()))
	require.NotEmpty(t, m.Wiring.Points)
	drilled := map[string]field.Field{}
	for _, p := range m.Kit.Pieces {
		drilled[p.Name] = p.Solid
	}
	for _, p := range m.Wiring.Points {
		for name, along := range map[string]float64{p.Upper: -p.UpperMM / 2, p.Lower: p.LowerMM / 2} {
			out := []float64{0}
			drilled[name].Distances([]mgl64.Vec3{p.At.Add(p.Direction.Mul(along))}, out)
			assert.Positive(t, out[0], "fixation %d: no hole in %s", p.Number, name)
		}
	}
}

func TestAPartThatTheDraftSwallowsIsSaidAndTheRestIsMade(t *testing.T) {
	m := &maker{Set: &Set{Framework: demoFramework(t)}, plan: demoCase(t, "casting: {draft: 45}\n")}
	m.casts = make([]cast, 5)
	require.NoError(t, m.castUnit(context.Background(), 3))
	require.NotNil(t, m.casts[3].refusal)
	assert.Equal(t, map[string]units.Severity{"mould-not-made": units.Error},
		demotest.Kinds(t, []units.Finding{*m.casts[3].refusal}))
	assert.Equal(t, "tragus", m.casts[3].refusal.Unit)
	assert.Contains(t, m.casts[3].refusal.Message, "draft")
}

func TestCancellingStopsTheSet(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Make(ctx, demoFramework(t), nil)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestAMeasurementThatGivesNoCartilageIsRefused(t *testing.T) {
	f := *demoFramework(t)
	f.Plan = demoCase(t, "")
	f.Plan.Practice.Cartilage.Measured = []units.RibMeasure{{Rib: 8, Length: 200, Height: 40, Thickness: 8, Radius: 16}}
	_, err := Make(context.Background(), &f, nil)
	require.Error(t, err)
	assert.True(t, strings.Contains(err.Error(), "cartilage.ribs[8]"), err)
}
