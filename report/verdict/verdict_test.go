package verdict_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/assemble"
	"earframe/mesh/wall"
	"earframe/pocket"
	"earframe/practice"
	"earframe/practice/budget"
	"earframe/practice/fixation"
	"earframe/practice/kit"
	"earframe/report/verdict"
	"earframe/units"
)

// about returns the verdict on a question.
func about(t *testing.T, verdicts []verdict.Verdict, q units.Question) verdict.Verdict {
	t.Helper()
	for _, v := range verdicts {
		if v.Question == q {
			return v
		}
	}
	require.Fail(t, "no verdict", "%s", q)
	return verdict.Verdict{}
}

// framework is one of two units with findings of its own.
func framework(findings ...units.Finding) *assemble.Framework {
	f := &assemble.Framework{
		Plan: &units.Plan{Printer: units.Printer{Name: units.Filament, Wall: 0.9}}, Joined: &assemble.Piece{},
		Findings: findings,
	}
	for name, thickness := range map[string]float64{"base": 1.23, "helix": 2.6} {
		f.Pieces = append(f.Pieces, assemble.Piece{
			Unit: &units.Unit{Name: name}, Walls: wall.Walls{Drawn: &wall.Wall{Thickness: thickness}},
		})
	}
	return f
}

// laid is skin on a frame of 10 mm in a pocket of 9 mm.
func laid(findings ...units.Finding) *pocket.Result {
	available, room := 9.0, -1.0
	return &pocket.Result{Findings: findings, Measures: pocket.Measures{
		Pocket: pocket.Edge{Area: 3000},
		Depth: pocket.Depth{
			Frame: pocket.Place{Height: 10}, Peak: pocket.Place{Height: 9.9}, Outside: 12, Available: &available, Room: &room,
		},
		Demand: pocket.Demand{Drape: 4200, Extra: 500, Sliding: 1.2, Band: "caution"},
		Relief: []pocket.Relief{
			{Name: "scapha", OnFrame: 4, Kept: 0.7}, {Name: "helix", OnFrame: 5, Kept: 0.62},
			{Name: "a scratch", OnFrame: 0.1, Kept: 0.1},
		},
		Bridging: pocket.Bridging{Suction: 15, States: []pocket.State{
			{Name: "drain full", Kept: []pocket.KeptShare{{Name: "scapha", Kept: 0.1}, {Name: "helix", Kept: 0.33}}},
			{Name: "tension -1 SD", Suction: 15, Kept: []pocket.KeptShare{{Name: "helix", Kept: 0.8}}},
		}},
	}}
}

func TestVerdictsSayTheNumbersOfTheResult(t *testing.T) {
	shallow := units.Finding{Rule: "pocket-too-shallow", Severity: units.Error, Unit: "helix"}
	verdicts := verdict.OfBuild(framework(), laid(shallow), nil)
	for q, want := range map[units.Question]verdict.Verdict{
		units.AboutSound: {State: verdict.Good,
			Says: "every mesh is closed, none crosses itself; 2 units hold together as one framework"},
		units.AboutPocket: {State: verdict.Stop, Says: "the frame is 10.0 mm high, the pocket takes 9.0 mm: 1.0 mm too " +
			"little"},
		units.AboutSkin:   {State: verdict.Good, Says: "4200 mm² asked for, 3500 mm² there: stretched 1.20 times (caution)"},
		units.AboutRelief: {State: verdict.Good, Says: "the helix shows least: 62 %, drain full 33 %"},
		units.AboutPrint:  {State: verdict.Good, Says: "thinnest wall 1.23 mm (base), a filament printer makes 0.90 mm"},
	} {
		want.Question = q
		assert.Equal(t, want, about(t, verdicts, q))
	}
	assert.Len(t, verdicts, 5, "of the drawing nothing is to be said")
	assert.Equal(t, verdicts[1:4], verdict.OfSkin(laid(shallow)))
}

func TestOneWorseFindingDecidesAndIsNamed(t *testing.T) {
	warning := units.Finding{Rule: "notch-leaves-crumb", Severity: units.Warning, Unit: "helix", Value: 0.4, Measure: "mm"}
	note := units.Finding{Rule: "crumbs-left-out", Severity: units.Note, Unit: "base"}
	loose := units.Finding{Rule: "unit-touches-nothing", Severity: units.Error, Unit: "helix", Value: 1.5, Measure: "mm"}
	assert.Equal(t, verdict.Good, about(t, verdict.OfBuild(framework(note), nil, nil), units.AboutPrint).State)
	assert.Equal(t, verdict.Mind, about(t, verdict.OfBuild(framework(note, warning), nil, nil), units.AboutPrint).State)
	got := about(t, verdict.OfBuild(framework(warning, loose), nil, nil), units.AboutSound)
	assert.Equal(t, verdict.Stop, got.State)
	assert.Equal(t, "every mesh is closed, none crosses itself; helix: it touches nothing, the nearest unit is 1.5 mm "+
		"away",
		got.Says)
	odd := units.Finding{Rule: "drawing-turned-far", Severity: units.Warning, Value: 31, Measure: "degrees"}
	assert.Equal(t, verdict.Verdict{Question: units.AboutDrawing, State: verdict.Mind,
		Says: "the Frankfort mark turns the drawing by 31 degrees"}, verdict.OfBuild(framework(odd), nil, nil)[0])
}

// What is not known is not said to be good.
func TestWithoutSkinNothingIsSaidToBeGood(t *testing.T) {
	none := verdict.OfBuild(framework(), nil, []units.Finding{{Rule: "no-pocket-drawn", Severity: units.Note}})
	for _, q := range []units.Question{units.AboutPocket, units.AboutSkin, units.AboutRelief} {
		assert.Equal(t, verdict.Unknown, about(t, none, q).State)
	}
	outside := units.Finding{Rule: "frame-outside-pocket", Severity: units.Error, Value: 2.5, Measure: "mm"}
	refused := verdict.OfBuild(framework(), nil, []units.Finding{outside})
	assert.Equal(t, verdict.Stop, about(t, refused, units.AboutPocket).State)
	assert.Equal(t, "the frame reaches 2.5 mm beyond the pocket's edge", about(t, refused, units.AboutPocket).Says)
	assert.Equal(t, verdict.Unknown, about(t, refused, units.AboutRelief).State)
	unmeasured := laid()
	unmeasured.Measures.Depth.Available, unmeasured.Measures.Relief = nil, nil
	assert.Equal(t, verdict.Unknown, about(t, verdict.OfSkin(unmeasured), units.AboutPocket).State)
	assert.Equal(t, verdict.Unknown, about(t, verdict.OfSkin(unmeasured), units.AboutRelief).State)
}

// set is a practice set of three units, one of them short, one in pieces.
func set(findings ...units.Finding) *practice.Set {
	return &practice.Set{
		Framework: framework(), Findings: findings,
		Kit: &kit.Kit{Pieces: []kit.Print{{Name: "base"}, {Name: "helix", Thinnest: &wall.Wall{Thickness: 0.8}}},
			Plates: make([]kit.Plate, 1)},
		Wiring: &fixation.Plan{Count: 20, WireMM: 1400},
		Budget: &budget.Budget{
			Pieces: []budget.Nesting{{Ribs: []int{6, 7}}, {Ribs: []int{8}}, {Ribs: []int{9}}},
			Casts:  make([]budget.Nesting, 1),
			Units: []budget.Unit{
				{Unit: "base", Label: "Base frame", Verdict: budget.FitsInPieces, Parts: make([]budget.Part, 2)},
				{Unit: "helix", Label: "Helix", Verdict: budget.Short, Taken: -1},
				{Unit: "tragus", Label: "Tragus", Verdict: budget.Fits, Taken: -1},
			},
		},
	}
}

func TestVerdictsOfAPracticeSet(t *testing.T) {
	verdicts := verdict.OfPractice(set(units.Finding{
		Rule: "unit-too-large-for-rib", Severity: units.Error, Unit: "helix", Value: -3.02, Measure: "mm",
	}))
	assert.Equal(t, verdict.Verdict{Question: units.AboutCartilage, State: verdict.Stop,
		Says: "2 of 3 units come out of ribs 6 to 9, short: helix by 3.1 mm; base frame in 2 pieces; with one more cast"},
		about(t, verdicts, units.AboutCartilage))
	assert.Equal(t, "2 prints on one plate, 0 moulds; thinnest wall 0.80 mm (print of helix), a filament printer makes "+
		"0.90 mm",
		about(t, verdicts, units.AboutPrint).Says)
	assert.Equal(t, "20 fixations with 1.4 m of wire", about(t, verdicts, units.AboutWiring).Says)
}

// Whatever kind of error is found, the verdict on its question is to stop: no kind may
// be about a question that nobody answers.
func TestEveryErrorStops(t *testing.T) {
	for _, r := range units.Rules() {
		f := units.Finding{Rule: r.ID, Severity: units.Error}
		var verdicts []verdict.Verdict
		switch r.Package {
		case "units", "assemble":
			verdicts = verdict.OfBuild(framework(f), laid(), nil)
		case "pocket":
			verdicts = verdict.OfBuild(framework(), laid(f), nil)
		default:
			verdicts = verdict.OfPractice(set(f))
		}
		assert.Equal(t, verdict.Stop, about(t, verdicts, r.Question).State, r.ID)
	}
}

func TestWhatToDoIsInOrderAndSaidOnce(t *testing.T) {
	near := func(unit string) units.Finding {
		return units.Finding{Rule: "wire-near-edge", Severity: units.Warning, Unit: unit, Limit: 1, Measure: "mm"}
	}
	short := units.Finding{Rule: "unit-too-large-for-rib", Severity: units.Error, Unit: "base", Value: -2, Measure: "mm"}
	other := short
	other.Unit, other.Value = "helix", -1
	tasks := verdict.ToDo([]units.Finding{
		near("helix"), {Rule: "print-needs-supports", Severity: units.Note}, near("base"), short, near("helix"), other,
		{Rule: "units-overlap", Severity: units.Error, Unit: "tragus", Value: 0.5, Measure: "mm"},
	})
	assert.Equal(t, []verdict.Task{
		{Severity: units.Error, Question: units.AboutSound, Where: []string{"tragus"}, Count: 1,
			Do: "it reaches 0.50 mm into another unit"},
		{Severity: units.Error, Question: units.AboutCartilage, Where: []string{"base"}, Count: 1,
			Do: "it is 2.0 mm too large for the cartilage"},
		{Severity: units.Error, Question: units.AboutCartilage, Where: []string{"helix"}, Count: 1,
			Do: "it is 1.0 mm too large for the cartilage"},
		{Severity: units.Warning, Question: units.AboutWiring, Where: []string{"helix", "base"}, Count: 3,
			Do: "wires less than 1.0 mm from the contact's edge may tear out: leave them out, or widen the contact"},
	}, tasks)
	assert.Empty(t, verdict.ToDo(nil))
}
