package anatomy

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
)

func TestPlacesAreNamedAsASurgeonWould(t *testing.T) {
	for _, c := range []struct {
		side   string
		mirror float64
	}{{"side: left\n", 1}, {"side: right\n", -1}} {
		replace := []string{"side: left\n", c.side}
		if c.mirror < 0 { // the drawing shows a left ear
			replace = append(replace, "  file: template.svg\n", "  file: template.svg\n  mirror: true\n")
		}
		a, err := Of(demotest.Plan(t, replace...))
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
	a, err := Of(demotest.Plan(t))
	require.NoError(t, err)
	for place, want := range map[string]string{
		Helix: "at the helix", Tragus: "at the tragus", Scapha: "in the scapha", AboveCrus: "in the concha above the crus",
		Behind: Behind, OnFrame: OnFrame,
	} {
		assert.Equal(t, want, a.Phrase(place))
	}
}
