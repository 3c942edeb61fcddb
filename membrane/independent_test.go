package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tray is an oval plate with a rounded rim standing on it and a vertical wall.
func tray(p mgl64.Vec2) float64 {
	r := math.Hypot(p[0]/14, p[1]/24)
	if r > 1 {
		return 0
	}
	rise := (r - 0.75) / 0.16
	return 4 + 3*math.Exp(-rise*rise)*(1+p[0]/40)
}

// fan is a triangle mesh of rings about the origin, one of them on the plate's
// rim, the last on the pocket's edge: nothing in common with the lattice.
type fan struct {
	places    []mgl64.Vec2
	triangles [][3]int
	fixed     int // nodes from here on lie on the pocket's edge
	top       []float64
	roof      []float64 // of rolls; nil if there are none
}

func newFan(frame func(p mgl64.Vec2) float64, rim, edge mgl64.Vec2, inner, outer, around int) *fan {
	f := &fan{places: []mgl64.Vec2{{}}}
	ring := func(reach mgl64.Vec2) {
		for n := range around {
			s, c := math.Sincos(2 * math.Pi * float64(n) / float64(around))
			f.places = append(f.places, mgl64.Vec2{c * reach[0], s * reach[1]})
		}
	}
	for n := 1; n <= inner; n++ {
		ring(rim.Mul(float64(n) / float64(inner)))
	}
	for n := 1; n <= outer; n++ {
		ring(rim.Add(edge.Sub(rim).Mul(float64(n) / float64(outer))))
	}
	f.fixed = len(f.places) - around
	for n := range around {
		f.triangles = append(f.triangles, [3]int{0, 1 + n, 1 + (n+1)%around})
	}
	for r := range inner + outer - 1 {
		for n := range around {
			a, b := 1+r*around+n, 1+r*around+(n+1)%around
			f.triangles = append(f.triangles, [3]int{a, a + around, b}, [3]int{b, a + around, b + around})
		}
	}
	for _, p := range f.places {
		// Just inside, so that the rim has the plate's height.
		f.top = append(f.top, frame(p.Mul(1-1e-12)))
	}
	return f
}

// energy returns excess area + pull·volume and its gradient, with springs that
// keep the skin from sinking into the frame and from rising into a roll.
func (f *fan) energy(u, gradient []float64, pull, spring float64) float64 {
	sum := 0.0
	for k := range gradient {
		gradient[k] = 0
	}
	add := func(k int, slope float64) {
		if gradient != nil && k < f.fixed {
			gradient[k] += slope
		}
	}
	height := func(k int) float64 {
		if k < f.fixed {
			return u[k]
		}
		return 0
	}
	for _, t := range f.triangles {
		a, b, c := f.places[t[0]], f.places[t[1]], f.places[t[2]]
		ab, ac := b.Sub(a).Vec3(height(t[1])-height(t[0])), c.Sub(a).Vec3(height(t[2])-height(t[0]))
		normal := ab.Cross(ac)
		flat := normal[2] / 2
		area := normal.Len() / 2
		sum += area - flat + pull*flat*(height(t[0])+height(t[1])+height(t[2]))/3
		// The area's slope in a corner's height: half the unit normal, turned
		// about the opposite side.
		unit := normal.Mul(1 / normal.Len())
		corners := [3]mgl64.Vec3{{}, ab, ac}
		for n := range 3 {
			side := corners[(n+2)%3].Sub(corners[(n+1)%3])
			add(t[n], unit.Cross(side)[2]/2+pull*flat/3)
		}
	}
	for k := range f.fixed {
		if sunk := f.top[k] - u[k]; sunk > 0 {
			sum += spring * sunk * sunk / 2
			add(k, -spring*sunk)
		}
		if f.roof == nil {
			continue
		}
		if risen := u[k] - f.roof[k]; risen > 0 {
			sum += spring * risen * risen / 2
			add(k, spring*risen)
		}
	}
	return sum
}

// The same energy on another mesh, minimised by a general-purpose optimiser.
func TestAnotherMeshAndOptimiserAgree(t *testing.T) {
	const pull = 1. / 12
	f := newFan(tray, mgl64.Vec2{14, 24}, mgl64.Vec2{25, 35}, 18, 14, 56)
	energy, u := f.minimise(t, pull)
	sunk := 0.0
	for k := range f.fixed {
		sunk = max(sunk, f.top[k]-u[k])
	}
	require.Less(t, sunk, 0.01, "the spring holds the skin off the frame")

	c := Case{Frame: formula{30, tray}, Pocket: oval{25, 35, 0}, BridgingRadius: 1 / pull}
	d, err := Lay(context.Background(), c, Options{})
	require.NoError(t, err)
	ours := d.Energies[len(d.Energies)-1]
	t.Logf("excess energy: lattice %.3f mm², fan of %d nodes %.3f mm² (%+.2f "+
		"%%)", ours, len(f.places), energy, 100*(energy/ours-1))
	assert.InEpsilon(t, ours, energy, 0.01)
}
