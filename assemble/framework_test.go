package assemble_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// coarse is a sampling step that builds the demo in a second.
const coarse = 0.5

func built(t testing.TB, plan *units.Plan) *assemble.Framework {
	t.Helper()
	plan.Step = coarse
	f, err := assemble.Build(context.Background(), plan, assemble.Options{})
	require.NoError(t, err)
	return f
}

// finding returns the first finding about the unit that holds the text.
func findingOf(f *assemble.Framework, unit string) []units.Finding {
	var found []units.Finding
	for _, finding := range f.Findings {
		if finding.Unit == unit {
			found = append(found, finding)
		}
	}
	return found
}

func TestDemoFitsTogether(t *testing.T) {
	f := built(t, demotest.Plan(t))
	assert.Empty(t, f.Findings)
	touching := map[string]bool{}
	for _, c := range f.Contacts {
		if c.Area > 10 {
			touching[c.A+" and "+c.B] = true
		}
	}
	for _, pair := range []string{"base and helix", "base and antihelix", "base and tragus", "base and concha", "helix " +
		"and concha"} {
		assert.True(t, touching[pair], pair)
	}
	require.Len(t, f.Joined.Verdict.Shells, 1, "one piece, no hollow")
	for i := range f.Pieces {
		assert.NoError(t, mesh.Judge(f.Pieces[i].Mesh).Err(), f.Pieces[i].Name())
	}
}

func TestAFloatingUnitIsFoundWithItsGap(t *testing.T) {
	plan := demotest.Plan(t)
	plan.Unit("tragus").Rise = units.Rise{Height: 4.5}
	f := built(t, plan)
	found := findingOf(f, "tragus")
	require.NotEmpty(t, found)
	assert.Equal(t, units.Error, found[0].Severity)
	assert.InDelta(t, 1.5, found[0].Value, 0.05)
	assert.InDelta(t, 3, found[0].At[2], 1.6, "between the two")
}

func TestASunkenUnitIsFoundWithItsDepth(t *testing.T) {
	plan := demotest.Plan(t)
	plan.Unit("tragus").Rise = units.Rise{Height: 2.2}
	f := built(t, plan)
	found := findingOf(f, "tragus")
	require.NotEmpty(t, found)
	assert.Equal(t, units.Error, found[0].Severity)
	assert.InDelta(t, 0.8, found[0].Value, 0.05)
	assert.Contains(t, found[0].Message, "into base")
}

func TestASunkenUnitIsFoundAtAnyStep(t *testing.T) {
	for _, step := range []float64{0.3, 1} {
		plan := demotest.Plan(t)
		plan.Unit("tragus").Rise = units.Rise{Height: 2.55}
		plan.Step = step
		f, err := assemble.Build(context.Background(), plan, assemble.Options{})
		require.NoError(t, err)
		found := findingOf(f, "tragus")
		require.Len(t, found, 1, "step %g", step)
		assert.Contains(t, found[0].Message, "into base")
		assert.InDelta(t, 0.45, found[0].Value, 0.05)
	}
}

func TestAUnitThatFallsApartIsFound(t *testing.T) {
	plan := demotest.Plan(t)
	tragus := plan.Unit("tragus")
	lo, hi := tragus.Outlines[0].Bounds()
	middle := (lo[1] + hi[1]) / 2
	// Two halves joined by a neck of 0.05 mm.
	tragus.Outlines[0].Outer = template.Ring{
		{lo[0], lo[1]}, {hi[0], lo[1]}, {hi[0], middle - 0.5}, {lo[0] + 0.05, middle - 0.5},
		{lo[0] + 0.05, middle + 0.5}, {hi[0], middle + 0.5}, {hi[0], hi[1]}, {lo[0], hi[1]},
	}
	var said []string
	for _, f := range findingOf(built(t, plan), "tragus") {
		said = append(said, f.Message)
	}
	require.NotEmpty(t, said)
	assert.Contains(t, said[0], "falls into 2 pieces where 1 were drawn")
}

// Two units of one part that are drawn over one another are each as drawn, and
// their contact is judged as between any units: what they share is its area in the
// plane times the thickness of both.
func TestUnitsDrawnOverOneAnotherAreJudgedAsAnyUnits(t *testing.T) {
	c, err := casefile.Parse("case.yaml", []byte(`case: a
template: {drawn: frame}
engrave: {on: false}
units:
  - {part: antihelix, name: body, outlines: antihelix-body, thickness: 3, edge: {top: 0}}
  - {part: antihelix, name: crura, outlines: antihelix-crura, thickness: 3, edge: {top: 0}}
`))
	require.NoError(t, err)
	sheet, err := template.ReadFrom(t.Context(), strings.NewReader(`<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">
<rect id="base" x="12" y="12" width="36" height="56"/>
<rect id="antihelix-body" x="20" y="20" width="8" height="40"/>
<rect id="antihelix-crura" x="25" y="22" width="15" height="10"/></svg>`), "sheet.svg", c.TemplateOptions())
	require.NoError(t, err)
	plan, err := units.NewPlan(t.Context(), c, sheet)
	require.NoError(t, err)
	f := built(t, plan)
	found := findingOf(f, "crura")
	require.Len(t, found, 1)
	assert.Equal(t, units.Error, found[0].Severity)
	assert.Contains(t, found[0].Message, "into body")
	assert.Contains(t, found[0].Advice, "make one unit of the outlines of both")
	for _, contact := range f.Contacts {
		if contact.A == "body" && contact.B == "crura" {
			assert.InEpsilon(t, 3*10*3, contact.Volume, 0.01)
			assert.InDelta(t, 1.5, contact.Depth, coarse/2, "the deepest place is half the thickness from either face")
			return
		}
	}
	t.Fatal("no contact of the two")
}

func TestADeclaredNotchIsNoOverlap(t *testing.T) {
	plan := demotest.Plan(t)
	plan.Unit("tragus").Rise = units.Rise{Height: 2.2}
	plan.Unit("base").NotchFor = append(plan.Unit("base").NotchFor, "tragus")
	assert.Empty(t, findingOf(built(t, plan), "tragus"))
}

func TestAWallTooThinForThePrinterIsFound(t *testing.T) {
	plan := demotest.Plan(t)
	plan.Unit("concha").Thickness, plan.Unit("concha").Rise.Height = 0.7, -0.7
	plan.Unit("concha").EdgeTop, plan.Unit("concha").EdgeBottom = 0, 0
	plan.Unit("concha").NotchFor = nil
	plan.Units = slices.DeleteFunc(plan.Units, func(u *units.Unit) bool { return u.Part == units.Helix })
	found := findingOf(built(t, plan), "concha")
	require.Len(t, found, 1)
	assert.InDelta(t, 0.7, found[0].Value, 0.02)
	assert.InDelta(t, plan.Printer.Wall, found[0].Limit, 1e-12)
	resin, ok := units.PrinterLimits(units.Resin)
	require.True(t, ok)
	plan.Printer = resin
	assert.Empty(t, findingOf(built(t, plan), "concha"), "resin makes 0.6 mm")
}

func TestAUnitBeyondTheEarIsFound(t *testing.T) {
	plan := demotest.Plan(t)
	tragus := plan.Unit("tragus")
	for i := range tragus.Outlines {
		ring := append([]mgl64.Vec2(nil), tragus.Outlines[i].Outer...)
		for k := range ring {
			ring[k][0] -= 6 // anterior
		}
		tragus.Outlines[i].Outer = ring
	}
	var said []string
	for _, f := range findingOf(built(t, plan), "tragus") {
		said = append(said, f.Message)
	}
	assert.Contains(t, said[len(said)-1], "beyond the ear's outline")
}

func TestAFilletFillsTheSeamsOfTheJoinedFrameworkOnly(t *testing.T) {
	plain := built(t, demotest.Plan(t))
	plan := demotest.Plan(t)
	plan.Fillet = 1
	filled := built(t, plan)
	assert.Greater(t, filled.Joined.Verdict.Volume, plain.Joined.Verdict.Volume+5)
	for i := range plain.Pieces {
		assert.Equal(t, plain.Pieces[i].Verdict.Volume, filled.Pieces[i].Verdict.Volume)
	}
}

func TestBuildStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := assemble.Build(ctx, demotest.Plan(t), assemble.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestProgressEndsComplete(t *testing.T) {
	plan := demotest.Plan(t)
	plan.Step = 0.8
	last, all := 0, 0
	_, err := assemble.Build(context.Background(), plan, assemble.Options{Progress: func(done, of int) {
		assert.Equal(t, last+1, done)
		last, all = done, of
	}})
	require.NoError(t, err)
	assert.Equal(t, all, last)
}

func TestUnitsLeftApartAreTheSameAsThoseThatAreJoined(t *testing.T) {
	plan := demotest.Plan(t)
	joined, err := assemble.Build(context.Background(), plan, assemble.Options{Step: 0.6, Tolerance: 0.02})
	require.NoError(t, err)
	require.NotNil(t, joined.Joined)
	apart, err := assemble.Build(context.Background(), plan, assemble.Options{Step: 0.6, Tolerance: 0.02, Apart: true})
	require.NoError(t, err)
	assert.Nil(t, apart.Joined)
	assert.Equal(t, joined.Contacts, apart.Contacts)
	require.Len(t, apart.Pieces, len(joined.Pieces))
	for i := range apart.Pieces {
		assert.Equal(t, joined.Pieces[i].Mesh, apart.Pieces[i].Mesh, apart.Pieces[i].Name())
	}
}
