package assemble_test

import (
	"context"
	"testing"

	"earframe/assemble"

	"github.com/stretchr/testify/require"
)

// BenchmarkDepth times the demo's depth map.
func BenchmarkDepth(b *testing.B) {
	f := demoField(b)
	for _, c := range []struct {
		name string
		step float64
	}{{"step 0.4", 0.4}, {"step 0.2", 0.2}, {"step 0.1", 0.1}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				_, err := assemble.Depth(context.Background(), f, c.step)
				require.NoError(b, err)
			}
		})
	}
}
