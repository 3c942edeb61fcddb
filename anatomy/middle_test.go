package anatomy

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/units"
)

// sector is a strip about an arc of the radius, to both sides of it by half its width.
func sector(radius, half, from, to float64) []mgl64.Vec2 {
	const parts = 200
	var ring []mgl64.Vec2
	for n := range 2 * (parts + 1) {
		r, part := radius+half, n
		if n > parts {
			r, part = radius-half, 2*parts+1-n
		}
		s, c := math.Sincos(from + (to-from)*float64(part)/parts)
		ring = append(ring, mgl64.Vec2{r * c, r * s})
	}
	return ring
}

func disc(radius float64) []mgl64.Vec2 {
	var ring []mgl64.Vec2
	for n := range 360 {
		s, c := math.Sincos(2 * math.Pi * float64(n) / 360)
		ring = append(ring, mgl64.Vec2{radius * c, radius * s})
	}
	return ring
}

func grooveOf(t *testing.T, ring []mgl64.Vec2, stands ...[]mgl64.Vec2) *groove {
	t.Helper()
	region := func(ring []mgl64.Vec2) *field.Region {
		made, err := field.NewRegion(ring)
		require.NoError(t, err)
		return made
	}
	g := &groove{region: region(ring)}
	for _, stand := range stands {
		g.stands = append(g.stands, region(stand))
	}
	return g
}

// The middle of a bent strip is the arc it was drawn along, shorter by what each end
// is set back; the room is half its width.
func TestTheMiddleOfABentStripIsItsArc(t *testing.T) {
	const radius, half, setBack = 22.0, 3.1, 3.5
	line, width := grooveOf(t, sector(radius, half, -0.7, 1.1)).middle(0.5, setBack)
	for _, p := range line {
		assert.InDelta(t, radius, p.Len(), middleStep)
	}
	assert.InDelta(t, 2*half, width, middleStep)
	// The way begins in a corner, which is half the width off the middle.
	arc := radius*1.8 - 2*setBack
	assert.InDelta(t, arc, lengthOf(line), half)
	assert.Greater(t, line[0][1], line[len(line)-1][1], "from above downward")
}

// A bar that reaches into a round hollow from the left is passed on the right,
// midway between it and the wall.
func TestTheMiddleGoesRoundWhatStandsInAGroove(t *testing.T) {
	const radius, tip = 10.0, 2.0
	bar := []mgl64.Vec2{{-20, -1.5}, {tip, -1.5}, {tip, 1.5}, {-20, 1.5}}
	line, _ := grooveOf(t, disc(radius), bar).middle(0.5, 2)
	right := mgl64.Vec2{math.Inf(-1), 0}
	for _, p := range line {
		assert.Greater(t, math.Hypot(max(p[0]-tip, 0), max(math.Abs(p[1])-1.5, 0)), 1.5, "off the bar: %v", p)
		if p[0] > right[0] {
			right = p
		}
	}
	assert.InDelta(t, (tip+radius)/2, right[0], 0.5)
	assert.Greater(t, line[0][1], 2.0)
	assert.Less(t, line[len(line)-1][1], -2.0)
}

// On the demo, rolls lie in their places, and the one around the rim lies off every
// unit by its own radius and the skin.
func TestBolstersLieWhereTheyAreToldTo(t *testing.T) {
	lengths := map[string]map[string]float64{"left": {}, "right": {}}
	for side, lengths := range lengths {
		replace := []string{"side: left\n", "side: " + side + `
pocket: {bolsters: [{where: scapha}, {where: fossa, diameter: 2}, {where: concha, diameter: 6}, {where: rim}]}
`}
		if side == "right" { // the drawing shows a left ear
			replace = append(replace, "  file: template.svg\n", "  file: template.svg\n  mirror: true\n")
		}
		plan := demotest.Plan(t, replace...)
		places, err := Of(plan)
		require.NoError(t, err)
		for _, b := range places.Bolsters(plan) {
			lengths[b.Name] = b.Length()
			assert.InDelta(t, b.Diameter/2+plan.Skin.Lateral, b.Swell, 1e-12)
			for _, p := range b.Along {
				switch b.Name {
				case RimFoot:
					assert.Contains(t, []string{Above, Behind}, places.At(p))
					least := math.Inf(1)
					for _, region := range places.outer {
						least = min(least, region.Distance(p))
					}
					assert.InDelta(t, b.Swell, least, 0.3)
				default:
					assert.Contains(t, places.At(p), b.Name, "%v", p)
				}
			}
		}
		t.Logf("%s: lengths %v mm", side, lengths)
		for name, least := range map[string]float64{Scapha: 15, Fossa: 3, Concha: 10, RimFoot: 60} {
			assert.Greater(t, lengths[name], least, name)
		}
		assert.Empty(t, (&Places{}).Bolsters(&units.Plan{Pocket: units.Pocket{Bolsters: plan.Pocket.Bolsters}})[3].Along)
	}
	for name, length := range lengths["left"] {
		assert.InDelta(t, length, lengths["right"][name], 1, "%s of a mirrored ear", name)
	}
}
