package units

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
)

// BenchmarkPlan tells what each part of planning the demo costs: an edit answers
// with all but the reading of the drawing, and without letters.
func BenchmarkPlan(b *testing.B) {
	folder := filepath.Join("demo")
	text, err := os.ReadFile(filepath.Join(folder, "case.yaml"))
	require.NoError(b, err)
	c, err := casefile.Parse(filepath.Join(folder, "case.yaml"), text)
	require.NoError(b, err)
	sheet, err := template.Read(b.Context(), c.TemplateFile(), c.TemplateOptions())
	require.NoError(b, err)
	made := func(b *testing.B) *Plan {
		p, err := NewPlan(b.Context(), c, sheet)
		require.NoError(b, err)
		return p
	}
	b.Run("case", func(b *testing.B) {
		for b.Loop() {
			_, err := casefile.Parse("case.yaml", text)
			require.NoError(b, err)
		}
	})
	b.Run("edit", func(b *testing.B) {
		for b.Loop() {
			_, err := c.With("skin.lateral", 1.5)
			require.NoError(b, err)
		}
	})
	b.Run("drawing", func(b *testing.B) {
		for b.Loop() {
			_, err := template.Read(b.Context(), c.TemplateFile(), c.TemplateOptions())
			require.NoError(b, err)
		}
	})
	b.Run("plan", func(b *testing.B) {
		for b.Loop() {
			made(b)
		}
	})
	b.Run("solids", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			p := made(b)
			b.StartTimer()
			_, err := p.Solids(b.Context())
			require.NoError(b, err)
		}
	})
	b.Run("letters", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			p := made(b)
			_, err := p.Solids(b.Context())
			require.NoError(b, err)
			b.StartTimer()
			_, err = p.Lettered(b.Context())
			require.NoError(b, err)
		}
	})
}
