package practice

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"earframe/assemble"
	"earframe/units"
	"earframe/units/demo"

	"github.com/stretchr/testify/require"
)

// demoCase writes the built-in example with more of a case file after it, and
// returns its plan.
func demoCase(t testing.TB, more string) *units.Plan {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), demo.Template, 0o644))
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, append(append([]byte{}, demo.Case...), more...), 0o644))
	plan, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	return plan
}

// demoFramework is the built-in example's, built once.
func demoFramework(t testing.TB) *assemble.Framework {
	t.Helper()
	framework, err := built(t)
	require.NoError(t, err)
	return framework
}

var (
	once  sync.Once
	frame *assemble.Framework
	fault error
)

func built(t testing.TB) (*assemble.Framework, error) {
	once.Do(func() { frame, fault = assemble.Build(context.Background(), demoCase(t, ""), assemble.Options{}) })
	return frame, fault
}

func BenchmarkSetOfTheDemo(b *testing.B) {
	f := demoFramework(b)
	for b.Loop() {
		_, err := Make(context.Background(), f, nil)
		require.NoError(b, err)
	}
}
