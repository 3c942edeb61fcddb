package units

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
)

var update = flag.Bool("update", false, "renew testdata/cases/faulty.txt")

const cases = "../testdata/cases"

func TestFaultyCaseIsToldEveryFaultAtItsPlace(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(cases, "faulty.yaml"))
	require.NoError(t, err)
	_, err = ParseCase("faulty.yaml", data)
	require.Error(t, err)
	golden := filepath.Join(cases, "faulty.txt")
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(err.Error()+"\n"), 0o644))
	}
	want, readErr := os.ReadFile(golden)
	require.NoError(t, readErr)
	assert.Equal(t, string(want), err.Error()+"\n")
}

func TestEverythingGivesEveryKey(t *testing.T) {
	c, err := ReadCase(filepath.Join(cases, "everything.yaml"))
	require.NoError(t, err)
	given := map[*key]map[string]bool{}
	var collect func(k *key, e *entry)
	collect = func(k *key, e *entry) {
		if e == nil {
			return
		}
		if given[k] == nil {
			given[k] = map[string]bool{}
		}
		for name, field := range e.fields {
			given[k][name] = true
			if sub := k.named(name); sub != nil {
				collect(sub, field)
			}
		}
		for _, item := range e.items {
			if k.item != nil {
				collect(k.item, item)
			}
			if k.other != nil {
				collect(k.other.item, item)
			}
		}
	}
	root := c.root.key
	collect(root, c.root)
	var check func(k *key, path string)
	check = func(k *key, path string) {
		for _, sub := range k.keys {
			assert.True(t, given[k][sub.name], "testdata/cases/everything.yaml gives %s", join(path, sub.name))
			check(sub, join(path, sub.name))
		}
		if k.item != nil {
			check(k.item, path+"[]")
		}
	}
	check(root, "")
}

func TestOneTemplateServesBothEars(t *testing.T) {
	p, err := Load(t.Context(), filepath.Join(cases, "everything.yaml"))
	require.NoError(t, err)
	assert.NotNil(t, p.Unit("rim").Centreline)
	assert.Nil(t, p.Unit("tragus"))
	require.NotNil(t, p.Engraving)
	assert.Equal(t, []string{"EVERYTHING"}, p.Engraving.Lines)

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
	require.NoError(t, os.WriteFile(path, NewCase("my-case"), 0o644))
	_, err := Load(t.Context(), path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	var asked CaseErrors
	require.ErrorAs(t, err, &asked)
	assert.Equal(t, "template.file", asked[0].Key)
	assert.ErrorContains(t, err, "case.yaml:13:9: template.file: no such file: template.svg; looked for "+filepath.Join(dir, "template.svg"))
	require.NoError(t, os.WriteFile(path, []byte("case: a\n"), 0o644))
	_, err = Load(t.Context(), path)
	assert.ErrorContains(t, err, "template.svg, which is looked for where nothing else is given")
	require.NoError(t, os.WriteFile(path, NewCase("my-case"), 0o644))
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
		_, err = p.Solids()
		assert.NoError(t, err, name)
	}
}
