package sheet

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units"
)

// Bolsters are listed, and drawn where they lie among the frame's outlines: one along
// a unit's own edge comes to lie on that edge.
func TestTheSessionSheetShowsWhereBolstersLie(t *testing.T) {
	for _, pictured := range []bool{true, false} {
		in := demoSession(t, units.Left)
		if !pictured {
			in.Picture = nil
		}
		edge := in.Plan.Unit("helix").Outlines[0].Outer
		in.Bolsters = []Bolster{
			{Name: "scapha", Diameter: 3, Length: 41.6, Line: []mgl64.Vec2{{11, 12}, {12, 2}}},
			{Name: "foot of the rim", Diameter: 4, Length: 80.2, Line: edge[:12]},
		}
		d, err := Session(in)
		require.NoError(t, err)
		requireLegible(t, d)
		page := plainText(t, savePDF(t, d), 1)
		for _, words := range []string{"Bolsters", "Scapha: roll of 3 mm, 42 mm long", "Foot of the rim: roll of 4 mm, 80 " +
			"mm long",
			"Tied down once suction shows the relief; drawn above where they lie."} {
			assert.Contains(t, page, words)
		}
		var rolls, outlines [][]mgl64.Vec2
		thickness := []float64{} // areas of the rolls
		for _, m := range d.Pages[0].marks {
			switch {
			case m.path == nil:
			case m.path.closed && m.path.pen.width == 0:
				thickness = append(thickness, math.Abs(template.Ring(m.path.lines[0]).Area()))
			case m.path.closed:
				outlines = append(outlines, m.path.lines...)
			case m.path.pen == finePen && len(thickness) > len(rolls):
				rolls = append(rolls, m.path.lines[0])
			}
		}
		require.Len(t, rolls, 2)
		scale := rolls[1][1].Sub(rolls[1][0]).Len() / edge[1].Sub(edge[0]).Len()
		assert.LessOrEqual(t, scale, 1+1e-9)
		assert.Greater(t, scale, 0.5, "large enough to be seen")
		length := rolls[0][1].Sub(rolls[0][0]).Len()
		assert.InEpsilon(t, 3*scale*length+math.Pi*math.Pow(1.5*scale, 2), thickness[0], 0.01, "a straight bar with round "+
			"ends")
		for _, p := range rolls[1] {
			assert.Less(t, clearance(outlines, p), 1e-6, "%v", p)
		}
		for k := range 2 {
			// Right is right, and above is above.
			want := math.Copysign(1, edge[11][k]-edge[0][k]) * []float64{1, -1}[k]
			got := rolls[1][11][k] - rolls[1][0][k]
			assert.Positive(t, want*got)
		}
	}
	in := demoSession(t, units.Left)
	in.Bolsters = []Bolster{{Name: "scapha", Diameter: 3, Line: []mgl64.Vec2{{math.NaN(), 0}}}}
	_, err := Session(in)
	assert.ErrorContains(t, err, "the bolster along scapha has a point without a place")
}
