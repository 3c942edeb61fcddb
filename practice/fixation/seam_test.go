package fixation_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/practice/fixation"
	"earframe/template"
	"earframe/units"
)

func plate() *units.Unit {
	return slab(units.Base, 0, 3, rectangle(mgl64.Vec2{}, 60, 40, 0))
}

func TestABarOnAPlateIsWiredAtEvenStepsHalfAStepFromItsEnds(t *testing.T) {
	for _, c := range []struct {
		length, spacing float64
		count           int
	}{{30, 3, 10}, {20, 3, 7}, {31.4, 3, 10}, {31.6, 3, 11}, {4, 3, 1}, {12, 5, 2}} {
		t.Run(fmt.Sprintf("%g mm every %g", c.length, c.spacing), func(t *testing.T) {
			const turn, thickness = 0.4, 4.0
			middle := mgl64.Vec2{1, -2}
			asked := usual
			asked.Spacing = c.spacing
			p := planned(t, asked, plate(), slab(units.Helix, 3, thickness, rectangle(middle, c.length, 2.6, turn)))
			require.Len(t, p.Seams, 1)
			s := p.Seams[0]
			assert.Equal(t, "helix on base", s.Name)
			assert.False(t, s.Closed)
			assert.InDelta(t, c.length, s.Length, 0.02)
			assert.Equal(t, c.count, s.Count)
			require.Len(t, p.Points, c.count)
			step := c.length / float64(c.count)
			assert.InDelta(t, step, s.Step, 0.005)
			along := mgl64.Vec2{math.Cos(turn), math.Sin(turn)}
			for i, q := range p.Points {
				// From the superior end downward.
				want := middle.Add(along.Mul(c.length/2 - (float64(i)+0.5)*step))
				assert.InDelta(t, 0, q.At.Vec2().Sub(want).Len(), 0.03, "point %d", i)
				assert.InDelta(t, 3, q.At[2], 1e-9)
				assert.InDelta(t, 0, q.Direction.Sub(mgl64.Vec3{0, 0, -1}).Len(), 1e-9, "inward, square to the contact")
				assert.InDelta(t, thickness, q.UpperMM, 1e-5)
				assert.InDelta(t, 3, q.LowerMM, 1e-5)
				assert.InDelta(t, 2*(thickness+3), q.LoopMM, 1e-4)
				assert.Equal(t, i+1, q.Number)
			}
			assert.InDelta(t, float64(c.count)*(2*(thickness+3)+60), p.WireMM, 0.01)
			assert.InDelta(t, p.WireMM, s.WireMM, 1e-9)
			assert.Equal(t, c.count, p.Count)
		})
	}
}

func TestASeamIsTheMiddleLineHoweverTheBarLies(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		length := rapid.Float64Range(12, 34).Draw(rt, "length")
		width := rapid.Float64Range(2, 5).Draw(rt, "width")
		turn := rapid.Float64Range(-math.Pi, math.Pi).Draw(rt, "turn")
		f := laid(rt, usual, plate(), slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, length, width, turn)))
		p, err := fixation.Make(context.Background(), f)
		require.NoError(rt, err)
		require.Len(rt, p.Seams, 1)
		require.InDelta(rt, length, p.Seams[0].Length, 0.05)
		along := mgl64.Vec2{math.Cos(turn), math.Sin(turn)}
		for _, q := range p.Points {
			across := along[0]*q.At[1] - along[1]*q.At[0]
			require.InDelta(rt, 0, across, 0.05)
			end := length/2 - math.Abs(along.Dot(q.At.Vec2()))
			require.InDelta(rt, math.Min(width/2, end), q.EdgeMM, 0.06)
		}
	})
}

func TestAVaultUnderAWindowIsWiredAllRound(t *testing.T) {
	p := planned(t, usual,
		slab(units.Base, 0, 3, circle(16, false), circle(8, true)),
		slab(units.Concha, -2.5, 2.5, circle(10.4, false)))
	require.Len(t, p.Seams, 1)
	s := p.Seams[0]
	assert.Equal(t, "concha under base", s.Name)
	assert.True(t, s.Closed, "a ring has no ends")
	const radius = (8 + 10.4) / 2
	assert.InDelta(t, 2*math.Pi*radius, s.Length, 0.1)
	assert.Equal(t, 19, s.Count)
	assert.InDelta(t, s.Length/19, s.Step, 1e-9)
	for i, q := range p.Points {
		assert.InDelta(t, radius, q.At.Vec2().Len(), 0.03)
		assert.InDelta(t, 1.2, q.EdgeMM, 0.03)
		assert.InDelta(t, 3, q.UpperMM, 1e-5)
		assert.InDelta(t, 2.5, q.LowerMM, 1e-5)
		next := p.Points[(i+1)%len(p.Points)]
		assert.InDelta(t, 2*radius*math.Sin(math.Pi/19), next.At.Sub(q.At).Len(), 0.05,
			"the last and the first are a step apart too")
	}
}

func TestEveryLimbOfAForkHasItsOwnSeam(t *testing.T) {
	// Three limbs of one length from a common middle, 120 degrees apart.
	const reach, half = 14.0, 1.5
	var ring template.Ring
	for k := range 3 {
		turn := math.Pi/2 + 2*math.Pi*float64(k)/3
		along := mgl64.Vec2{math.Cos(turn), math.Sin(turn)}
		across := mgl64.Vec2{-along[1], along[0]}
		inner := along.Mul(half / math.Sqrt(3)).Sub(across.Mul(half))
		ring = append(ring, inner, along.Mul(reach).Sub(across.Mul(half)), along.Mul(reach).Add(across.Mul(half)))
	}
	p := planned(t, usual, plate(), slab(units.Antihelix, 3, 3.4, ring))
	require.Len(t, p.Seams, 3)
	for i, s := range p.Seams {
		assert.Equal(t, fmt.Sprintf("antihelix on base, seam %d of 3", i+1), s.Name)
		assert.InDelta(t, reach, s.Length, 0.15, "from the fork to the tip")
		assert.Equal(t, 5, s.Count)
	}
	for _, q := range p.Points {
		turn := math.Atan2(q.At[1], q.At[0]) - math.Pi/2
		off := math.Abs(math.Mod(turn+4*math.Pi+math.Pi/3, 2*math.Pi/3) - math.Pi/3)
		assert.Less(t, q.At.Vec2().Len()*math.Sin(off), 0.1, "on the middle line of a limb")
	}
}

func TestAPatchAsWideAsLongIsWiredStraightAcross(t *testing.T) {
	p := planned(t, usual, plate(), slab(units.Tragus, 3, 3, circle(5, false)))
	require.Len(t, p.Seams, 1)
	assert.InDelta(t, 10, p.Seams[0].Length, 0.05)
	assert.Equal(t, 3, p.Seams[0].Count)
}

func TestPilotHolesTakeTheirCylindersAway(t *testing.T) {
	asked := usual
	asked.Hole = 1.2
	f := laid(t, asked, slab(units.Base, 0, 3, rectangle(mgl64.Vec2{}, 14, 8, 0)),
		slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, 9, 4, 0.3)))
	p, err := fixation.Make(context.Background(), f)
	require.NoError(t, err)
	require.Equal(t, 3, p.Count)
	for i, thickness := range []float64{3, 4} {
		piece := &f.Pieces[i]
		holes := p.Holes(piece.Unit.Name)
		require.Len(t, holes, 3)
		m, err := contour.Of(context.Background(), field.Difference(piece.Solid, field.Union(holes...)),
			contour.Options{Step: 0.1})
		require.NoError(t, err)
		verdict := mesh.Judge(m)
		require.NoError(t, verdict.Err())
		assert.Equal(t, 3, verdict.Shells[0].Genus, "three holes right through")
		removed := []float64{14 * 8 * 3, 9 * 4 * 4}[i] - m.Volume()
		assert.InEpsilon(t, 3*math.Pi*0.6*0.6*thickness, removed, 0.02)
	}
	assert.Empty(t, p.Holes("tragus"))
	asked.Hole = 0
	assert.Empty(t, planned(t, asked, plate(), slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, 9, 4, 0))).Holes("base"))
}

func TestWhatCannotBeWiredIsAnErrorThatNamesTheKey(t *testing.T) {
	f := laid(t, usual, plate())
	for _, c := range []struct {
		asked units.Fixation
		key   string
	}{
		{units.Fixation{Spacing: 0, Wire: 0.1}, "fixation.spacing"},
		{units.Fixation{Spacing: math.NaN(), Wire: 0.1}, "fixation.spacing"},
		{units.Fixation{Spacing: 3}, "fixation.wire"},
		{units.Fixation{Spacing: 3, Wire: 0.1, Allowance: -1}, "fixation.allowance"},
		{units.Fixation{Spacing: 3, Wire: 0.5, Hole: 0.5}, "fixation.hole"},
	} {
		f.Plan.Practice.Fixation = c.asked
		_, err := fixation.Make(context.Background(), f)
		assert.ErrorContains(t, err, c.key)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := fixation.Make(ctx, laid(t, usual, plate(), slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, 9, 4, 0))))
	assert.ErrorIs(t, err, context.Canceled)
}

// findingsOf returns the findings that hold a text.
func findingsOf(p *fixation.Plan, text string) []units.Finding {
	var found []units.Finding
	for _, f := range p.Findings {
		if strings.Contains(f.Message, text) {
			found = append(found, f)
		}
	}
	return found
}

func TestWhatIsToBeMindedIsFound(t *testing.T) {
	bar := func(length, width float64) *units.Unit {
		return slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, length, width, 0))
	}
	sound := planned(t, usual, plate(), bar(20, 4))
	assert.Empty(t, sound.Findings)

	short := planned(t, usual, plate(), bar(1.4, 1))
	require.Len(t, findingsOf(short, "too short"), 1)
	assert.Equal(t, map[string]units.Severity{"seam-too-short-for-wire": units.Warning},
		demotest.Kinds(t, short.Findings))
	assert.Zero(t, short.Count)
	assert.InDelta(t, 1.4, short.Findings[0].Value, 0.05)

	narrow := planned(t, usual, plate(), bar(20, 1.6))
	require.Len(t, findingsOf(narrow, "7 of 7 fixations stand less than 1 mm from the edge"), 1)
	assert.Equal(t, map[string]units.Severity{"wire-near-edge": units.Warning}, demotest.Kinds(t, narrow.Findings))
	assert.InDelta(t, 0.8, narrow.Findings[0].Value, 0.01)

	thin := planned(t, usual, slab(units.Base, 2.2, 0.8, rectangle(mgl64.Vec2{}, 60, 40, 0)), bar(20, 4))
	require.Len(t, findingsOf(thin, "pass less than 1 mm of it"), 1)
	assert.Equal(t, map[string]units.Severity{"wire-holds-too-little": units.Warning}, demotest.Kinds(t, thin.Findings))
	assert.Equal(t, "base", thin.Findings[0].Unit)
	assert.InDelta(t, 0.8, thin.Findings[0].Value, 1e-4)

	asked := usual
	asked.Hole = 0.8
	fine := planned(t, asked, plate(), bar(20, 4))
	require.Len(t, findingsOf(fine, "pilot holes of 0.8 mm would close up in all units that are wired (helix, base)"),
		1)
	assert.Equal(t, map[string]units.Severity{"pilot-holes-close-up": units.Warning}, demotest.Kinds(t, fine.Findings))
	assert.Contains(t, fine.Findings[0].Advice, "by hand")
	asked.Hole = 2
	assert.Empty(t, findingsOf(planned(t, asked, plate(), bar(20, 4)), "pilot holes"))

	low := planned(t, usual, plate(), slab(units.Antihelix, 2.7, 3, rectangle(mgl64.Vec2{35, 0}, 10, 10, 0)))
	require.Len(t, findingsOf(low, "upright faces less than 0.5 mm high only"), 1)
	assert.Equal(t, map[string]units.Severity{"joint-too-low-for-wire": units.Note}, demotest.Kinds(t, low.Findings))
	assert.Zero(t, low.Count)

	// A vault wired through the base frame under an antihelix laid on before it.
	covered := planned(t, usual, plate(),
		slab(units.Antihelix, 3, 3, rectangle(mgl64.Vec2{}, 21, 6, 0)),
		slab(units.Concha, -3, 3, rectangle(mgl64.Vec2{}, 9, 4, 0)))
	require.Len(t, findingsOf(covered, "come out under what is in place by then (antihelix)"), 1)
	assert.NotEmpty(t, findingsOf(covered, "from a wire of another seam"), "both seams run along one line")
}

func TestSeamsAreWiredInTheOrderOfAssembly(t *testing.T) {
	piece := func(name string, y float64) *units.Unit {
		u := slab(units.Antihelix, 3, 3, rectangle(mgl64.Vec2{0, y}, 14, 5, 0))
		u.Name = name
		return u
	}
	base := slab(units.Base, 0, 3, rectangle(mgl64.Vec2{}, 40, 60, 0))
	tragus := slab(units.Tragus, 3, 3, rectangle(mgl64.Vec2{-12, 0}, 6, 10, 0))
	var names []string
	for _, s := range planned(t, usual, tragus, piece("body", -10), base, piece("superior-crus", 20),
		piece("inferior-crus", 8)).Seams {
		names = append(names, s.Name)
	}
	assert.Equal(t, []string{"superior-crus on base", "inferior-crus on base", "body on base", "tragus on base"}, names)
}

func TestALengthThatIsSaidToBeTheLimitIsNotBelowIt(t *testing.T) {
	strip := func(length, width float64) *fixation.Plan {
		return planned(t, usual, plate(), slab(units.Helix, 3, 4, rectangle(mgl64.Vec2{}, length, width, 0)))
	}
	require.Len(t, findingsOf(strip(3, 1.9), "1 of 1 fixations stands less than 1 mm from the edge of the contact, "+
		"the nearest 0.9"), 1)
	assert.Empty(t, findingsOf(strip(20, 1.996), "from the edge"), "half its width is 1.00 mm, as it is said")
}
