package membrane

import (
	"context"
	"math"
	"testing"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Under the catenoid from a plate to the pocket's edge lies a ring of dead
// space; its volume is ∫ 2πr z dr of the catenoid, here by Simpson's rule.
func TestDeadSpaceRoundAPlateHasTheCatenoidsVolume(t *testing.T) {
	const inner, outer, height, catenary = 10., 30., 5., 4.367625568
	z := func(r float64) float64 { return catenary * (math.Acosh(outer/catenary) - math.Acosh(r/catenary)) }
	require.InDelta(t, height, z(inner), 1e-6)
	const parts = 1000
	want := 0.0
	for n := range parts {
		a := inner + (outer-inner)*float64(n)/parts
		b := a + (outer-inner)/parts
		m := (a + b) / 2
		want += (b - a) / 6 * 2 * math.Pi * (a*z(a) + 4*m*z(m) + b*z(b))
	}
	d := onStep(t, Case{Frame: round(offLattice, inner, plateau(inner, height)), Pocket: roundPocket{offLattice, outer}}, 0, defaultStep)
	spaces := d.DeadSpaces(0)
	require.Len(t, spaces, 1)
	space := spaces[0]
	t.Logf("volume %.1f mm³, closed form %.1f mm³; deepest %.3f mm", space.Volume, want, space.Deepest)
	assert.InEpsilon(t, want, space.Volume, 0.02)
	assert.InDelta(t, inner, space.Where.Sub(offLattice).Len(), 2*defaultStep)
	assert.Less(t, space.Centre.Sub(offLattice).Len(), 0.1)
	// The ring reaches the pocket's edge but for what is below the accuracy.
	assert.InEpsilon(t, math.Pi*(outer*outer-inner*inner), space.Area, 0.02)
}

// Skin bridging two plates leaves a gap between them that is not joined to the
// one around them when the plates are ringed.
func TestDeadSpacesAreToldApart(t *testing.T) {
	ring := func(r float64) float64 {
		if r > 14 || r < 6 {
			return 0
		}
		return 5
	}
	d, err := Lay(context.Background(), Case{Frame: round(offLattice, 14, ring), Pocket: roundPocket{offLattice, 26}, BridgingRadius: math.Inf(1)}, Options{})
	require.NoError(t, err)
	spaces := d.DeadSpaces(0.1)
	require.Len(t, spaces, 2)
	inner := spaces[1]
	if spaces[0].Centre.Sub(offLattice).Len() < spaces[1].Centre.Sub(offLattice).Len() && spaces[0].Area < spaces[1].Area {
		inner = spaces[0]
	}
	assert.InDelta(t, 5, inner.Deepest, 1e-4, "flat skin across the hole")
	assert.InEpsilon(t, math.Pi*36*5, inner.Volume, 0.03)
}

// On a catenoid from ring r to ring R the slope at radius x is
// c/√(x² − c²), so that the stretch there is x/√(x² − c²).
func TestStretchIsTheSlopesOfTheDrape(t *testing.T) {
	const catenary = 4.367625568
	d := onStep(t, Case{Frame: round(offLattice, 10, plateau(10, 5)), Pocket: roundPocket{offLattice, 30}}, 0, defaultStep)
	stretches := d.Stretches()
	for k, s := range stretches {
		p := d.Grid.Place(k).Sub(offLattice)
		require.Equal(t, 1.0, s.Across)
		require.Equal(t, s.Area, s.Along)
		switch r := p.Len(); {
		case r > 11 && r < 29:
			require.InDelta(t, r/math.Sqrt(r*r-catenary*catenary), s.Area, 0.003)
			require.InDelta(t, -1, s.Direction.Dot(p.Normalize()), 0.01, "uphill is inward")
		case r < 9 || r > 31:
			require.InDelta(t, 1, s.Area, 1e-6)
		}
	}
	// Steeper than 1.10 out to where x/√(x² − c²) = 1.10.
	within := catenary * 1.10 / math.Sqrt(1.10*1.10-1)
	caution := d.BandShares()[1] + d.BandShares()[2] + d.BandShares()[3]
	require.Less(t, within, 30.0)
	require.Greater(t, within, 10.0)
	assert.InDelta(t, (within*within-100)/900, caution, 0.005)
	total := 0.0
	for _, share := range d.BandShares() {
		total += share
	}
	assert.InDelta(t, 1, total, 1e-9)
}

// Only the figure at which excised skin fails is published; the bands rise.
func TestStretchBandsSayWhatIsPublished(t *testing.T) {
	bands := Bands()
	for n, band := range bands {
		assert.NotEmpty(t, band.Source)
		assert.Equal(t, band.From == 1.54, band.Published)
		if n > 0 {
			assert.Greater(t, band.From, bands[n-1].From)
		}
	}
}

func TestContactSharesAddUp(t *testing.T) {
	d, err := Lay(context.Background(), Case{Frame: round(offLattice, 10, plateau(10, 3)), Pocket: roundPocket{offLattice, 30}, BridgingRadius: 4}, Options{})
	require.NoError(t, err)
	s := d.ContactShares()
	assert.InDelta(t, 1, s.OnFrame+s.OnBed+s.Free, 1e-9)
	assert.InDelta(t, 100./900, s.OnFrame, 0.01)
	// In section the skin leaves the rim and meets the bed in an arc of about
	// radius 4: it is off over √(2·4·3 − 3²) = 3.87 mm or so of the ring.
	off := math.Sqrt(2*4*3 - 9)
	t.Logf("off the bed over %.2f mm, %.2f mm on a straight wall", math.Sqrt(s.Free*900+100)-10, off)
	assert.InDelta(t, off, math.Sqrt(s.Free*900+100)-10, 0.8)
	assert.Positive(t, s.OnBed)
}

func TestSkinMissingCountsWhatTheFlapsBring(t *testing.T) {
	d, err := Lay(context.Background(), earlike(0), Options{})
	require.NoError(t, err)
	assert.InDelta(t, d.DrapeArea-d.PocketArea-100, d.SkinMissing(100), 1e-9)
	_, err = d.SectionStretch(mgl64.Vec2{1, 1}, mgl64.Vec2{1, 1})
	assert.Error(t, err)
}

// Without a frame the skin lies flat.
func TestNoFrameNoStretch(t *testing.T) {
	for _, radius := range []float64{math.Inf(1), 5} {
		d, err := Lay(context.Background(), Case{Frame: flatFrame(), Pocket: oval{20, 30, 0.3}, BridgingRadius: radius}, Options{})
		require.NoError(t, err)
		assert.Zero(t, d.PeakDepth().Height)
		assert.Equal(t, 1.0, d.SkinDemand())
		assert.Empty(t, d.DeadSpaces(0))
		assert.InEpsilon(t, math.Pi*20*30, d.PocketArea, 0.001)
	}
}

// The pocket comes as rings of a region; a notch in it holds the skin down.
func TestPocketGivenByRings(t *testing.T) {
	var ring []mgl64.Vec2
	for n := range 720 {
		s, c := math.Sincos(2 * math.Pi * float64(n) / 720)
		ring = append(ring, mgl64.Vec2{30 * c, 30 * s}.Add(offLattice))
	}
	region, err := field.NewRegion(ring)
	require.NoError(t, err)
	frame := round(offLattice, 10, plateau(10, 5))
	d, err := Lay(context.Background(), Case{Frame: frame, Pocket: region, BridgingRadius: math.Inf(1)}, Options{})
	require.NoError(t, err)
	assert.InEpsilon(t, 2583.304258+100*math.Pi, d.DrapeArea, 0.001)

	notched := append([]mgl64.Vec2{{14, 0.3}}, ring[20:700]...)
	region, err = field.NewRegion(notched)
	require.NoError(t, err)
	held, err := Lay(context.Background(), Case{Frame: frame, Pocket: region, BridgingRadius: math.Inf(1)}, Options{})
	require.NoError(t, err)
	assert.Less(t, held.Height(mgl64.Vec2{15, 0.3}), 0.2)
	assert.Greater(t, d.Height(mgl64.Vec2{15, 0.3}), 2.5)
	for k := range held.Heights {
		if held.Grid == d.Grid {
			require.LessOrEqual(t, held.Heights[k], d.Heights[k]+0.01, "a smaller pocket never lifts the skin")
		}
	}
}
