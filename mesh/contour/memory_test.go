package contour

import (
	"context"
	"errors"
	"math"
	"testing"

	"earframe/internal/meshtest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Just outside what may be held a step is refused, and the step named does; just
// inside it is not refused.
func TestAStepThatWouldHoldTooMuchIsRefusedBeforehand(t *testing.T) {
	plate := meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 160, 118, 0.3), 0, 30, 3)
	boxes := float64(boxesOnSurface(plate))
	const area = 2 * (160*118 + 160*30 + 118*30.0)
	assert.InEpsilon(t, area/(estimateBox*estimateBox), boxes, 0.6, "a surface aslant passes through more boxes")
	limit := estimateBox / blockSide * math.Sqrt(boxes*bytesABlock/mostBytes)
	assert.NoError(t, Affordable(1.001*limit, plate))
	var tooFine *TooFine
	_, err := Of(context.Background(), plate, Options{Step: 0.999 * limit})
	require.True(t, errors.As(err, &tooFine), err)
	assert.InEpsilon(t, mostBytes, tooFine.Bytes, 0.01)
	assert.InDelta(t, limit, tooFine.Would, 0.01)
	assert.NoError(t, Affordable(tooFine.Would, plate))
	assert.ErrorContains(t, err, "about 2.0 GB of memory")

	// Two such hold twice as much.
	assert.NoError(t, Affordable(1.001*math.Sqrt2*limit, plate, plate))
	assert.Error(t, Affordable(0.999*math.Sqrt2*limit, plate, plate))
}

// What is small is not even counted.
func TestTheDefaultStepIsNeverTooFineForAnEarOfUsualSize(t *testing.T) {
	assert.NoError(t, Affordable(DefaultStep, meshtest.Slab(t, meshtest.Rectangle(t, 0, 0, 40, 65, 0.3), 0, 12, 1)))
}
