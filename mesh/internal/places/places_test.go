package places

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestZeroAndMinusZeroAreOnePlace(t *testing.T) {
	index := NewIndex(0)
	first, isNew := index.Add(mgl64.Vec3{0, 1, 0})
	require.True(t, isNew)
	second, isNew := index.Add(mgl64.Vec3{math.Copysign(0, -1), 1, math.Copysign(0, -1)})
	assert.False(t, isNew)
	assert.Equal(t, first, second)
}
