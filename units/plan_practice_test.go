package units

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
)

func TestAPracticeSetNeedsNothingButATemplate(t *testing.T) {
	p := planOf(t, frameCase, testSheet())
	assert.Equal(t, ChildAge, p.Practice.Cartilage.Age)
	assert.Empty(t, p.Practice.Cartilage.Measured)
	assert.Equal(t, Silicone, p.Practice.Cartilage.Material, "practice casts")
	assert.InDelta(t, 0.8, p.Practice.Cartilage.StrainLimit, 1e-12)
	assert.Equal(t, []Ingredient{{"silicone", 2}, {"cornstarch", 1}}, p.Practice.Casting.Mix)
	assert.Equal(t, p.Printer.Clearance, p.Practice.Kit.Clearance)
	assert.Equal(t, 3.0, p.Practice.Fixation.Spacing)
	assert.Zero(t, p.Practice.Fixation.Hole)
	assert.Equal(t, A4, p.Practice.Sheets.Paper)

	resin := planOf(t, frameCase+"printer: resin\n", testSheet())
	assert.Equal(t, resin.Printer.Clearance, resin.Practice.Kit.Clearance)
	assert.NotEqual(t, p.Practice.Kit.Clearance, resin.Practice.Kit.Clearance)
}

func TestWhatIsMeasuredOfARibIsTakenAndTheRestIsLeftOpen(t *testing.T) {
	p, err := Load(t.Context(), filepath.Join(cases, "everything.yaml"))
	require.NoError(t, err)
	c := p.Practice.Cartilage
	assert.Equal(t, []RibMeasure{
		{Rib: 8, Length: 92, Height: 13, Thickness: 9, Radius: 160, Taper: 0.75, HeightTaper: 0.9},
		{Rib: 7, Length: 118},
	}, c.Measured)
	assert.Equal(t, 16.0, c.JointWidth)
	assert.InDelta(t, 1*math.Pi/180, p.Practice.Casting.Draft, 1e-12)
	assert.InDelta(t, 0.004, p.Practice.Casting.Shrinkage, 1e-12)
	origins := map[string]Origin{}
	for _, v := range p.Values {
		origins[v.Path] = v.Origin
	}
	assert.Equal(t, Given, origins["cartilage.ribs[8].length"])
	assert.NotContains(t, origins, "cartilage.ribs[7].height")
	assert.Equal(t, Given, origins["casting.mix"])
}

func TestASizeStandsForAnAgeAndAnAgeForASize(t *testing.T) {
	for given, want := range map[string]struct {
		age  float64
		size string
		note string // of the one that is not given
	}{
		"size: adult":           {AdultAge, "adult", "cartilage.size: adult"},
		"size: child":           {ChildAge, "child", "cartilage.size: child"},
		"age: 10":               {10, "child", "cartilage.age: 10"},
		"age: 18":               {18, "adult", "cartilage.age: 18"},
		"age: 10, size: child":  {10, "child", ""},
		"age: 40, size: adult ": {40, "adult", ""},
	} {
		p := planOf(t, frameCase+"cartilage: {"+given+"}\n", testSheet())
		assert.Equal(t, want.age, p.Practice.Cartilage.Age, given)
		seen := 0
		for _, v := range p.Values {
			switch v.Path {
			case "cartilage.age":
				assert.Equal(t, want.age, v.Value, given)
			case "cartilage.size":
				assert.Equal(t, want.size, v.Value, given)
			default:
				continue
			}
			seen++
			if v.Origin != Given {
				assert.Equal(t, want.note, v.Note, given)
			}
		}
		assert.Equal(t, 2, seen, given)
	}
}

func TestWhatACartilageBearsGoesByItsMaterialUnlessItIsGiven(t *testing.T) {
	for given, want := range map[string]struct {
		limit  float64
		origin Origin
		note   string
	}{
		"material: young":                   {0.25, UnsourcedDefault, "young cartilage: lower end of the elongation"},
		"material: old":                     {0.10, UnsourcedDefault, "Yamada 1970"},
		"material: silicone":                {0.80, UnsourcedDefault, "the mix itself was not measured"},
		"material: old, strain_limit: 12.5": {0.125, Given, "case.yaml"},
	} {
		p := planOf(t, frameCase+"cartilage: {"+given+"}\n", testSheet())
		assert.InDelta(t, want.limit, p.Practice.Cartilage.StrainLimit, 1e-12, given)
		for _, v := range p.Values {
			if v.Path == "cartilage.strain_limit" {
				assert.Equal(t, want.origin, v.Origin, given)
				assert.Contains(t, v.Note, want.note, given)
			}
		}
	}
}

func TestFaultsOfAPracticeSetNameTheNumberToChange(t *testing.T) {
	for name, c := range map[string]struct{ section, want string }{
		"two entries for a rib": {"cartilage: {ribs: [{rib: 8, length: 80}, {rib: 8, length: 90}]}", "a second entry " +
			"for rib 8"},
		"a child of thirty": {"cartilage: {age: 30, size: child}", "cartilage.size: child contradicts cartilage.age: 30, " +
			"since cartilages are taken to be an adult's from 18 years on. Leave out cartilage.size"},
		"a grown child": {"cartilage: {age: 10, size: adult}", "adult contradicts cartilage.age: 10"},
		"an age in days": {"cartilage: {age: 3650}", "cartilage.age: found \"3650\", expected a number from 1 to 100 " +
			"years"},
		"a rib that is not used": {"cartilage: {ribs: [{rib: 5, length: 80}]}", "expected a whole number from 6 to 9"},
		"a wire as thick as the hole": {"fixation: {wire: 0.5, hole: 0.5}", "a wire of 0.5 mm does not pass a hole of 0.5 " +
			"mm. Give fixation.hole more than 0.5 mm"},
		"a wall that tears": {"casting: {wall: 0.5}", "a mould's wall of 0.5 mm is thinner than the 0.9 mm that " +
			"the filament printer makes. Give at least 0.9 mm"},
		"negative clearance": {"kit: {clearance: -0.1}", "kit.clearance: found \"-0.1\", expected a number from 0 " +
			"to 2 mm"},
		"a mix without a share": {"casting: {mix: [{name: silicone}]}", "share"},
		"an unknown paper":      {"sheets: {paper: a3}", "expected one of a4, letter"},
	} {
		t.Run(name, func(t *testing.T) {
			parsed, err := casefile.Parse("c.yaml", []byte(frameCase+c.section+"\n"))
			if err == nil {
				_, err = NewPlan(t.Context(), parsed, &template.Sheet{Outlines: testSheet()})
			}
			assert.ErrorContains(t, err, c.want)
		})
	}
}
