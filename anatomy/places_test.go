package anatomy

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"earframe/units"
	"earframe/units/demo"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plan reads the demo's case after replacing texts in it, given in pairs.
func plan(t *testing.T, replacements ...string) *units.Plan {
	t.Helper()
	text := string(demo.Case)
	for i := 0; i < len(replacements); i += 2 {
		require.Contains(t, text, replacements[i])
		text = strings.Replace(text, replacements[i], replacements[i+1], 1)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), demo.Template, 0o644))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	p, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	return p
}

func TestPlacesAreNamedAsASurgeonWould(t *testing.T) {
	for _, c := range []struct {
		side   string
		mirror float64
	}{{"side: left\n", 1}, {"side: right\n", -1}} {
		replace := []string{"side: left\n", c.side}
		if c.mirror < 0 { // the drawing shows a left ear
			replace = append(replace, "  file: template.svg\n", "  file: template.svg\n  mirror: true\n")
		}
		a, err := Of(plan(t, replace...))
		require.NoError(t, err)
		for want, at := range map[string]mgl64.Vec2{
			Scapha: {10.8, 12}, Fossa: {-1, 18}, Helix: {15, 5}, Antihelix: {7, 5}, Tragus: {-14.5, -1},
			AboveCrus: {-2, 9}, BelowCrus: {-5, -6}, BehindCrus: {3, 2},
			Above: {2, 33}, Behind: {25, 5}, Below: {-8, -32}, InFront: {-26, 0},
		} {
			assert.Equal(t, want, a.At(mgl64.Vec2{c.mirror * at[0], at[1]}), "%s, %v", c.side, at)
		}
	}
}

// Words around a place follow from what it is: one stands at a ridge, lies in a
// groove, and is on or beside the rest.
func TestPlacesArePutInWords(t *testing.T) {
	a, err := Of(plan(t))
	require.NoError(t, err)
	for place, want := range map[string]string{
		Helix: "at the helix", Tragus: "at the tragus", Scapha: "in the scapha", AboveCrus: "in the concha above the crus",
		Behind: Behind, OnFrame: OnFrame,
	} {
		assert.Equal(t, want, a.Phrase(place))
	}
}
