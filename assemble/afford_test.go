package assemble_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/mesh/contour"
	"earframe/template"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each unit alone would do at the step, all of them together would not: joined or
// apart they are refused before any work is done.
func TestUnitsThatTogetherWouldHoldTooMuchAreRefusedBeforehand(t *testing.T) {
	plan := demotest.Plan(t)
	slabs := plan.Units[:0:0]
	for _, u := range plan.Units {
		slab := *u
		slab.Recesses, slab.NotchFor, slab.Thickness, slab.EdgeTop, slab.EdgeBottom = nil, nil, 20, 0, 0
		slab.Outlines = []template.Outline{square(t, plan, 60)}
		slab.Rise.Profile = nil
		slabs = append(slabs, &slab)
	}
	plan.Units = slabs
	const step = 0.07
	solids, err := plan.Solids(context.Background())
	require.NoError(t, err)
	for _, s := range solids {
		require.NoError(t, contour.Affordable(step, s.Field))
	}
	for _, apart := range []bool{false, true} {
		began := time.Now()
		_, err = assemble.Build(context.Background(), plan, assemble.Options{Step: step, Apart: apart, Plain: true})
		var tooFine *contour.TooFine
		require.True(t, errors.As(err, &tooFine), "%v", err)
		assert.Less(t, time.Since(began), 20*time.Second)
		assert.Greater(t, tooFine.Would, step)
	}
}
