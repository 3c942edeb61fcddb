package mesh

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"

	"earframe/mesh/internal/solids"
)

func TestAPrintStandsOnThePlateWhereverItWas(t *testing.T) {
	for _, lift := range []float64{-16.798341751098633, 0, 3.3} {
		m := (*Mesh)(solids.Ball(mgl64.Vec3{0.1, 0.2, lift}, 2, 3).Rounded())
		moved := m.OnPlate()
		low, high := moved.Bounds()
		was, wasHigh := m.Bounds()
		assert.Zero(t, low[2])
		assert.InDelta(t, wasHigh[2]-was[2], high[2], 1e-5)
		assert.Equal(t, was.Vec2(), low.Vec2())
		assert.NoError(t, Judge(moved).Err())
		assert.InEpsilon(t, m.Volume(), moved.Volume(), 1e-5)
		assert.Same(t, moved, moved.OnPlate(), "it stands already")
	}
	assert.Empty(t, (&Mesh{}).OnPlate().Vertices)
}
