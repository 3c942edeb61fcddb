package practice

import (
	"context"
	"sync"
	"testing"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/units"

	"github.com/stretchr/testify/require"
)

// demoCase is the built-in example's plan, with more in its case file.
func demoCase(t testing.TB, more string) *units.Plan {
	t.Helper()
	return demotest.Plan(t, "case: demo-01\n", "case: demo-01\n"+more)
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
