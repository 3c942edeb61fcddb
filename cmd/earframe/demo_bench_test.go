package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkDemo is the whole demo: all files and pictures.
func BenchmarkDemo(b *testing.B) {
	for b.Loop() {
		got := earframe(b, "demo", filepath.Join(b.TempDir(), "demo"))
		require.Equal(b, exitGood, got.code, got.err)
	}
}
