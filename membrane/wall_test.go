package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Beside a long plate higher than the bridging radius R the skin lies on the wall
// down to R over the bed and meets the bed in a quarter of a circle: under it lie
// R²(1 − π/4) a millimetre of wall, and it is as long as the wall above R and the
// quarter circle, by elementary geometry.
func TestSkinClingsToAWallHigherThanTheBridgingRadius(t *testing.T) {
	const half, height, clear = 6.1, 8.0, 14.0
	plate := func(x float64) float64 {
		if math.Abs(x) > half {
			return 0
		}
		return height
	}
	for _, bridging := range []float64{3, 5} {
		for _, degrees := range []float64{0, 10, 45} {
			turned := degrees * math.Pi / 180
			d := onStep(t, Case{Frame: strip(half, 30, turned, plate), Pocket: boxPocket{half + clear, 30 + clear, turned}}, 1/bridging, defaultStep)
			for n, energy := range d.Energies[1:] {
				// But for the last bit, once nothing moves any more.
				require.LessOrEqual(t, energy, d.Energies[n]*(1+1e-14), "the energy never rises")
			}
			const sections, every = 40, 0.01
			volume, length := 0.0, 0.0
			for n := range sections { // over ten steps along the wall
				at := func(x float64) float64 {
					return d.Height(turn(mgl64.Vec2{half + x, float64(n) / sections * 10 * defaultStep}, turned))
				}
				before := height
				for x := every; x < clear-1; x += every {
					now := at(x)
					volume += every * (before + now) / 2 / sections
					length += math.Hypot(every, now-before) / sections
					before = now
				}
				volume -= every * height / 2 / sections // the first reading lies beside the wall
			}
			wantVolume := bridging * bridging * (1 - math.Pi/4)
			wantLength := height - bridging + math.Pi/2*bridging + clear - 1 - bridging
			t.Logf("R %g mm, turned by %g°: %.3f mm² under the skin, closed form %.3f; %.3f mm long, closed form "+
				"%.3f", bridging, degrees, volume, wantVolume, length, wantLength)
			// A node stands at the wall's foot; from the rim to it the skin is
			// straight. The quarter circle is drawn in straight pieces too.
			assert.InDelta(t, wantVolume, volume, footGap*defaultStep*height)
			assert.InEpsilon(t, wantLength, length, 0.01)
		}
	}
}

// A round plate with a rounded edge: the drape is read on rings about its middle
// and triangles made between the readings. Nothing of the lattice is in that, and
// the wall runs along the rings, so that its area comes out as it is. It has to be
// the area that is told, and nowhere in the frame.
func TestTheAreaToldIsThatOfTheSurfaceRead(t *testing.T) {
	const radius, edge, height = 7.3, 1.0, 5.0
	frame := func(r float64) float64 {
		switch over := r - (radius - edge); {
		case over <= 0:
			return height
		case over < edge:
			return height - edge + math.Sqrt(edge*edge-over*over)
		}
		return 0
	}
	for _, bridging := range []float64{2, 6, math.Inf(1)} {
		pocket := roundPocket{offLattice, 16}
		d := onStep(t, Case{Frame: round(offLattice, radius, frame), Pocket: pocket}, 1/bridging, defaultStep)
		const around = 720
		var radii []float64
		for r := 0.1; r < pocket.radius; {
			radii = append(radii, r)
			if math.Abs(r-radius) < 0.5 {
				r += 0.005
			} else {
				r += 0.05
			}
		}
		radii = append(radii, pocket.radius)
		ring := func(r float64) []mgl64.Vec3 {
			places := make([]mgl64.Vec3, around)
			for n := range places {
				sin, cos := math.Sincos(2 * math.Pi * float64(n) / around)
				p := offLattice.Add(mgl64.Vec2{r * cos, r * sin})
				places[n] = p.Vec3(d.Height(p))
				require.GreaterOrEqual(t, places[n][2], frame(p.Sub(offLattice).Len()))
			}
			return places
		}
		before := ring(radii[0])
		area := math.Pi * radii[0] * radii[0] // level on the plate
		for _, r := range radii[1:] {
			now := ring(r)
			for n := range around {
				m := (n + 1) % around
				area += areaOf(before[n], now[n], now[m]) + areaOf(before[n], now[m], before[m])
			}
			before = now
		}
		t.Logf("R %g mm: %.2f mm² told, %.2f mm² read; the net alone has %.2f "+
			"mm²", bridging, d.DrapeArea, area, d.PocketArea+d.l.energy(context.Background(), d.u, 0))
		assert.InEpsilon(t, area, d.DrapeArea, 0.002)
	}
}
