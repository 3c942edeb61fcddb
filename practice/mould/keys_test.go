package mould

import (
	"math"
	"testing"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// No place is in both halves, and each place of the block is in one of them, in
// the cavity, a channel, or within the clearance of a peg.
func TestHalvesDoNotReachIntoOneAnother(t *testing.T) {
	level := options(t, units.MouldTwoPart)
	level.Step = 0.5
	for name, m := range map[string]*Mould{"ball": makeOf(t, "ball", field.Ball(mgl64.Vec3{}, 4), level),
		"arch": archMade(t)} {
		box := m.Block.Bounds()
		var points []mgl64.Vec3
		const step = 0.57
		for x := box.Min[0]; x < box.Max[0]; x += step {
			for y := box.Min[1]; y < box.Max[1]; y += step {
				for z := box.Min[2]; z < box.Max[2]; z += step {
					points = append(points, mgl64.Vec3{x, y, z})
				}
			}
		}
		ask := func(f field.Field) []float64 {
			out := make([]float64, len(points))
			f.Distances(points, out)
			return out
		}
		lower, upper := ask(piece(t, m, Lower).Solid), ask(piece(t, m, Upper).Solid)
		var inside int
		for i := range points {
			require.False(t, lower[i] < -1e-9 && upper[i] < -1e-9, "both halves of %s hold %v", name, points[i])
			if lower[i] < 0 || upper[i] < 0 {
				inside++
			}
		}
		assert.Greater(t, inside, 1000)
	}
}

// The clearance of pegs in their sockets, as an independent library measures it
// between the two meshes.
func TestPegsHaveTheirClearance(t *testing.T) {
	for _, clearance := range []float64{0.15, 0.3} {
		o := options(t, units.MouldTwoPart)
		o.Step = 0.3
		o.Printer.Clearance = clearance
		m := makeOf(t, "ball", field.Ball(mgl64.Vec3{}, 4), o)
		require.Len(t, m.Keys, 3)
		distance := model3d.MeshToSDF(peer(piece(t, m, Upper).Mesh))
		for _, k := range m.Keys {
			assert.Equal(t, clearance, k.Clearance)
			for i := range 16 {
				sin, cos := math.Sincos(float64(i) * math.Pi / 8)
				z := k.At[2] + k.Height/2
				r := k.peg.radiusLow - (z-k.peg.low)*math.Tan(keyTaper)
				side := model3d.XYZ(k.At[0]+r*cos, k.At[1]+r*sin, z)
				assert.InDelta(t, -clearance, distance.SDF(side), 0.03)
			}
			tip := model3d.XYZ(k.At[0], k.At[1], k.At[2]+k.Height)
			assert.InDelta(t, -clearance, distance.SDF(tip), 0.03)
		}
	}
}

func TestKeysStandClearOfTheCavityAndOfTheRim(t *testing.T) {
	for _, name := range []string{units.Filament, units.Resin} {
		o := options(t, units.MouldTwoPart)
		o.Printer = printer(t, name)
		o.Wall, o.Step = 1, 0.8
		m := makeOf(t, "arch", arch(t), o)
		size := keySizeFor(o.Printer)
		for _, k := range m.Keys {
			out := make([]float64, 1)
			m.Cavity.Distances([]mgl64.Vec3{k.At}, out)
			assert.GreaterOrEqual(t, out[0], size.radius+size.clearance+0.5, "from the cavity")
			m.Block.Distances([]mgl64.Vec3{{k.At[0], k.At[1], m.Size[2] / 2}}, out)
			assert.LessOrEqual(t, out[0], -(size.radius + size.clearance + size.rim - 0.01), "from the rim")
			assert.Less(t, k.peg.high+k.Clearance+o.Printer.Wall, m.Size[2], "a socket has a roof")
			assert.Greater(t, k.peg.low, 0.0, "a peg ends within the lower half")
		}
		require.Len(t, m.Keys, 3)
	}
}

func TestThreeKeysFitOneWayOnly(t *testing.T) {
	m := archMade(t)
	box := m.Block.Bounds()
	middle := box.Centre().Vec2()
	for _, k := range m.Keys {
		turned := middle.Mul(2).Sub(k.At.Vec2())
		met := 0
		for _, other := range m.Keys {
			if turned.Sub(other.At.Vec2()).Len() < k.Diameter/2 {
				met++
			}
		}
		if met == 0 {
			return
		}
	}
	assert.Fail(t, "turned round, every peg finds a socket")
}
