package engine_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"earframe/engine"
	"earframe/publish"
	"earframe/report/record"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fineAnswer answers for the demo at a step that is quick to build.
func fineAnswer(t testing.TB) *engine.Answer {
	t.Helper()
	e := engine.New(0)
	plan, err := e.Plan(t.Context(), demoCase(t))
	require.NoError(t, err)
	answer, err := e.Answer(t.Context(), plan.WithStep(0.5, "test"), engine.Fine, nil)
	require.NoError(t, err)
	return answer
}

func TestTheSameSetGoesToAFolderMemoryAndAZip(t *testing.T) {
	answer := fineAnswer(t)
	var memory publish.Memory
	taken, err := answer.Write(t.Context(), &memory, nil)
	require.NoError(t, err)
	want := memory.Contents()
	require.Len(t, want, len(taken.Files)+1)
	require.Contains(t, want, engine.RecordName)
	var stored record.Build
	require.NoError(t, json.Unmarshal(want[engine.RecordName], &stored))
	assert.Equal(t, taken.Files, stored.Files)
	assert.Equal(t, engine.Caution, stored.Caution)

	dir := filepath.Join(t.TempDir(), "out")
	folder, err := publish.NewFolder(dir)
	require.NoError(t, err)
	_, err = answer.Write(t.Context(), folder, nil)
	require.NoError(t, err)
	for name, content := range want {
		onDisk, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(content, onDisk), name)
	}

	var packed bytes.Buffer
	_, err = answer.Write(t.Context(), publish.NewZip(&packed), nil)
	require.NoError(t, err)
	archive, err := zip.NewReader(bytes.NewReader(packed.Bytes()), int64(packed.Len()))
	require.NoError(t, err)
	var names []string
	for _, f := range archive.File {
		names = append(names, f.Name)
		r, err := f.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(want[f.Name], content), f.Name)
	}
	assert.ElementsMatch(t, slices.Collect(maps.Keys(want)), names)
}

func TestStoppingWhileWritingLeavesNothing(t *testing.T) {
	answer := fineAnswer(t)
	out := filepath.Join(t.TempDir(), "out")
	folder, err := publish.NewFolder(out)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	_, err = answer.Write(ctx, folder, func(int, int) { cancel() })
	assert.ErrorIs(t, err, context.Canceled)
	folder.Discard()
	assert.NoDirExists(t, out)
}
