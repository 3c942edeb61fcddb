package units

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units/casefile"
)

const cases = "../testdata/cases"

func TestOneTemplateServesBothEars(t *testing.T) {
	p, err := Load(t.Context(), filepath.Join(cases, "everything.yaml"))
	require.NoError(t, err)
	assert.NotNil(t, p.Unit("rim").Centreline)
	assert.Nil(t, p.Unit("tragus"))
	lettered, err := p.Lettered(t.Context())
	require.NoError(t, err)
	require.NotNil(t, lettered.Engraving)
	assert.Equal(t, []string{"EVERYTHING"}, lettered.Engraving.Lines)

	left, err := Load(t.Context(), filepath.Join(cases, "this-ear.yaml"))
	require.NoError(t, err)
	right, err := Load(t.Context(), filepath.Join(cases, "other-ear.yaml"))
	require.NoError(t, err)
	assert.Equal(t, Right, right.Side)
	for _, p := range []*Plan{left, right} {
		for _, f := range p.Findings {
			assert.NotContains(t, f.Message, "the other side")
		}
	}
	assert.InDelta(t, left.Unit("helix").Centreline.Length(), right.Unit("helix").Centreline.Length(), 0.3)
	start, other := left.Unit("helix").Centreline.At(0), right.Unit("helix").Centreline.At(0)
	assert.InDelta(t, 0, start[0]+other[0], 0.3)
	assert.InDelta(t, 0, start[1]-other[1], 0.3)
}

func TestATemplateThatIsMissingOrFaultyIsSaid(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "case.yaml")
	require.NoError(t, os.WriteFile(path, newCase(t), 0o644))
	_, err := Load(t.Context(), path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	var asked casefile.Errors
	require.ErrorAs(t, err, &asked)
	assert.Equal(t, "template.file", asked[0].Key)
	assert.ErrorContains(t, err, "case.yaml: template.file: no such file: template.svg, which is looked for where "+
		"nothing else is given; looked for "+filepath.Join(dir, "template.svg"))
	require.NoError(t, os.WriteFile(path, []byte("case: a\ntemplate: {file: ear.svg}\n"), 0o644))
	_, err = Load(t.Context(), path)
	assert.ErrorContains(t, err, "case.yaml:2:18: template.file: no such file: ear.svg; looked "+
		"for "+filepath.Join(dir, "ear.svg"))
	require.NoError(t, os.WriteFile(path, newCase(t), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "template.svg"), []byte("<svg"), 0o644))
	_, err = Load(t.Context(), path)
	var faults template.Faults
	assert.ErrorAs(t, err, &faults)
}

func TestDrawingsThatNoneOfUsMadeBecomeUnits(t *testing.T) {
	for name, parts := range map[string][]Part{
		"icon-emojione.yaml": {Base, Helix}, "icon-twemoji.yaml": {Base, Helix, Antihelix},
	} {
		p, err := Load(t.Context(), filepath.Join(cases, name))
		require.NoError(t, err, name)
		require.Len(t, p.Units, len(parts), name)
		for i, part := range parts {
			assert.Equal(t, part, p.Units[i].Part, name)
		}
		assert.NotNil(t, p.Unit("helix").Centreline, "%s: the helix is one strip", name)
		_, err = p.Solids(t.Context())
		assert.NoError(t, err, name)
	}
}

func newCase(t *testing.T) []byte {
	text, err := casefile.New("my-case", nil)
	require.NoError(t, err)
	return text
}
