// Package demotest gives tests the demonstration case: on disk, or planned.
package demotest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/units"
	"earframe/units/demo"
)

// Write writes the demo into a folder of the test's own and returns the path of
// its case file. Where the first of
// a pair of texts stands first in the case, and in the drawing, the second takes its
// place; it is a failure if it stands in neither.
func Write(t testing.TB, replace ...string) string {
	t.Helper()
	text, drawing := string(demo.Case), string(demo.Template)
	for i := 0; i < len(replace); i += 2 {
		old, with := replace[i], replace[i+1]
		require.True(t, strings.Contains(text, old) || strings.Contains(drawing, old), "%q is not in the demo", old)
		text, drawing = strings.Replace(text, old, with, 1), strings.Replace(drawing, old, with, 1)
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), []byte(drawing), 0o644))
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// Plan returns the demo's plan, texts replaced as by Write.
func Plan(t testing.TB, replace ...string) *units.Plan {
	t.Helper()
	plan, err := units.Load(t.Context(), Write(t, replace...))
	require.NoError(t, err)
	return plan
}
