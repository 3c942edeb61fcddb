package units

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/parts"
)

func FuzzParseCase(f *testing.F) {
	text, err := casefile.New("my-case", nil)
	require.NoError(f, err)
	f.Add(text)
	files, err := filepath.Glob(filepath.Join(cases, "*.yaml"))
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, file := range append(files, "demo/good/case.yaml") {
		data, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(data)
	}
	for _, seed := range []string{
		"case: a\nside: right\nunits: [{part: helix, rise: [{at: 0, height: -1}, {at: 1, height: 3}], ribs: 8}]\n",
		"case: a\nunits:\n- part: base\n  recesses:\n  - {outline: scapha, depth: 1}\n", "case: &a [*a]\n", "? a\n: " +
			"b\n", "a: |\n x\n", "- - - -\n", "{{{{", "case: 'x\n", "case: a\nunits:\n-",
	} {
		f.Add([]byte(seed))
	}
	var plates []template.Outline
	for _, name := range append(parts.Names(), Scapha) {
		plates = append(plates, template.Outline{
			ID: name, Part: name,
			Outer: template.Ring{{0, 0}, {9, 0}, {9, 9}, {0, 9}}, Holes: []template.Ring{{{1, 1}, {1, 2}, {2, 2}}},
		})
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := casefile.Parse("fuzz.yaml", data)
		if err != nil {
			var faults casefile.Errors
			if !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("an error that is not located: %v", err)
			}
			return
		}
		// Plates with a hole have no centreline to look for, so that a plan of
		// them is quick.
		p := newPlanner(c)
		require.NoError(t, p.planUnits(t.Context(), plates))
		if len(p.Units) == 0 && p.Err() == nil {
			t.Fatal("a plan of nothing without a fault")
		}
	})
}
