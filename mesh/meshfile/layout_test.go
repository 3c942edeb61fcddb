package meshfile

import (
	"bytes"
	"math"
	"testing"

	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLaidOutObjectsStandOnTheBedApart(t *testing.T) {
	document := exampleDocument()
	const gap = 5
	LayOut(document.Objects, gap)
	end := -float64(gap)
	for _, object := range document.Objects {
		low, high := object.Mesh.Bounds()
		low, high = low.Add(object.Offset), high.Add(object.Offset)
		assert.InDelta(t, end+gap, low[0], 0.0011)
		assert.InDelta(t, 0, low[1], 0.0011)
		assert.InDelta(t, 0, low[2], 0.0011)
		for axis := range 3 {
			assert.GreaterOrEqual(t, low[axis], 0.0)
		}
		end = high[0]
	}
	var file bytes.Buffer
	require.NoError(t, Write3MF(&file, document))
	objects, err := Read3MF(file.Bytes())
	require.NoError(t, err)
	for i, object := range objects {
		assert.InDelta(t, 0, object.Offset.Sub(document.Objects[i].Offset).Len(), 1e-5, "single precision of the reader")
	}
}

func TestARowThatIsFullIsFollowedByTheNext(t *testing.T) {
	ball := rounded(solids.Ball(mgl64.Vec3{}, 5, 3))
	objects := []Object{{Mesh: ball}, {Mesh: ball}, {Mesh: ball}, {Mesh: ball}, {Mesh: ball}}
	LayOutRows(objects, 2, 25)
	for i, o := range objects {
		low, high := o.Mesh.Bounds()
		assert.LessOrEqual(t, high[0]+o.Offset[0], 25.0, "row width")
		assert.GreaterOrEqual(t, low[1]+o.Offset[1], 0.0)
		for _, other := range objects[:i] {
			apart := math.Max(math.Abs(o.Offset[0]-other.Offset[0]), math.Abs(o.Offset[1]-other.Offset[1]))
			assert.GreaterOrEqual(t, apart, high[0]-low[0], "objects do not overlap")
		}
	}
	assert.Equal(t, objects[0].Offset[1], objects[1].Offset[1])
	assert.Greater(t, objects[2].Offset[1], objects[1].Offset[1])
}
