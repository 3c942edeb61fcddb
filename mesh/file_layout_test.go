package mesh

import (
	"bytes"
	"testing"

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
