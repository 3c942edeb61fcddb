package pocket

import (
	"context"
	"testing"

	"earframe/membrane"
	"earframe/units"

	"github.com/stretchr/testify/require"
)

func check(t testing.TB, p *units.Plan, options Options) *Result {
	t.Helper()
	r, err := Check(context.Background(), p, options)
	require.NoError(t, err)
	return r
}

// lay lays the skin of a result once more, on another first grid.
func lay(t testing.TB, r *Result, step float64) *membrane.Drape {
	t.Helper()
	d, err := r.drape(context.Background(), r.laid(), membrane.Options{Step: step})
	require.NoError(t, err)
	return d
}

// The caution goes into files. An independent 3MF reader refuses the numeric
// character references that XML writers make of quotation marks.
func TestCautionNeedsNoEscapesInAFile(t *testing.T) {
	require.NotContains(t, Caution, "'")
	require.NotContains(t, Caution, `"`)
}

// trialOf lays the coarse drape that advice is tried on.
func trialOf(t testing.TB, r *Result) *trial {
	t.Helper()
	coarse, err := r.try(context.Background())
	require.NoError(t, err)
	return coarse
}
