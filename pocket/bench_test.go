package pocket

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
)

// BenchmarkPocket times the demo's pocket check at two grid steps, from the plan
// on: depth map, drape, skin and all that is told of them, without and with the
// advice that has to be worked out; and the skin's model.
func BenchmarkPocket(b *testing.B) {
	demo := demotest.Plan(b)
	for _, c := range []struct {
		name    string
		options Options
	}{
		{"step 0.4", Options{NoAdvice: true}},
		{"step 0.2", Options{Step: 0.2, NoAdvice: true}},
		{"step 0.4 with advice", Options{}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				check(b, demo, c.options)
			}
		})
	}
	r := check(b, demo, Options{NoAdvice: true})
	b.Run("drape alone, step 0.4", func(b *testing.B) {
		for b.Loop() {
			lay(b, r, 0.4)
		}
	})
	b.Run("drape alone, step 0.2", func(b *testing.B) {
		for b.Loop() {
			lay(b, r, 0.2)
		}
	})
	bolstered := check(b, demotest.Plan(b, "side: left\n",
		"side: left\npocket: {bolsters: [{where: scapha}, {where: concha}, {where: rim}]}\n"), Options{NoAdvice: true})
	b.Run("drape alone under bolsters, step 0.4", func(b *testing.B) {
		for b.Loop() {
			lay(b, bolstered, 0.4)
		}
	})
	b.Run("skin model", func(b *testing.B) {
		for b.Loop() {
			_, err := r.SkinModel(context.Background())
			require.NoError(b, err)
		}
	})
}
