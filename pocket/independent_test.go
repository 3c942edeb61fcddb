package pocket

import (
	"context"
	"math"
	"testing"

	"earframe/internal/demotest"
	"earframe/membrane"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/optimize"
)

// web is a triangle mesh over the demo's pocket of rays from its middle and
// rings about it: nothing in common with the drape's lattice.
type web struct {
	places    []mgl64.Vec2
	triangles [][3]int
	free      int // nodes from here on lie on the pocket's edge, at height 0
	top       []float64
}

func newWeb(r *Result, rays, rings int) *web {
	lo, hi := r.edge.Bounds()
	middle := lo.Add(hi).Mul(0.5)
	w := &web{places: []mgl64.Vec2{middle}}
	reach := make([]mgl64.Vec2, rays)
	for n := range reach {
		sin, cos := math.Sincos(2 * math.Pi * float64(n) / float64(rays))
		way := mgl64.Vec2{cos, sin}
		near, far := 0.0, 100.0
		for far-near > 1e-9 { // the pocket is star-shaped about its middle
			if half := (near + far) / 2; r.edge.Distance(middle.Add(way.Mul(half))) < 0 {
				near = half
			} else {
				far = half
			}
		}
		reach[n] = way.Mul(near)
	}
	for ring := 1; ring <= rings; ring++ {
		if ring == rings {
			w.free = len(w.places)
		}
		for n := range rays {
			w.places = append(w.places, middle.Add(reach[n].Mul(float64(ring)/float64(rings))))
		}
	}
	for n := range rays {
		w.triangles = append(w.triangles, [3]int{0, 1 + n, 1 + (n+1)%rays})
	}
	for ring := range rings - 1 {
		for n := range rays {
			a, b := 1+ring*rays+n, 1+ring*rays+(n+1)%rays
			w.triangles = append(w.triangles, [3]int{a, a + rays, b}, [3]int{b, a + rays, b + rays})
		}
	}
	w.top = make([]float64, len(w.places))
	r.laid().Frame.Heights(w.places, w.top)
	return w
}

// energy returns area + pull · volume and its slope at every free node, with a
// spring that keeps the skin from sinking into frame and bed.
func (w *web) energy(u, slope []float64, pull, spring float64) float64 {
	height := func(k int) float64 {
		if k < w.free {
			return u[k]
		}
		return 0
	}
	add := func(k int, v float64) {
		if slope != nil && k < w.free {
			slope[k] += v
		}
	}
	for k := range slope {
		slope[k] = 0
	}
	sum := 0.0
	for _, t := range w.triangles {
		ab := w.places[t[1]].Sub(w.places[t[0]]).Vec3(height(t[1]) - height(t[0]))
		ac := w.places[t[2]].Sub(w.places[t[0]]).Vec3(height(t[2]) - height(t[0]))
		normal := ab.Cross(ac)
		flat := normal[2] / 2
		sum += normal.Len()/2 + pull*flat*(height(t[0])+height(t[1])+height(t[2]))/3
		// The area's slope in a corner's height is half the unit normal turned
		// about the opposite side.
		unit := normal.Normalize()
		corners := [3]mgl64.Vec3{{}, ab, ac}
		for n := range 3 {
			side := corners[(n+2)%3].Sub(corners[(n+1)%3])
			add(t[n], unit.Cross(side)[2]/2+pull*flat/3)
		}
	}
	for k := range w.free {
		if sunk := max(w.top[k], 0) - u[k]; sunk > 0 {
			sum += spring * sunk * sunk / 2
			add(k, -spring*sunk)
		}
	}
	return sum
}

// The demo's drape once more: the same energy on another mesh, minimised by a
// general-purpose optimiser (gonum's L-BFGS), for skin that is drawn in hard, as
// by default, and hardly. The web's corners are known to its own spacing only, so
// it stays a little inside the drape; with 288 rays and 120 rings the energies agree
// within 0.1 %.
func TestAnotherMeshAndOptimiserAgreeOnTheDemo(t *testing.T) {
	for _, c := range []struct{ name, lines string }{
		{"tight skin", suction}, {"default", ""}, {"loose skin", "pocket:\n  bridging_radius: 30\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			agreeOnDrape(t, check(t, demotest.Plan(t, "side: left\n", "side: left\n"+c.lines), Options{NoAdvice: true}))
		})
	}
}

// agreeOnDrape holds energy, area, volume and highest point within 1 %.
func agreeOnDrape(t *testing.T, r *Result) {
	t.Helper()
	pull := 1 / r.Drape.BridgingRadius()
	w := newWeb(r, 120, 50)
	u := make([]float64, w.free)
	copy(u, w.top)
	for _, spring := range []float64{1, 10, 100} { // mm²/mm², stiffer and stiffer
		problem := optimize.Problem{
			Func: func(x []float64) float64 { return w.energy(x, nil, pull, spring) },
			Grad: func(slope, x []float64) { w.energy(x, slope, pull, spring) },
		}
		settings := &optimize.Settings{MajorIterations: 300, GradientThreshold: 1e-3}
		result, err := optimize.Minimize(problem, u, settings, &optimize.LBFGS{Store: 20})
		require.NoError(t, err)
		u = result.X
	}
	area := w.energy(u, nil, 0, 0)
	volume := w.energy(u, nil, 1, 0) - area
	highest, sunk := 0.0, 0.0
	for k, z := range u {
		highest, sunk = max(highest, z), max(sunk, w.top[k]-z)
	}
	require.Less(t, sunk, 0.05, "the spring holds the skin off the frame")

	ours := 0.0
	for _, z := range r.Drape.Heights { // 0 outside the pocket
		ours += z * r.Drape.Grid.Step * r.Drape.Grid.Step
	}
	t.Logf("%d nodes: area %.1f mm² (lattice %.1f), volume %.0f mm³ (%.0f), energy %+.2f "+
		"%%", len(w.places), area, r.Drape.DrapeArea,
		volume, ours, 100*((area+pull*volume)/(r.Drape.DrapeArea+pull*ours)-1))
	assert.InEpsilon(t, r.Drape.DrapeArea+pull*ours, area+pull*volume, 0.01)
	assert.InEpsilon(t, r.Drape.DrapeArea, area, 0.01)
	assert.InEpsilon(t, ours, volume, 0.01)
	assert.InEpsilon(t, r.Measures.Depth.Peak.Height, highest, 0.01)
}

// turned is a frame or a pocket turned about the middle of the sheet.
type turned struct {
	frame  membrane.Frame
	region membrane.Region
	back   mgl64.Mat2
}

// Bounds covers the turned rectangle.
func (t turned) Bounds() (lo, hi mgl64.Vec2) {
	if t.frame != nil {
		lo, hi = t.frame.Bounds()
	} else {
		lo, hi = t.region.Bounds()
	}
	reach := math.Hypot(max(-lo[0], hi[0]), max(-lo[1], hi[1]))
	return mgl64.Vec2{-reach, -reach}, mgl64.Vec2{reach, reach}
}

func (t turned) Distance(p mgl64.Vec2) float64 { return t.region.Distance(t.back.Mul2x1(p)) }

func (t turned) Heights(points []mgl64.Vec2, out []float64) {
	asked := make([]mgl64.Vec2, len(points))
	for i, p := range points {
		asked[i] = t.back.Mul2x1(p)
	}
	t.frame.Heights(asked, out)
}

// The demo's drape does not depend on how the grid lies to it.
func TestTurningTheGridBy30DegreesChangesNothingThatMatters(t *testing.T) {
	r := check(t, demotest.Plan(t, "side: left\n", "side: left\n"+suction), Options{NoAdvice: true})
	straight := r.laid()
	back := mgl64.Rotate2D(-math.Pi / 6)
	drape, err := membrane.Lay(context.Background(), membrane.Case{
		Frame:          turned{frame: straight.Frame, back: back},
		Pocket:         turned{region: straight.Pocket, back: back},
		BridgingRadius: straight.BridgingRadius,
	}, membrane.Options{})
	require.NoError(t, err)
	assert.InEpsilon(t, r.Drape.PocketArea, drape.PocketArea, 0.001)
	assert.InEpsilon(t, r.Drape.DrapeArea, drape.DrapeArea, 0.01)
	assert.InEpsilon(t, r.Drape.PeakDepth().Height, drape.PeakDepth().Height, 0.01)
	skin, err := drape.Skin(t.Context(), r.Plan.Skin.Lateral)
	require.NoError(t, err)
	assert.InEpsilon(t, r.Skin.Volume(), skin.Volume(), 0.01)
}
