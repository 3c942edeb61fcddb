package template

import (
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A square of 20 mm whose end runs past its beginning, or with a loop or a spike
// anywhere, is the square as long as they are below the tolerance.
func TestHooksBelowTheToleranceAreTakenOut(t *testing.T) {
	for name, row := range map[string]struct {
		path  string
		reach float64
		hooks int
	}{
		"closing hook":         {"M10 10 H30 V30 H10 V9.9997 L10.0002 10.0003 z", 0.0003, 1},
		"spike past the start": {"M10 10 H30 V30 H10 V9.99 z", 0.01, 1},
		"loop on a side":       {"M10 10 H20 L20.004 10.004 L20.002 10.006 L20 9.998 V10 H30 V30 H10 z", 0.006, 1},
		"spike on a side":      {"M10 10 H20 V9.985 V10 H30 V30 H10 z", 0.015, 1},
		"at every corner": {"M10 10 H30.002 L30 9.999 V30.003 L30.001 30 H9.998 L10 30.001 V9.998 L9.999 10.001 " +
			"z", 0.004, 4},
	} {
		t.Run(name, func(t *testing.T) {
			sheet, err := readText(inMillimetres(`<path id="base" d="`+row.path+`"/>`), Options{})
			require.NoError(t, err)
			require.Len(t, sheet.Outlines, 1)
			require.Empty(t, sheet.Outlines[0].Holes)
			assert.InDelta(t, 400, sheet.Outlines[0].Area(), 80*row.reach)
			require.Len(t, sheet.Healed, 1)
			assert.Equal(t, Healed{ID: "base", Line: 2, Hooks: row.hooks, Reach: sheet.Healed[0].Reach}, sheet.Healed[0])
			assert.Greater(t, sheet.Healed[0].Reach, row.reach/4)
			assert.LessOrEqual(t, sheet.Healed[0].Reach, row.reach*1.5)
		})
	}
	// What reaches farther is the drawer's to say.
	for _, path := range []string{"M10 10 H20 V9.97 V10 H30 V30 H10 z", "M10 10 H30 V30 H10 V9.9 L10.2 10.1 z"} {
		_, err := readText(inMillimetres(`<path id="base" d="`+path+`"/>`), Options{})
		assert.ErrorIs(t, err, Crossing)
	}
	// Nothing is said of a shape that needs no healing, and nothing of it changes.
	sheet, err := readText(inMillimetres(`<path id="base" d="M10 10 H30 V30 H10 z"/>`), Options{})
	require.NoError(t, err)
	assert.Empty(t, sheet.Healed)
	assert.Len(t, sheet.Outlines[0].Outer, 4)
}

// A drawing is listed as it would be read.
func TestHooksAreNoProblemToInspect(t *testing.T) {
	const hooked = `<path id="base" d="M10 10 H30 V30 H10 V9.9997 L10.0002 10.0003 z M15 15 h5 z"/>`
	for _, drawing := range []string{inMillimetres(hooked), head + `viewBox="0 0 60 60">` + hooked + "</svg>"} {
		shapes, err := InspectFrom(t.Context(), strings.NewReader(drawing), "ear.svg")
		require.NoError(t, err)
		assert.Empty(t, shapes[0].Problem)
		assert.Equal(t, 1, shapes[0].Outlines)
		assert.InDelta(t, 400, shapes[0].Area, 0.02)
	}
}

func TestPiecesOfNothingBesideOthersAreLeftOut(t *testing.T) {
	sheet, err := readText(inMillimetres(`<path id="base" d="M10 10 H30 V30 H10 z M15 15 h5 z M40 40 l.001 0 l0 .001 z"/>`), Options{})
	require.NoError(t, err)
	assert.InDelta(t, 400, sheet.Outlines[0].Area(), 1e-9)
	assert.Equal(t, []Healed{{ID: "base", Line: 2, Crumbs: 2}}, sheet.Healed)
}

// Rings are filled as SVG says, whichever way they wind: by default where they
// wind round in all, under evenodd where an odd number of them is crossed.
func TestRingsAreFilledByTheFillRule(t *testing.T) {
	const two, opposite = "M10 10 h20 v20 h-20 z M50 10 h10 v10 h-10 z", "M10 10 h20 v20 h-20 z M50 10 v10 h10 v-10 z"
	const inside, hole = "M10 10 h20 v20 h-20 z M15 15 h10 v10 h-10 z", "M10 10 h20 v20 h-20 z M15 15 v10 h10 v-10 z"
	for _, row := range []struct {
		path, rule string
		areas      []float64
	}{
		{two, "nonzero", []float64{400, 100}}, {two, "evenodd", []float64{400, 100}},
		{opposite, "nonzero", []float64{400, 100}}, {opposite, "evenodd", []float64{400, 100}},
		{inside, "nonzero", []float64{400}}, {inside, "evenodd", []float64{300}},
		{hole, "nonzero", []float64{300}}, {hole, "evenodd", []float64{300}},
	} {
		sheet, err := readText(inMillimetres(`<path id="base" fill-rule="`+row.rule+`" d="`+row.path+`"/>`), Options{})
		require.NoError(t, err)
		require.Len(t, sheet.Outlines, len(row.areas), "%s, %s", row.rule, row.path)
		for i, area := range row.areas {
			assert.InDelta(t, area, sheet.Outlines[i].Area(), 1e-9, "%s, %s", row.rule, row.path)
		}
	}
}

// A smooth blob with a hook put in anywhere comes back to within the hook's size,
// and meets itself no more.
func TestHookedBlobsAreHealed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := blob(t)
		at := rapid.IntRange(0, len(ring)-1).Draw(t, "at")
		size := rapid.Float64Range(1e-5, 0.005).Draw(t, "size")
		along := ring[(at+1)%len(ring)].Sub(ring[at]).Normalize().Mul(size)
		across := mgl64.Vec2{-along[1], along[0]}
		p := ring[at]
		hook := Ring{p, p.Add(along), p.Add(along).Add(across), p.Add(across.Mul(2)).Sub(along), p.Sub(across)}
		longest := 0.0
		for i := range ring {
			longest = math.Max(longest, ring[(i+1)%len(ring)].Sub(ring[i]).Len())
		}
		hooked := append(append(append(Ring{}, ring[:at]...), hook...), ring[at+1:]...)
		healed, _, reach := hooked.unhooked(DefaultTolerance)
		assert.LessOrEqual(t, reach, DefaultTolerance)
		assert.InDelta(t, ring.Area(), healed.Area(), 10*size*size+3*size*longest)
		exceeded := meetings([]Ring{healed}, func(a, b int) bool { return true }, true, &effort{ctx: t.Context()}, func(m meeting) bool {
			t.Fatalf("it meets itself at %v", m.at)
			return false
		})
		assert.False(t, exceeded)
	})
}

// Healing of any ring ends, moves nothing farther than the tolerance and leaves a
// ring.
func FuzzUnhooked(f *testing.F) {
	f.Add([]byte{0, 0, 255, 0, 255, 255, 0, 255, 1, 1}, 0.02)
	f.Add([]byte{1, 1, 1, 1, 1, 2, 2, 1, 1, 1, 9, 9, 1, 9}, 2.5)
	f.Fuzz(func(t *testing.T, data []byte, tolerance float64) {
		if !(tolerance >= 0 && tolerance < 1e3) || len(data) > 400 {
			return
		}
		var points []mgl64.Vec2
		for i := 0; i+1 < len(data); i += 2 {
			points = append(points, mgl64.Vec2{float64(data[i]), float64(data[i+1])})
		}
		ring := withoutRepeats(points)
		healed, hooks, reach := ring.unhooked(tolerance)
		if reach > tolerance || hooks == 0 && len(healed) != len(ring) || hooks > 0 && len(healed) >= len(ring) {
			t.Fatalf("%d hooks of up to %g mm at the tolerance %g leave %d of %d "+
				"points", hooks, reach, tolerance, len(healed), len(ring))
		}
		for _, p := range healed {
			nearest := math.Inf(1)
			for i, q := range ring {
				nearest = math.Min(nearest, DistanceToEdge(p, q, ring[(i+1)%len(ring)]))
			}
			if nearest > 1e-6 {
				t.Fatalf("%v is not on the ring", p)
			}
		}
	})
}
