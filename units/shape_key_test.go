package units

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/internal/kept"
	"earframe/template"
	"earframe/units/casefile"
)

// shapeNumbers are the numbers of units that shape solids, by unit, and which
// units' solids they shape: what is let in shapes what it is let into.
var shapeNumbers = []struct {
	path    string
	low, up float64
	shapes  []string
}{
	{"units[base].thickness", 2.5, 4, []string{"base"}},
	{"units[base].edge.top", 0, 1, []string{"base"}},
	{"units[base].edge.bottom", 0, 1, []string{"base"}},
	{"units[base].recesses[scapha].depth", 0.5, 1.4, []string{"base"}},
	{"units[base].recesses[fossa].wall", 10, 50, []string{"base"}},
	{"units[base].clearance", 0.1, 0.4, []string{"base"}},
	{"units[concha].clearance", 0.1, 0.4, []string{"concha"}},
	{"units[concha].rise", -4, -2, []string{"concha"}},
	{"units[helix].thickness", 3, 5, []string{"base", "helix", "concha"}},
	{"units[helix].edge.top", 0, 1, []string{"base", "helix", "concha"}},
	{"units[helix].rise[2].height", -1.5, 2.5, []string{"base", "helix", "concha"}},
	{"units[antihelix].thickness", 2, 5, []string{"antihelix"}},
	{"units[antihelix].rise", 2, 4, []string{"antihelix"}},
	{"units[tragus].edge.top", 0, 1, []string{"tragus"}},
	{"skin.lateral", 0, 4, nil}, // the drawing is of the frame
	{"skin.medial", 0, 4, nil}, {"step", 0.1, 0.9, nil}, {"tolerance", 0, 0.1, nil}, {"fillet", 0, 2, nil},
	{"pocket.margin", 5, 15, nil}, {"pocket.bridging_radius", 2, 9, nil}, {"kit.gap", 1, 9, nil}, {"fixation.wire", 0.05, 0.3, nil},
	{"engrave.depth", 0.3, 0.6, nil}, {"cartilage.kerf", 0, 1, nil},
}

const shapeCase = "case: a\ntemplate: {drawn: frame}\nengrave: {on: false}\nunits:\n" +
	"  - {part: base, thickness: 3, edge: {top: 0.6, bottom: 0.2}, clearance: 0.2}\n" +
	"  - {part: concha, clearance: 0.2, rise: -3, thickness: 2}\n" +
	"  - {part: helix, thickness: 4, edge: {top: 1.1}, rise: [{at: 0, height: -1.5}, {at: 0.2, height: 2}, {at: 1, " +
	"height: 3}]}\n" +
	"  - {part: antihelix, rise: 3}\n  - {part: tragus, rise: 3}\n"

func shapeKeys(t require.TestingT, c *casefile.Case, sheet []template.Outline) map[string]kept.Key {
	p, err := NewPlan(context.Background(), c, &template.Sheet{Outlines: sheet})
	require.NoError(t, err)
	keys := map[string]kept.Key{}
	for _, u := range p.Units {
		keys[u.Name] = p.ShapeKey(u)
	}
	return keys
}

func TestWhatShapesASolidChangesItsKeyAndNothingElseDoes(t *testing.T) {
	sheet := testSheet()
	base, err := casefile.Parse("case.yaml", []byte(shapeCase))
	require.NoError(t, err)
	before := shapeKeys(t, base, sheet)
	require.Len(t, before, 5)
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.SampledFrom(shapeNumbers).Draw(t, "number")
		value := rapid.Float64Range(number.low, number.up).Draw(t, "value")
		one, err := base.With(number.path, value)
		require.NoError(t, err)
		next := math.Nextafter(value, number.up+1)
		if strings.HasSuffix(number.path, "wall") {
			next = value * (1 + 1e-12) // degrees: two may be the same in radians
		}
		two, err := base.With(number.path, next)
		require.NoError(t, err)
		first, second := shapeKeys(t, one, sheet), shapeKeys(t, two, sheet)
		for name := range before {
			if slices.Contains(number.shapes, name) {
				assert.NotEqual(t, first[name], second[name], "%s shapes %s, by the last bit too", number.path, name)
			} else {
				assert.Equal(t, before[name], first[name], "%s does not shape %s", number.path, name)
			}
		}
	})
}

// Where a solid is another, so is its key: solids of one key are the same to the
// last bit.
func TestSolidsOfOneKeyAreTheSame(t *testing.T) {
	sheet := testSheet()
	base, err := casefile.Parse("case.yaml", []byte(shapeCase))
	require.NoError(t, err)
	solids := func(c *casefile.Case) []Solid {
		p, err := NewPlan(t.Context(), c, &template.Sheet{Outlines: sheet})
		require.NoError(t, err)
		all, err := p.Solids(t.Context())
		require.NoError(t, err)
		return all
	}
	places, same, others := placesAround(), 0, 0
	before := solids(base)
	for _, number := range shapeNumbers {
		c, err := base.With(number.path, 0.3*number.low+0.7*number.up)
		require.NoError(t, err, number.path)
		for i, s := range solids(c) {
			was, is := distanceAt(before[i].Field, places...), distanceAt(s.Field, places...)
			if slices.Equal(was, is) {
				same++ // a number need not show at the places looked at
				continue
			}
			others++
			assert.NotEqual(t, s.Key, before[i].Key, "%s and %s", number.path, s.Unit.Name)
		}
	}
	assert.Greater(t, others, 15)
	assert.Greater(t, same, 50)
}

// placesAround returns places on a lattice through everything that testSheet draws.
func placesAround() []mgl64.Vec3 {
	var places []mgl64.Vec3
	for x := -20.0; x <= 20; x += 0.9 {
		for y := -31.0; y <= 31; y += 0.9 {
			for z := -5.0; z <= 8; z += 0.8 {
				places = append(places, mgl64.Vec3{x, y, z})
			}
		}
	}
	return places
}

func TestNamesAndRibsShapeNothingAndMovedOutlinesDo(t *testing.T) {
	sheet := testSheet()
	base, err := casefile.Parse("case.yaml", []byte(shapeCase))
	require.NoError(t, err)
	before := shapeKeys(t, base, sheet)
	for path, value := range map[string]any{"case": "b", "side": "left", "units[antihelix].ribs": []int{7}, "printer": "resin"} {
		other, err := base.With(path, value)
		require.NoError(t, err)
		assert.Equal(t, before, shapeKeys(t, other, sheet), path)
	}
	moved := testSheet()
	for i := range moved {
		if moved[i].Part == "helix" {
			moved[i].Outer[7][0] = math.Nextafter(moved[i].Outer[7][0], 99)
		}
	}
	after := shapeKeys(t, base, moved)
	for name, key := range before {
		assert.Equal(t, name == "antihelix" || name == "tragus", key == after[name], name)
	}
}

func TestLettersChangeTheKeyOfTheBaseFrameAlone(t *testing.T) {
	keys := func(text string) []kept.Key {
		var all []kept.Key
		for _, s := range letteredOf(t, planOf(t, frameCase+text, testSheet())).Solids {
			all = append(all, s.Key)
		}
		return all
	}
	one, other, deeper, without := keys("engrave: {text: L1}\n"), keys("engrave: {text: L2}\n"), keys("engrave: {text: "+
		"L1, depth: 0.6}\n"), keys("engrave: {on: false}\n")
	for i := range one {
		for _, b := range [][]kept.Key{other, deeper, without} {
			assert.Equal(t, i > 0, one[i] == b[i], "%d", i)
		}
	}
	assert.Equal(t, one, keys("engrave: {text: L1}\n"))
}
