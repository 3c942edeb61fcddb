package casefile

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "renew testdata/cases/faulty.txt")

const cases = "../../testdata/cases"

func TestFaultyCaseIsToldEveryFaultAtItsPlace(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(cases, "faulty.yaml"))
	require.NoError(t, err)
	_, err = Parse("faulty.yaml", data)
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
	c, err := Read(filepath.Join(cases, "everything.yaml"))
	require.NoError(t, err)
	given := map[*key]map[string]bool{}
	var collect func(k *key, e *Entry)
	collect = func(k *key, e *Entry) {
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
		for _, item := range e.Items {
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
