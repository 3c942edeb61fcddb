package budget

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/units"
	"earframe/units/demo"
)

// demoPlan reads the built-in example.
func demoPlan(t testing.TB) *units.Plan {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), demo.Template, 0o644))
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, demo.Case, 0o644))
	plan, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	return plan
}
