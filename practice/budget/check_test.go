package budget

import (
	"context"
	"encoding/json"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
	"earframe/template"
	"earframe/units"
)

// ribPiece returns a piece of a rib bent to a radius, with rounded ends.
// Invented sizes.
func ribPiece(name string, ribs []int, length, height, thickness, radius float64) Stock {
	const n = 60
	var upper, lower template.Ring
	for i := range n + 1 {
		along := length * float64(i) / n
		half := height / 2
		if end := min(along, length-along); end < half {
			half = math.Sqrt(max(0.01, half*half-(half-end)*(half-end)))
		}
		sin, cos := math.Sincos((along - length/2) / radius)
		middle := mgl64.Vec2{radius * sin, radius * (cos - 1)}
		upper = append(upper, middle.Add(mgl64.Vec2{sin, cos}.Mul(half)))
		lower = append(lower, middle.Sub(mgl64.Vec2{sin, cos}.Mul(half)))
	}
	slices.Reverse(upper)
	return Stock{
		Name: name, Ribs: ribs, Outline: template.Outline{ID: name, Outer: append(lower, upper...)},
		Length: length, Height: height, Thickness: thickness, Rounding: 0.2 * thickness,
	}
}

// plenty returns pieces that every unit of the demo comes out of.
func plenty() []Stock {
	return []Stock{
		ribPiece("block", []int{6, 7}, 120, 42, 12, 300), ribPiece("rib-8", []int{8}, 110, 14, 9, 100),
		ribPiece("rib-9", []int{9}, 70, 26, 8, 200),
	}
}

// planOf returns a plan of the units with the demo's cartilage numbers.
func planOf(t *testing.T, all ...*units.Unit) *units.Plan {
	t.Helper()
	return &units.Plan{
		Side: units.Left, Units: all,
		Practice: units.Practice{Cartilage: units.Cartilage{Margin: 1, Kerf: 0.5,
			Material: units.Silicone, StrainLimit: 0.1, HelixReserve: 3}},
	}
}

// unitOf returns a unit of one outline.
func unitOf(part units.Part, o template.Outline, thickness float64, ribs ...int) *units.Unit {
	return &units.Unit{Name: string(part), Part: part, Label: part.Label(), Outlines: []template.Outline{o},
		Thickness: thickness, Ribs: ribs}
}

func check(t *testing.T, plan *units.Plan, stocks ...Stock) *Budget {
	t.Helper()
	b, err := Check(context.Background(), plan, stocks)
	require.NoError(t, err)
	return b
}

// sound asserts by another reckoning that what is laid keeps off the edge and
// apart by margin and kerf plus the spares told.
func sound(t *testing.T, plan *units.Plan, stocks []Stock, b *Budget) {
	t.Helper()
	c := plan.Practice.Cartilage
	for _, piece := range append(slices.Clone(b.Pieces), b.Casts...) {
		for i, p := range piece.Placements {
			if p.Spare < 0 || p.Behind {
				continue
			}
			judge := newSlow(p.Outline.Outer, piece.Outline.Outer, nil)
			assert.GreaterOrEqual(t, judge.spare(0, 0, 0, math.Inf(-1)), c.Margin+p.Spare-0.01,
				"%s %s to the edge of %s", p.Unit, p.Part, piece.Name)
			for _, other := range piece.Placements[:i] {
				if other.Behind || other.Spare < 0 {
					continue
				}
				judge := newSlow(p.Outline.Outer, slices.Repeat(piece.Outline.Outer, 1), other.Outline.Outer)
				assert.GreaterOrEqual(t, judge.spare(0, 0, 0, math.Inf(-1)),
					min(c.Kerf, c.Margin)+min(p.Spare, other.Spare)-0.01, "%s to %s", p.Unit, other.Unit)
			}
		}
	}
}

func TestTheDemoComesOutOfLargeCartilage(t *testing.T) {
	plan := demotest.Plan(t)
	b := check(t, plan, plenty()...)
	assert.True(t, b.Enough, b.Text)
	sound(t, plan, plenty(), b)
	var order []string
	for _, u := range b.Units {
		order = append(order, u.Unit)
		assert.Equal(t, Fits, u.Verdict, u.Text)
		assert.Equal(t, -1, u.Taken)
		assert.GreaterOrEqual(t, u.Spare, 0.0)
		require.Len(t, u.Placements, 1)
		assert.Equal(t, u.Piece, u.Placements[0].Piece)
		back := u.Placements[0]
		if u.Bend == nil { // shift and turn put the unit's own outline where it lies
			sin, cos := math.Sincos(back.Turn * math.Pi / 180)
			p := pose{x: back.X, y: back.Y}.move(plan.Unit(u.Unit).Outlines[0].Outer[5], sin, cos)
			assert.InDelta(t, 0, p.Sub(back.Outline.Outer[5]).Len(), 1e-9)
		}
	}
	assert.Equal(t, []string{"base", "helix", "antihelix", "tragus", "concha"}, order,
		"what remains is for the tragus first")
	for _, p := range b.Pieces {
		assert.InDelta(t, p.Outline.Area(), p.Area, 1e-9)
		assert.Less(t, p.Used+p.Left, p.Area, "margin and kerf take something")
		assert.LessOrEqual(t, p.Largest, p.Left+1e-9)
	}
	assert.Empty(t, b.Findings)
}

func TestABudgetIsTheSameEachTimeAndOnAnyNumberOfCores(t *testing.T) {
	plan := demotest.Plan(t)
	stocks := plenty()
	stocks[2] = ribPiece("rib-9", []int{9}, 60, 12, 8, 100) // the antihelix is short: alternatives are tried
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first string
	for _, cores := range []int{1, 3, 3} {
		runtime.GOMAXPROCS(cores)
		made, err := json.Marshal(check(t, plan, stocks...))
		require.NoError(t, err)
		if first == "" {
			first = string(made)
		}
		assert.True(t, first == string(made), "on %d cores", cores)
	}
	assert.Contains(t, first, "from the leaf behind what is carved")
}

func TestAUnitThatFitsOnlyTurnedSaysByHowMuch(t *testing.T) {
	plan := planOf(t, unitOf(units.Base, rectangle(22, 2), 3, 7))
	b := check(t, plan, Stock{Name: "square", Ribs: []int{7}, Outline: rectangle(22, 22), Thickness: 5})
	u := b.Units[0]
	assert.Equal(t, FitsTurned, u.Verdict, u.Text)
	assert.InDelta(t, 45, math.Abs(u.Slant), 4)
	assert.InDelta(t, (20-24/math.Sqrt2)/2, u.Spare, closely)
	assert.InDelta(t, -1, u.AlongSpare, closely, "lying along the side its ends reach the edge")
	assert.Contains(t, u.Text, "only turned")
	assert.Empty(t, u.Alternatives)
}

func TestAPieceThatIsTooThinIsSaidSo(t *testing.T) {
	plan := planOf(t, unitOf(units.Base, rectangle(20, 8), 6, 7))
	b := check(t, plan, Stock{Name: "slab", Ribs: []int{7}, Outline: rectangle(40, 20), Thickness: 5})
	u := b.Units[0]
	assert.Equal(t, Short, u.Verdict)
	assert.InDelta(t, -1, u.HeightSpare, 1e-12)
	assert.Contains(t, u.Text, "1.0 mm too thin")
	assert.False(t, b.Enough)
	require.NotEmpty(t, b.Findings)
	assert.Equal(t, map[string]units.Severity{"unit-too-thick-for-rib": units.Error}, demotest.Kinds(t, b.Findings))
	assert.Equal(t, "base", b.Findings[0].Unit)
}

func TestARoundedSectionLeavesLessAtTheFaces(t *testing.T) {
	s := Stock{Thickness: 8, Rounding: 4} // a half circle on either side
	assert.InDelta(t, 0, s.inset(0), 1e-12)
	assert.InDelta(t, 4-math.Sqrt(16-4), s.inset(4), 1e-12, "the circle's sagitta")
	assert.InDelta(t, 4, s.inset(8), 1e-12)
	unit := unitOf(units.Base, rectangle(20, 8), 4, 7)
	plan := planOf(t, unit)
	round := Stock{Name: "round", Ribs: []int{7}, Outline: rectangle(40, 20), Thickness: 8, Rounding: 4}
	assert.InDelta(t, 6-1-s.inset(4), check(t, plan, round).Units[0].Spare, closely)
	// Slabs that are given stand for both.
	round.Slab = func(height float64) ([]template.Outline, error) {
		if height > 8 {
			return nil, nil
		}
		return []template.Outline{rectangle(40, 20-height)}, nil
	}
	assert.InDelta(t, 4-1, check(t, plan, round).Units[0].Spare, closely)
	unit.Thickness = 9
	u := check(t, plan, round).Units[0]
	assert.Equal(t, Short, u.Verdict)
	assert.InDelta(t, -1, u.HeightSpare, 1e-12)
}

func TestARibShorterThanTheHelixIsAFindingWithAWayOut(t *testing.T) {
	helix := helixOf(t, ellipseStrip(25, 25, 3)) // 78.5 mm long
	b := check(t, planOf(t, helix),
		ribPiece("rib-8", []int{8}, 70, 12, 8, 200), ribPiece("rib-9", []int{9}, 100, 12, 8, 200))
	u := b.Units[0]
	assert.Equal(t, FitsElsewhere, u.Verdict)
	require.NotNil(t, u.Bend)
	assert.InDelta(t, 70-2-3-25*math.Pi, u.Bend.LengthSpare, 0.3)
	assert.Contains(t, u.Text, "comes out from rib 9 with")
	require.NotEmpty(t, u.Alternatives)
	assert.Equal(t, OtherPiece, u.Alternatives[0].Way)
	assert.True(t, u.Alternatives[0].Works)
	assert.Equal(t, 0, u.Taken)
	assert.Equal(t, "rib-9", u.Placements[0].Piece)
	assert.True(t, b.Enough, "the 9th serves instead")
	assert.NotContains(t, demotest.Kinds(t, b.Findings), "strip-too-long-for-rib")

	alone := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 70, 12, 8, 200))
	require.Equal(t, 0, alone.Units[0].Taken)
	assert.Equal(t, InPieces, alone.Units[0].Alternatives[0].Way, "two strips side by side")
	assert.Equal(t, 1, alone.Units[0].Alternatives[0].Seams)
	assert.InDelta(t, 3, alone.Units[0].Alternatives[0].Length, 0.1, "a seam as long as the strip is wide")
}

func TestAStripFollowsTheRibsCurve(t *testing.T) {
	helix := helixOf(t, ellipseStrip(25, 25, 3))
	b := check(t, planOf(t, helix), ribPiece("rib-8", []int{8}, 100, 10, 8, 70))
	u := b.Units[0]
	assert.Equal(t, Fits, u.Verdict, u.Text)
	assert.Negative(t, u.Bend.Straight, "laid straight it would stick out")
	assert.InDelta(t, 5-1.5-1-b.Pieces[0].inset(t, 4, 8), u.Spare, 0.1)
}

// inset returns what the rounding of a ribPiece takes.
func (Nesting) inset(t *testing.T, height, thickness float64) float64 {
	t.Helper()
	return Stock{Thickness: thickness, Rounding: 0.2 * thickness}.inset(height)
}

func TestWhatHasNoPieceOfItsRibIsAFinding(t *testing.T) {
	plan := planOf(t, unitOf(units.Antihelix, rectangle(30, 6), 3, 9))
	b := check(t, plan, Stock{Name: "rib-8", Ribs: []int{8}, Outline: rectangle(60, 12), Thickness: 6})
	assert.Equal(t, FitsElsewhere, b.Units[0].Verdict)
	assert.Equal(t, 0, b.Units[0].Taken, "rib 8 serves instead")
	assert.Contains(t, b.Units[0].Text, "comes out from rib 8")
	assert.Empty(t, b.Findings)
	none := check(t, plan, Stock{Name: "rib-8", Ribs: []int{8}, Outline: rectangle(14, 4), Thickness: 6})
	assert.False(t, none.Enough)
	assert.Equal(t, -1, none.Units[0].Taken)
	assert.Equal(t, map[string]units.Severity{"no-piece-of-rib": units.Error}, demotest.Kinds(t, none.Findings[:1]))
	assert.Contains(t, none.Units[0].Text, "no piece of rib 9 is at hand")
	assert.Contains(t, none.Findings[0].Advice, "rib 9")
}

func TestTheConchalVaultIsCutInTwoIfItMust(t *testing.T) {
	vault := unitOf(units.Concha, rectangle(24, 16), 3)
	tragus := unitOf(units.Tragus, rectangle(10, 5), 3)
	b := check(t, planOf(t, vault, tragus),
		Stock{Name: "small", Ribs: []int{8}, Outline: rectangle(30, 13), Thickness: 6},
		Stock{Name: "large", Ribs: []int{7}, Outline: rectangle(48, 14), Thickness: 6})
	require.Len(t, b.Units, 2)
	assert.Equal(t, "tragus", b.Units[0].Unit)
	assert.Equal(t, "large", b.Units[0].Piece, "the tragus takes the largest remainder")
	u := b.Units[1]
	assert.Equal(t, FitsInPieces, u.Verdict, u.Text)
	require.Len(t, u.Placements, 2)
	assert.ElementsMatch(t, []string{"upper piece", "lower piece"}, []string{u.Placements[0].Part, u.Placements[1].Part})
	assert.InDelta(t, 24, u.Alternatives[0].Length, 1e-4, "cut along its length")
	assert.True(t, b.Enough, b.Text)
	assert.Empty(t, b.Findings)
}

func TestALeafBehindWhatIsCarvedServesATwinOfTheUnit(t *testing.T) {
	base, vault := unitOf(units.Base, rectangle(30, 18), 3, 7), unitOf(units.Concha, rectangle(26, 16), 3)
	b := check(t, planOf(t, base, vault), Stock{Name: "thick", Ribs: []int{7}, Outline: rectangle(34, 22),
		Thickness: 7})
	u := b.Units[1]
	assert.Equal(t, FitsElsewhere, u.Verdict)
	require.Equal(t, 0, u.Taken)
	assert.Equal(t, BehindUnits, u.Alternatives[0].Way)
	assert.True(t, u.Placements[0].Behind)
	assert.True(t, b.Enough)
	thin := check(t, planOf(t, base, vault), Stock{Name: "thin", Ribs: []int{7}, Outline: rectangle(34, 22),
		Thickness: 6})
	require.Equal(t, 0, thin.Units[1].Taken)
	assert.Equal(t, FurtherCast, thin.Units[1].Alternatives[0].Way, "3 + 3 mm and the kerf are more than 6")
	assert.False(t, thin.Enough)
	require.Len(t, thin.Casts, 1)
}

func TestWhatIsLaidMakesRoomForTheNext(t *testing.T) {
	// The first in the middle leaves 10 mm on either side: the second needs 14.
	base, other := unitOf(units.Base, rectangle(14, 14), 3, 7), unitOf(units.Antihelix, rectangle(12, 14), 3, 7)
	b := check(t, planOf(t, base, other), Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(34, 17),
		Thickness: 5})
	for _, u := range b.Units {
		assert.True(t, u.Works(), u.Text)
		assert.Equal(t, -1, u.Taken, u.Text)
	}
	sound(t, planOf(t), nil, b)
}

func TestWhatIsShortDoesNotDisturbWhatIsLaid(t *testing.T) {
	base, vault := unitOf(units.Base, rectangle(20, 14), 3, 7), unitOf(units.Concha, rectangle(40, 40), 3)
	b := check(t, planOf(t, base, vault), Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(30, 20),
		Thickness: 5})
	assert.Equal(t, Fits, b.Units[0].Verdict)
	assert.InDelta(t, 2, b.Units[0].Spare, closely)
	assert.True(t, b.Units[1].Drawn)
	assert.NotEmpty(t, b.Units[1].Placements)
	assert.Len(t, b.Pieces[0].Placements, 1)
}

func TestAPieceIsMeasuredBesideWhatIsLaid(t *testing.T) {
	b := check(t, planOf(t, unitOf(units.Base, rectangle(14, 17.9), 3, 7)),
		Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(40, 20), Thickness: 5})
	p := b.Pieces[0]
	assert.InDelta(t, 800, p.Area, 1e-9)
	assert.InDelta(t, 14*17.9, p.Used, 1e-9)
	// Laid upright it has most to spare; beside it go a strip as wide as the kerf
	// and four quarters of a circle at its corners.
	assert.InDelta(t, 38*18-(14*17.9+0.5*2*(14+17.9)+math.Pi*0.25), p.Left, 1)
	assert.InDelta(t, p.Left, p.Largest, 1e-9, "what is left hangs together above and beneath it")
	assert.Greater(t, p.Roundest, 9.5, "the wider of both sides, at least half of 38 less 18.9 mm")
}

func TestBadInputIsAnErrorThatNamesWhatToChange(t *testing.T) {
	good := unitOf(units.Base, rectangle(10, 5), 3, 7)
	stock := Stock{Name: "block", Ribs: []int{7}, Outline: rectangle(30, 20), Thickness: 5}
	for name, c := range map[string]struct {
		change func(p *units.Plan, s *Stock)
		says   string
	}{
		"no name":        {func(_ *units.Plan, s *Stock) { s.Name = "" }, "no name"},
		"no ribs":        {func(_ *units.Plan, s *Stock) { s.Ribs = nil }, "no rib is given"},
		"no thickness":   {func(_ *units.Plan, s *Stock) { s.Thickness = 0 }, "thickness is 0 mm"},
		"thickness NaN":  {func(_ *units.Plan, s *Stock) { s.Thickness = math.NaN() }, "thickness is NaN mm"},
		"endless length": {func(_ *units.Plan, s *Stock) { s.Length = math.Inf(1) }, "length is +Inf mm"},
		"round beyond":   {func(_ *units.Plan, s *Stock) { s.Rounding = 3 }, "more than half the thickness"},
		"no outline":     {func(_ *units.Plan, s *Stock) { s.Outline.Outer = nil }, "piece \"block\""},
		"outline NaN": {func(_ *units.Plan,
			s *Stock) {
			s.Outline.Outer = template.Ring{{0, 0}, {math.NaN(), 0}, {1, 1}}
		}, "not finite"},
		"margin negative": {func(p *units.Plan, _ *Stock) { p.Practice.Cartilage.Margin = -1 }, "cartilage.margin"},
		"kerf NaN": {func(p *units.Plan, _ *Stock) { p.Practice.Cartilage.Kerf = math.NaN() },
			"cartilage.kerf"},
		"no strain": {func(p *units.Plan, _ *Stock) { p.Practice.Cartilage.StrainLimit = 0 },
			"cartilage.strain_limit"},
		"no units":           {func(p *units.Plan, _ *Stock) { p.Units = nil }, "no units"},
		"unit without shape": {func(p *units.Plan, _ *Stock) { p.Units[0].Outlines = nil }, "unit base has no outline"},
		"unit thickness NaN": {func(p *units.Plan, _ *Stock) { p.Units[0].Thickness = math.NaN() },
			"unit base: thickness"},
	} {
		unit := *good
		plan, s := planOf(t, &unit), stock
		c.change(plan, &s)
		_, err := Check(context.Background(), plan, []Stock{s})
		assert.ErrorContains(t, err, c.says, name)
	}
	_, err := Check(context.Background(), planOf(t, good), nil)
	assert.ErrorContains(t, err, "no piece of cartilage is given")
	_, err = Check(context.Background(), planOf(t, good), []Stock{stock, stock})
	assert.ErrorContains(t, err, "given twice")
	_, err = Check(context.Background(), nil, []Stock{stock})
	assert.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Check(ctx, planOf(t, good), []Stock{stock})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestLargerCartilageIsAskedForByAKeyThatGivesIt(t *testing.T) {
	plan := planOf(t, unitOf(units.Base, rectangle(90, 60), 3, 9))
	for age, want := range map[float64]string{
		units.ChildAge: "Take larger cartilage (a higher cartilage.age, or measured cartilage.ribs)",
		units.AdultAge: "Take larger cartilage (measured cartilage.ribs)",
	} {
		plan.Practice.Cartilage.Age = age
		b := check(t, plan, ribPiece("rib-9", []int{9}, 50, 10, 8, 200))
		require.NotEmpty(t, b.Findings)
		assert.Contains(t, b.Findings[0].Advice, want)
	}
}
