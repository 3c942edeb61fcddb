package pocket

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"earframe/anatomy"
	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plate is a case whose answers are known in closed form: a level base frame of
// 60 × 44 mm in a wide pocket, with one straight groove across its middle.
type plate struct {
	width, depth float64 // of the groove, mm
	bridging     string  // empty: it follows from the suction
	skin         float64 // lateral, mm
	more         string  // lines of the pocket section
}

func (p plate) plan(t testing.TB) *units.Plan {
	t.Helper()
	dir := t.TempDir()
	drawing := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">
<rect id="ear" x="18" y="16" width="64" height="48"/>
<rect id="base" x="20" y="18" width="60" height="44"/>
<rect id="scapha" x="24" y="%g" width="52" height="%g"/></svg>`, 40-p.width/2, p.width)
	text := fmt.Sprintf(`case: plate
template: {drawn: frame}
engrave: {on: false}
skin: {lateral: %g}
units:
  - part: base
    thickness: 4
    edge: {top: 0}
    recesses:
      - {outline: scapha, depth: %g, wall: 0}
pocket:
  margin: 20
%s`, p.skin, p.depth, p.more)
	if p.bridging != "" {
		text += "  bridging_radius: " + p.bridging + "\n"
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), []byte(drawing), 0o644))
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	plan, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	return plan
}

// Skin over a long groove of width w sags as a cylinder of the bridging radius R
// (tension over pressure; Timoshenko and Woinowsky-Krieger, from memory): its sag
// is R - √(R² - w²/4). The lowest point of the skin's outside lies one thickness
// over it, so the outside shows a groove as deep as the sag.
func TestReliefOfALongGrooveIsTheSagOfTheSkin(t *testing.T) {
	for _, c := range []struct{ width, bridging float64 }{{8, 10}, {10, 8}, {6, 15}} {
		r := check(t, plate{width: c.width, depth: 2.5, bridging: fmt.Sprint(c.bridging), skin: 1}.plan(t), Options{NoAdvice: true})
		sag := c.bridging - math.Sqrt(c.bridging*c.bridging-c.width*c.width/4)
		require.Len(t, r.Measures.Relief, 1)
		g := r.Measures.Relief[0]
		assert.InEpsilon(t, 2.5, g.OnFrame, 1e-6)
		assert.InEpsilon(t, c.width, g.Width, 0.06)
		assert.InDelta(t, sag, g.OnSkin, 0.03*sag+0.01, "groove %g mm wide, R %g mm", c.width, c.bridging)
		assert.InEpsilon(t, sag/2.5, g.Kept, 0.05)
	}
}

func TestSkinWithoutSuctionHidesAGrooveAndLeavesItsVolumeEmpty(t *testing.T) {
	r := check(t, plate{width: 6, depth: 2, bridging: "none", skin: 1}.plan(t), Options{NoAdvice: true})
	assert.InDelta(t, 0, r.Measures.Relief[0].Kept, 1e-3)
	var inGroove PlaceGap
	for _, gap := range r.Measures.Dead.ByPlace {
		if gap.Place == anatomy.Scapha {
			inGroove = gap
		}
	}
	assert.InEpsilon(t, 52*6*2, inGroove.Volume, 0.05, "its edge is known to a grid step")
	assert.InDelta(t, 2, inGroove.Deepest, 0.01)
}

// Half of a groove d deep shows where its sag is d/2: at R = ((w/2)² + (d/2)²)/d.
func TestAdviceOnSuctionIsTheRadiusOfThatSag(t *testing.T) {
	const width, deep = 8.0, 1.5
	r := check(t, plate{width: width, depth: deep, bridging: "30", skin: 1}.plan(t), Options{})
	want := (width*width/4 + deep*deep/4) / deep
	lost, known := r.groove(r.Measures.Relief[0])
	require.True(t, known)
	coarse := trialOf(t, r)
	radius, _, err := r.closerSuction(context.Background(), coarse, lost)
	require.NoError(t, err)
	assert.InEpsilon(t, want, radius, 0.12)
	f := finding(t, r, "only")
	assert.Contains(t, f.Advice, "bridging radius")
	assert.Equal(t, units.Warning, f.Severity)

	// What the advice says is wide enough shows half.
	advice, err := coarse.drape.Advise(context.Background(), r.Plan.Skin.Lateral, lost, adviceLimits)
	require.NoError(t, err)
	require.True(t, advice.WiderHelps)
	wider := check(t, plate{width: width + advice.Wider, depth: deep, bridging: "30", skin: 1}.plan(t), Options{NoAdvice: true})
	assert.InDelta(t, 0.5*deep, wider.Measures.Relief[0].OnSkin, 0.1*deep)
}

func TestDepthOfThePocketIsHeldAgainstTheFrame(t *testing.T) {
	groove := plate{width: 6, depth: 1, bridging: "10", skin: 1}
	groove.more = "  depth: 5\n"
	roomy := check(t, groove.plan(t), Options{NoAdvice: true})
	assert.InDelta(t, 1, *roomy.Measures.Depth.Room, 1e-9)
	assert.InDelta(t, 4, roomy.Measures.Depth.Peak.Height, 1e-9)
	assert.InDelta(t, 5, roomy.Measures.Depth.Outside, 1e-9)
	assert.InDelta(t, 6.5, roomy.Measures.Depth.BothSkins, 1e-9)
	for _, f := range roomy.Findings {
		assert.NotEqual(t, units.Error, f.Severity, f.String())
	}

	groove.more = "  depth: 3\n"
	shallow := check(t, groove.plan(t), Options{NoAdvice: true})
	f := finding(t, shallow, "stands 4.0 mm over the bed")
	assert.Equal(t, units.Error, f.Severity)
	assert.Contains(t, f.Advice, "Take 1.0 mm off base")
	f = finding(t, shallow, "less than the base frame alone")
	assert.Equal(t, units.Error, f.Severity)
	assert.InDelta(t, 4, f.Limit, 1e-9)
}

func TestSkinThickerThanHalfAGrooveIsAFinding(t *testing.T) {
	thin := check(t, plate{width: 6, depth: 1, bridging: "10", skin: 2}.plan(t), Options{NoAdvice: true})
	for _, f := range thin.Findings {
		assert.NotContains(t, f.Message, "fills the")
	}
	thick := check(t, plate{width: 4, depth: 1, bridging: "10", skin: 2.5}.plan(t), Options{NoAdvice: true})
	f := finding(t, thick, "skin 2.5 mm thick on both walls fills the scapha")
	assert.Equal(t, units.Warning, f.Severity)
	assert.InEpsilon(t, 2, f.Limit, 0.06)
}

// finding returns the result's finding whose message holds the words.
func finding(t testing.TB, r *Result, words string) units.Finding {
	t.Helper()
	for _, f := range r.Findings {
		if strings.Contains(f.Message, words) {
			return f
		}
	}
	require.Failf(t, "no such finding", "%q is in none of %v", words, r.Findings)
	return units.Finding{}
}
