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
	parts := len(s.Carved.Pieces)
	assert.Greater(t, parts, len(s.Framework.Pieces), "the demo's base frame and vault are wider than its cartilage")
	assert.Len(t, s.Blanks, 3, "ribs 6 and 7 in one piece, 8, 9")
	assert.Len(t, s.Moulds, parts+len(s.Blanks), "a mould for every piece and blank")
	assert.Len(t, s.Mix, len(s.Moulds)+1)
	assert.Len(t, s.Kit.Pieces, parts)
	assert.Len(t, s.Budget.Units, len(s.Framework.Pieces))
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
		"cartilage-fits-closely": units.Warning,
		"print-without-letter":   units.Note, // of the anterior piece of the base frame
		"print-wall-too-thin":    units.Warning,
		"print-needs-supports":   units.Note, "mould-grips-cast": units.Note,
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
	solids, err := s.Carved.Plan.Solids(t.Context())
	require.NoError(t, err)
	for i, p := range s.Carved.Pieces {
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
	for _, p := range s.Carved.Pieces {
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
			i := slices.IndexFunc(as.Units, func(u *units.Unit) bool {
				return u.Of().Name == cut.Unit && strings.HasSuffix(u.Label, p.Part)
			})
			require.GreaterOrEqual(t, i, 0, "%s %s", cut.Unit, p.Part)
			assert.Subset(t, as.Units[i].Ribs, s.Budget.Pieces[piece].Ribs, cut.Unit)
		}
	}
	assert.Equal(t, []int{9}, s.Framework.Plan.Unit("antihelix").Ribs, "the plan itself stays as it is")
	assert.Equal(t, []int{6, 7}, as.Unit("antihelix").Ribs, "the 9th rib is too narrow for it")
}

// What is cut is wired along the cut before anything is laid on it, in numbered
// fixations, and the session sheet says so.
func TestPiecesAreWiredToOneAnotherFirst(t *testing.T) {
	s := demoSet(t)
	require.NotEmpty(t, s.Wiring.Seams)
	along := map[string]int{}
	for _, p := range s.Wiring.Points {
		upper, lower := s.Carved.Plan.Unit(p.Upper), s.Carved.Plan.Unit(p.Lower)
		if upper.Of() == lower.Of() {
			along[upper.Of().Name]++
			assert.Less(t, math.Abs(p.Direction[2]), 0.01, "square to the cut")
		}
	}
	for _, u := range s.Budget.Units {
		if len(u.Parts) > 0 {
			length := u.Alternatives[u.Taken].Length
			assert.InDelta(t, length/s.Framework.Plan.Practice.Fixation.Spacing, along[u.Unit], 1.5, u.Unit)
		}
	}
	first := s.Wiring.Points[0]
	assert.Equal(t, []string{"base", "base"},
		[]string{s.Carved.Plan.Unit(first.Upper).Of().Name, s.Carved.Plan.Unit(first.Lower).Of().Name})
	session, err := s.Session(nil)
	require.NoError(t, err)
	text := svgText(t, session)
	assert.Contains(t, text, "wire the pieces of the base frame together, rigidly")
}

// A piece's print keeps the clearance to its neighbour along the cut, and all of them
// make up the unit but for that.
func TestPrintsOfPiecesAreLaidIntoOneAnother(t *testing.T) {
	s := demoSet(t)
	keys := 0
	for _, u := range s.Budget.Units {
		if len(u.Parts) == 0 {
			continue
		}
		volume, cut := 0.0, u.Alternatives[u.Taken].Length*s.Kit.Clearance*s.Framework.Plan.Unit(u.Unit).Thickness
		for _, p := range s.Kit.Pieces {
			if p.Unit.Name == u.Unit {
				volume += p.Mesh.Volume()
				keys = max(keys, p.Cut.Keys)
				assert.Len(t, p.Verdict.Shells, 1, p.Name)
			}
		}
		i := slices.IndexFunc(s.Framework.Pieces, func(p assemble.Piece) bool { return p.Name() == u.Unit })
		whole := s.Framework.Pieces[i].Verdict.Volume
		assert.Less(t, volume, whole-cut/2, u.Unit)
		assert.Greater(t, volume, 0.85*whole, u.Unit)
	}
	assert.Positive(t, keys, "a dovetail where the cut is broad enough")
}

func TestPilotHolesGoThroughThePrints(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a framework")
	}
	plan := demoCase(t, "fixation: {spacing: 12, hole: 2.2}\nprinter: filament\nstep: 0.4\n")
	f, err := assemble.Build(context.Background(), plan, assemble.Options{})
	require.NoError(t, err)
	m := &maker{Set: &Set{Framework: f, Carved: f}, plan: plan}
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
	f := demoFramework(t)
	m := &maker{Set: &Set{Framework: f, Carved: f}, plan: demoCase(t, "casting: {draft: 45}\n")}
	m.casts = make([][]cast, 5)
	require.NoError(t, m.castUnit(context.Background(), 3))
	require.NotNil(t, m.casts[3][0].refusal)
	assert.Equal(t, map[string]units.Severity{"mould-not-made": units.Error},
		demotest.Kinds(t, []units.Finding{*m.casts[3][0].refusal}))
	assert.Equal(t, "tragus", m.casts[3][0].refusal.Unit)
	assert.Contains(t, m.casts[3][0].refusal.Message, "draft")
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
