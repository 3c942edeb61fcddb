package pocket

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"earframe/membrane"
	"earframe/units"
	"earframe/units/demo"

	"github.com/stretchr/testify/require"
)

// plan reads the demo's case after replacing texts in it, given in pairs.
func plan(t testing.TB, replacements ...string) *units.Plan {
	t.Helper()
	p, err := units.Load(t.Context(), casePath(t, replacements...))
	require.NoError(t, err)
	return p
}

// casePath writes the demo's case and template after replacing texts in both.
func casePath(t testing.TB, replacements ...string) string {
	t.Helper()
	dir := t.TempDir()
	text, drawing := string(demo.Case), string(demo.Template)
	for i := 0; i < len(replacements); i += 2 {
		old := replacements[i]
		require.True(t, strings.Contains(text, old) || strings.Contains(drawing, old), "%q is in neither", old)
		text = strings.Replace(text, old, replacements[i+1], 1)
		drawing = strings.Replace(drawing, old, replacements[i+1], 1)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), []byte(drawing), 0o644))
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func check(t testing.TB, p *units.Plan, options Options) *Result {
	t.Helper()
	r, err := Check(context.Background(), p, options)
	require.NoError(t, err)
	return r
}

// lay lays the skin of a result once more, on another first grid.
func lay(t testing.TB, r *Result, step float64) *membrane.Drape {
	t.Helper()
	d, err := membrane.Lay(context.Background(), r.laid(), membrane.Options{Step: step})
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
