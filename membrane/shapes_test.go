package membrane

import (
	"context"
	"math"
	"strconv"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

// roundPocket is a disc.
type roundPocket struct {
	centre mgl64.Vec2
	radius float64
}

func (r roundPocket) Bounds() (lo, hi mgl64.Vec2) {
	corner := mgl64.Vec2{r.radius, r.radius}
	return r.centre.Sub(corner), r.centre.Add(corner)
}

func (r roundPocket) Distance(p mgl64.Vec2) float64 { return p.Sub(r.centre).Len() - r.radius }

// boxPocket is a rectangle about the origin, turned by an angle.
type boxPocket struct{ halfX, halfY, turned float64 }

func (b boxPocket) Bounds() (lo, hi mgl64.Vec2) {
	c, s := math.Abs(math.Cos(b.turned)), math.Abs(math.Sin(b.turned))
	corner := mgl64.Vec2{c*b.halfX + s*b.halfY, s*b.halfX + c*b.halfY}
	return corner.Mul(-1), corner
}

func (b boxPocket) Distance(p mgl64.Vec2) float64 {
	p = turn(p, -b.turned)
	x, y := math.Abs(p[0])-b.halfX, math.Abs(p[1])-b.halfY
	return math.Hypot(max(x, 0), max(y, 0)) + min(max(x, y), 0)
}

func turn(p mgl64.Vec2, angle float64) mgl64.Vec2 {
	s, c := math.Sincos(angle)
	return mgl64.Vec2{c*p[0] - s*p[1], s*p[0] + c*p[1]}
}

// formula is a frame given by its height at a place.
type formula struct {
	reach  float64 // half the side of a square that holds it
	height func(p mgl64.Vec2) float64
}

func (f formula) Bounds() (lo, hi mgl64.Vec2) {
	return mgl64.Vec2{-f.reach, -f.reach}, mgl64.Vec2{f.reach, f.reach}
}

func (f formula) Heights(points []mgl64.Vec2, out []float64) {
	for k, p := range points {
		out[k] = f.height(p)
	}
}

// round is a frame of revolution about a centre off the lattice.
func round(centre mgl64.Vec2, reach float64, height func(r float64) float64) formula {
	return formula{reach + centre.Len(), func(p mgl64.Vec2) float64 { return height(p.Sub(centre).Len()) }}
}

func hemisphere(radius float64) func(r float64) float64 {
	return func(r float64) float64 { return math.Sqrt(max(radius*radius-r*r, 0)) }
}

// plateau is a plate with a vertical wall.
func plateau(radius, height float64) func(r float64) float64 {
	return func(r float64) float64 {
		if r > radius {
			return 0
		}
		return height
	}
}

// offLattice keeps symmetric cases from agreeing with the lattice by luck.
var offLattice = mgl64.Vec2{0.137, -0.071}

// onStep lays at one step only, tightly.
func onStep(t *testing.T, c Case, pull, step float64) *Drape {
	t.Helper()
	drape, err := lay(context.Background(), c, pull, nil, Options{Step: step, Finest: step, Tolerance: 1e-7})
	require.NoError(t, err)
	return drape
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
