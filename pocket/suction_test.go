package pocket

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"earframe/units"
	"earframe/units/casefile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// underSuction is a plate's groove under suction, mmHg.
func underSuction(mmHg float64, more string) plate {
	return plate{width: 8, depth: 1.5, skin: 1, more: fmt.Sprintf("  suction: %g mmHg\n%s", mmHg, more)}
}

// The radius is tension over suction, and a groove shows by the sag of that radius:
// less of it as the drain fills, and nothing of it once the drain is full.
func TestReliefFollowsFromSuctionAndGoesAsTheDrainFills(t *testing.T) {
	r := check(t, underSuction(118, "").plan(t), Options{NoAdvice: true})
	b, g := r.Measures.Bridging, r.Measures.Relief[0]
	states, err := r.states(t.Context())
	require.NoError(t, err)
	assert.False(t, b.Given)
	assert.InEpsilon(t, 118*101.325/760, b.Suction, 1e-9)
	assert.InDelta(t, r.Measures.Demand.Sliding-1, b.Strain, 1e-9, "strain is what tightness is told by")
	assert.InEpsilon(t, (13.5+129*b.Strain)*1, b.Tension, 1e-9)
	assert.InEpsilon(t, b.Tension/b.Suction, *b.Radius, 1e-3)
	assert.LessOrEqual(t, math.Abs(b.Residual), 1e-3**b.Radius)
	assert.InDelta(t, b.Tension/b.Suction-*b.Radius, b.Residual, 1e-9)
	assert.InDelta(t, min(1.5, *b.Radius-math.Sqrt(max(*b.Radius**b.Radius-16, 0))), g.OnSkin, 0.05)

	require.Len(t, states, 4)
	quarter, full, softer, stiffer := states[0], states[1], states[2], states[3]
	assert.Equal(t, []string{"drain 1/4 full", "drain full", "tension -1 SD", "tension +1 SD"},
		[]string{quarter.Name, full.Name, softer.Name, stiffer.Name})
	assert.InEpsilon(t, b.Suction/2, quarter.Suction, 1e-9)
	assert.Zero(t, full.Suction)
	assert.Nil(t, full.Radius)
	assert.InDelta(t, 0, full.Kept[0].Kept, 1e-2)
	assert.Equal(t, [2]float64{8.5, 18.5}, [2]float64{softer.Natural, stiffer.Natural})
	for _, s := range []State{quarter, softer, stiffer} {
		assert.InEpsilon(t, (s.Natural+129*s.Strain)/s.Suction, *s.Radius, 1e-2, s.Name)
		fresh := check(t, plate{width: 8, depth: 1.5, skin: 1, bridging: fmt.Sprint(*s.Radius)}.plan(t), Options{NoAdvice: true})
		assert.InDelta(t, fresh.Measures.Relief[0].Kept, s.Kept[0].Kept, 0.02, "%s, as laid anew", s.Name)
	}
	assert.Less(t, *softer.Radius, *b.Radius)
	assert.Less(t, *b.Radius, *stiffer.Radius)
	assert.Less(t, *stiffer.Radius, *quarter.Radius)
}

// Flaps take tension off the skin, and it lies closer.
func TestFlapsLetSuctionDrawTheSkinCloser(t *testing.T) {
	tight := check(t, underSuction(118, "").plan(t), Options{NoAdvice: true}).Measures
	loose := check(t, underSuction(118, "  extra_skin: 5000\n").plan(t), Options{NoAdvice: true}).Measures
	assert.Zero(t, loose.Bridging.Strain, "skin is left over")
	assert.InEpsilon(t, 13.5/(118*101.325/760), *loose.Bridging.Radius, 2e-3, "natural tension alone")
	assert.Less(t, *loose.Bridging.Radius, *tight.Bridging.Radius)
}

// A radius that is given goes before the suction; without suction there is none.
func TestARadiusThatIsGivenIsUsed(t *testing.T) {
	given := check(t, plate{width: 8, depth: 1.5, skin: 1, bridging: "5", more: "  suction: 20 " +
		"kPa\n"}.plan(t), Options{NoAdvice: true})
	assert.True(t, given.Measures.Bridging.Given)
	assert.InEpsilon(t, 5, *given.Measures.Bridging.Radius, 1e-12)
	states, err := given.states(t.Context())
	require.NoError(t, err)
	assert.Empty(t, states, "no suction is known")
	assert.Equal(t, units.Note, finding(t, given, "pocket.suction and pocket.bridging_radius").Severity)
	none := check(t, plate{width: 8, depth: 1.5, skin: 1, more: "  suction: none\n"}.plan(t), Options{NoAdvice: true})
	assert.Nil(t, none.Measures.Bridging.Radius)
	assert.InDelta(t, 0, none.Measures.Relief[0].Kept, 1e-3)
}

// The suction that the advice asks for shows half of the groove.
func TestAdviceSaysTheSuctionThatShowsHalfOfAGroove(t *testing.T) {
	r := check(t, underSuction(8, "").plan(t), Options{})
	require.Less(t, r.Measures.Relief[0].Kept, 0.4)
	lost, known := r.groove(r.Measures.Relief[0])
	require.True(t, known)
	radius, suction, err := r.closerSuction(t.Context(), trialOf(t, r), lost)
	require.NoError(t, err)
	assert.Contains(t, finding(t, r, "only").Advice,
		fmt.Sprintf("to a bridging radius of %.1f mm or less: %s", radius, reaching(suction)))
	asked := check(t, underSuction(suction/casefile.MmHg, "").plan(t), Options{NoAdvice: true})
	assert.InEpsilon(t, radius, *asked.Measures.Bridging.Radius, 0.02)
	assert.InDelta(t, 0.5, asked.Measures.Relief[0].Kept, 0.06)
}

func TestAdviceSaysWhichPublishedDrainDrawsAsMuch(t *testing.T) {
	for mmHg, words := range map[float64]string{
		50: "50 mmHg (6.7 kPa), which a squeezed 400 ml bulb draws at first", 117.6: "100 ml bulb", 118: "strongest " +
			"published bulb",
		400: "only a rigid drain draws", 700: "more than any published drain draws",
	} {
		assert.Contains(t, reaching(mmHg*casefile.MmHg), words)
	}
}

// Skin of no thickness bears no tension and lies on everything.
func TestSkinOfNoThicknessLiesOnEverything(t *testing.T) {
	r := check(t, plate{width: 8, depth: 1.5, skin: 0}.plan(t), Options{NoAdvice: true})
	assert.InDelta(t, 1, r.Measures.Relief[0].Kept, 0.01)
	for _, f := range r.Findings {
		assert.False(t, strings.Contains(f.Advice, "NaN"), f.Advice)
	}
}
