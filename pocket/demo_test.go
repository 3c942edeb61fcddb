package pocket

import (
	"bytes"
	"context"
	"encoding/csv"
	"maps"
	"math"
	"runtime"
	"testing"

	"earframe/anatomy"
	"earframe/internal/demotest"
	"earframe/membrane"
	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// suction is a bridging radius at which the demo's grooves are mostly seen.
const suction = "\npocket: {bridging_radius: 2}\n"

func TestDemoUnderItsSkin(t *testing.T) {
	r := check(t, demotest.Plan(t, "side: left\n", "side: left\n"+suction), Options{NoAdvice: true})
	m := r.Measures
	assert.InDelta(t, -3, m.Bed, 1e-9, "the conchal vault's underside")
	assert.InDelta(t, 10, m.Depth.Peak.Height, 1e-6, "from there to the helical rim")
	assert.Equal(t, "helix", m.Depth.Unit)
	assert.Equal(t, "helix", m.Depth.Peak.Name)
	assert.InDelta(t, 12, m.Depth.Outside, 1e-6)
	highest := 0.0
	for _, z := range r.Skin.Heights {
		highest = max(highest, z)
	}
	assert.InDelta(t, highest, m.Depth.Outside, 0.02, "a ball on the highest point")
	assert.Nil(t, m.Depth.Available)
	assert.Greater(t, m.Demand.Ratio, 1.2)
	assert.InEpsilon(t, m.Demand.Drape-m.Pocket.Area, m.Demand.Missing, 1e-9)
	assert.InDelta(t, 1, m.Contact.OnFrame+m.Contact.OnBed+m.Contact.Free, 1e-9)
	share := 0.0
	for _, b := range m.Stretch.Bands {
		share += b.Share
	}
	assert.InDelta(t, 1, share, 1e-9)
	for i, s := range m.Stretch.Along[1:] {
		assert.GreaterOrEqual(t, s.Stretch, m.Stretch.Along[i].Stretch)
	}
	require.Len(t, m.Stretch.Sections, 2)
	for _, s := range m.Stretch.Sections {
		assert.Greater(t, s.Stretch, 1.05, s.Name)
	}
	volume := 0.0
	for _, gap := range m.Dead.ByPlace {
		volume += gap.Volume
	}
	assert.InEpsilon(t, m.Dead.Volume, volume, 1e-9, "places share out the whole")
	names := map[string]Relief{}
	for _, g := range m.Relief {
		names[g.Name] = g
	}
	for _, name := range []string{anatomy.Scapha, anatomy.Fossa, anatomy.Concha, "helix", "antihelix fold"} {
		assert.Contains(t, names, name)
	}
	// The concha runs from the rim of the base frame and the antihelix on it, 6.4 mm
	// over its lower parts, down to the vault's top at the bed + 3.
	assert.InDelta(t, 3+3.4, names[anatomy.Concha].OnFrame, 0.01)
	assert.True(t, m.Solution.Resolved)
	assert.Less(t, m.Solution.DemandChange, 0.005)
}

// A right ear is the mirror image of a left one, and so is its skin.
func TestRightEarAsksForAsMuchAsItsMirrorImage(t *testing.T) {
	left := check(t, demotest.Plan(t), Options{NoAdvice: true}).Measures
	right := check(t, demotest.Plan(t, "side: left\n", "side: right\n", "  file: template.svg\n", "  file: "+
		"template.svg\n  mirror: true\n"), Options{NoAdvice: true}).Measures
	assert.InEpsilon(t, left.Pocket.Area, right.Pocket.Area, 1e-3)
	assert.InEpsilon(t, left.Demand.Ratio, right.Demand.Ratio, 2e-3)
	assert.InEpsilon(t, left.Dead.Volume, right.Dead.Volume, 5e-3)
	for i, g := range left.Relief {
		assert.Equal(t, g.Name, right.Relief[i].Name)
		assert.InDelta(t, g.OnSkin, right.Relief[i].OnSkin, 0.05, g.Name)
	}
}

func TestTheNumberOfCoresDoesNotShowInACheck(t *testing.T) {
	p := demotest.Plan(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := check(t, p, Options{Step: 0.8, NoAdvice: true}).Measures
	runtime.GOMAXPROCS(3)
	three := check(t, p, Options{Step: 0.8, NoAdvice: true}).Measures
	assert.Equal(t, one, three)
}

func TestMoreSkinIsWorkedOut(t *testing.T) {
	r := check(t, demotest.Plan(t), Options{NoAdvice: true})
	fine := membrane.Bands()[1].From
	require.Greater(t, r.Measures.Demand.Sliding, fine)
	f := finding(t, r, "has to stretch")
	assert.Contains(t, f.Advice, "mm² more skin with the flaps")
	area, err := r.areaAt(t.Context(), trialOf(t, r), fine)
	require.NoError(t, err)
	r.Plan.Pocket.ExtraSkin = r.flapsNeeded(area, fine)
	again := check(t, r.Plan, Options{NoAdvice: true}).Measures
	assert.InDelta(t, fine, again.Demand.Sliding, 0.004, "worked out at 0.8 mm; the skin lies closer when it is less "+
		"tight")
	assert.Less(t, *again.Bridging.Radius, *r.Measures.Bridging.Radius)
}

// Skin that bridges at 30 mm stands off the frame's walls, and a wider pocket
// lets it down in a gentler slope. Skin drawn onto the walls as by default takes
// their height whatever the margin, so there a wider pocket does not help.
func TestAWiderPocketHelpsSkinThatBridges(t *testing.T) {
	r := check(t, demotest.Plan(t, "side: left\n", "side: left\npocket:\n  bridging_radius: "+
		"30\n"), Options{NoAdvice: true})
	fine := membrane.Bands()[1].From
	wider, helps, err := r.widerMargin(context.Background(), trialOf(t, r), fine)
	require.NoError(t, err)
	require.True(t, helps)
	r.Plan.Pocket.Margin += wider
	assert.InDelta(t, fine, check(t, r.Plan, Options{NoAdvice: true}).Measures.Demand.Sliding, 0.005)

	r = check(t, demotest.Plan(t), Options{NoAdvice: true})
	_, helps, err = r.widerMargin(context.Background(), trialOf(t, r), fine)
	require.NoError(t, err)
	require.False(t, helps)
	r.Plan.Pocket.Margin += mostWider
	assert.Greater(t, check(t, r.Plan, Options{NoAdvice: true}).Measures.Demand.Sliding, fine)
}

func TestSkinModelIsSoundAndAsHighAsTheSkin(t *testing.T) {
	r := check(t, demotest.Plan(t), Options{Step: 0.8, NoAdvice: true})
	o, err := r.SkinModel(context.Background())
	require.NoError(t, err)
	assert.True(t, o.Verdict.Sound())
	assert.Equal(t, 1, len(o.Verdict.Shells))
	assert.InDelta(t, -modelPlate, o.Verdict.Low[2], 1e-6)
	assert.InDelta(t, r.Measures.Depth.Outside, o.Verdict.High[2], 0.05)
	// Plate and untouched skin around the pocket, and what the skin holds in it.
	size := o.Verdict.High.Sub(o.Verdict.Low)
	area := size[0] * size[1]
	want := area*modelPlate + (area-r.Measures.Pocket.Area)*r.Plan.Skin.Lateral + r.Skin.Volume()
	assert.InEpsilon(t, want, o.Mesh.Volume(), 0.01)
}

func TestSectionsShowSkinOverTheFrame(t *testing.T) {
	r := check(t, demotest.Plan(t), Options{Step: 0.8, NoAdvice: true})
	sections := r.Sections(0.2, 0.5, 0.78)
	require.Len(t, sections, 3)
	for _, s := range sections {
		require.NotEmpty(t, s.Units, s.Label)
		top := map[int]float64{}
		for _, u := range s.Units {
			for _, ring := range u.Rings {
				for _, p := range ring {
					k := int(math.Round(p[0] / sliceStep))
					top[k] = max(top[k], p[1])
				}
			}
		}
		for i, p := range s.Deep {
			assert.GreaterOrEqual(t, s.Outside[i][1], p[1]+1.9, "two millimetres of skin")
			// On a wall the place is known to one sample.
			k := int(math.Round(p[0] / sliceStep))
			if around := min(top[k-2], top[k-1], top[k], top[k+1], top[k+2]); around > 0 {
				assert.GreaterOrEqual(t, p[1], around-0.1, "%s, x %.1f", s.Label, p[0])
			}
		}
	}
}

func TestBadPocketsAreSaidPlainly(t *testing.T) {
	const lines = `<line id="frankfort"`
	drawn := func(shape string) []string { return []string{lines, shape + lines} }
	for _, c := range []struct {
		name  string
		edits []string
		says  []string
	}{
		{"smaller than the frame", drawn(`<circle id="pocket" cx="40" cy="38" r="12"/>`),
			[]string{"is smaller than the frame", "mm² lie outside", "draw the outline pocket wider there"}},
		{"beside the frame", drawn(`<circle id="pocket" cx="60" cy="38" r="34"/>`),
			[]string{"the frame reaches outside the pocket", "at worst by", "that is on the base frame"}},
		{"none at all", []string{`id="ear"`, `id="face"`}, []string{"no outline named ear or pocket"}},
	} {
		_, err := Check(context.Background(), demotest.Plan(t, c.edits...), Options{NoAdvice: true})
		require.Error(t, err, c.name)
		for _, words := range c.says {
			assert.ErrorContains(t, err, words, c.name)
		}
	}
	_, err := Check(context.Background(), demotest.Plan(t, "side: left\n", "side: left\n", `id="ear"`, `id="face"`), Options{})
	require.ErrorIs(t, err, ErrNoPocket)
	assert.Equal(t, units.Note, Refusal(err).Severity)
}

// What the case file itself may not say never reaches the pocket.
func TestValuesThatCannotBeAreFaultsOfTheCase(t *testing.T) {
	for _, value := range []string{"0", "-3", ".nan", ".inf", "1e999", "0.5"} {
		_, err := units.Load(t.Context(), demotest.Write(t, "side: left\n", "side: left\n\npocket: "+
			"{bridging_radius: "+value+"}\n"))
		var faults casefile.Errors
		require.ErrorAs(t, err, &faults, value)
		assert.Contains(t, faults[0].Key, "bridging_radius")
	}
	open := `<path id="pocket" d="M5,5 L75,5 L75,70 L5,70"/><line id="frankfort"`
	_, err := units.Load(t.Context(), demotest.Write(t, `<line id="frankfort"`, open))
	require.ErrorIs(t, err, template.OpenPath)
	assert.ErrorContains(t, err, "pocket")
}

func TestADrawnPocketCountsBeforeTheEars(t *testing.T) {
	p := demotest.Plan(t, `<line id="frankfort"`, `<circle id="pocket" cx="40" cy="38" r="35"/><line id="frankfort"`)
	r := check(t, p, Options{NoAdvice: true})
	assert.InEpsilon(t, math.Pi*35*35, r.Measures.Pocket.Area, 2e-3)
	assert.Equal(t, "the outline pocket as drawn", r.Measures.Pocket.From)
	p.Skin.Lateral = 0 // a drape without thickness is its own outside
	bare := check(t, p, Options{NoAdvice: true})
	assert.Nil(t, bare.Skin)
	assert.Equal(t, bare.Measures.Demand.Drape, bare.Measures.Demand.Outside)
	_, err := bare.SkinModel(context.Background())
	require.NoError(t, err)
}

func TestRefusalsAreFindings(t *testing.T) {
	unsettled := Refusal(&membrane.UnconvergedError{Step: 0.4, Iterations: 100, Residual: 1, Want: 0.001})
	assert.Contains(t, unsettled.Message, "did not settle")
	outside := Refusal(&membrane.FrameOutsideError{Where: mgl64.Vec2{1, 2}, By: 3})
	assert.Equal(t, 3.0, outside.Value)
	assert.Equal(t, 1.0, outside.At[0])
	assert.Equal(t, map[string]units.Severity{
		"skin-not-laid": units.Error, "frame-outside-pocket": units.Error, "no-pocket-drawn": units.Note,
	}, demotest.Kinds(t, []units.Finding{unsettled, outside, Refusal(ErrNoPocket)}))
}

func TestFindingsStandUnderTheirRules(t *testing.T) {
	demo := map[string]units.Severity{
		"skin-too-tight": units.Warning, "skin-must-slide": units.Note, "dead-space-in-hollow": units.Note,
		"groove-filled-by-skin": units.Warning, "relief-lost": units.Warning,
	}
	with := func(more map[string]units.Severity) map[string]units.Severity {
		all := maps.Clone(demo)
		maps.Copy(all, more)
		return all
	}
	for name, c := range map[string]struct {
		pocket string
		want   map[string]units.Severity
	}{
		"as it is":         {"", demo},
		"a shallow pocket": {"depth: 8", with(map[string]units.Severity{"pocket-too-shallow": units.Error})},
		"a pocket as deep as a base frame is thin": {"depth: 2", with(map[string]units.Severity{
			"pocket-too-shallow": units.Error, "pocket-shallower-than-base": units.Error,
		})},
	} {
		p := demotest.Plan(t, "case: demo-01\n", "case: demo-01\npocket: {"+c.pocket+"}\n")
		found := check(t, p, Options{Step: 0.8, NoAdvice: true}).Findings
		assert.Equal(t, c.want, demotest.Kinds(t, found), name)
	}
}

func TestCancellingEndsACheck(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Check(ctx, demotest.Plan(t), Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestVariationAsATable(t *testing.T) {
	r := check(t, demotest.Plan(t), Options{Step: 0.8, NoAdvice: true})
	v := Variation{Path: "skin.lateral", Rows: []VariationRow{r.Row(2), {Value: 3, Problem: "does not fit, for once"}}}
	var file bytes.Buffer
	require.NoError(t, v.WriteCSV(&file))
	rows, err := csv.NewReader(&file).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	assert.Equal(t, "skin.lateral", rows[0][0])
	assert.Equal(t, "scapha kept", rows[0][6])
	assert.Equal(t, "10", rows[1][1])
	assert.Equal(t, "", rows[2][1])
	assert.Equal(t, "does not fit, for once", rows[2][len(rows[2])-1])
	kept, ok := v.Rows[0].KeptOf(anatomy.Concha)
	assert.True(t, ok)
	assert.Positive(t, kept)
}
