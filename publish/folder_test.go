package publish

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// set is the files of a set, by name.
type set map[string]string

// publishSet writes a set to the folder with a listing.
func publishSet(to *Folder, files set, makes ...string) error {
	defer to.Discard()
	for name, content := range files {
		if err := WriteBytes(context.Background(), to, name, []byte(content)); err != nil {
			return err
		}
	}
	_, err := to.Conclude(context.Background(), listing(makes...))
	return err
}

// mustPublish writes a set to the folder, and checks that it is there.
func mustPublish(t testing.TB, dir string, files set, makes ...string) {
	t.Helper()
	to, err := NewFolder(dir)
	require.NoError(t, err)
	require.NoError(t, publishSet(to, files, makes...))
	requireSet(t, dir, files)
}

// requireSet fails unless the folder's list names exactly these files, and they
// have these contents.
func requireSet(t testing.TB, dir string, files set) {
	t.Helper()
	found := contents(t, dir)
	var record struct{ Files []File }
	require.NoError(t, json.Unmarshal([]byte(found["list.json"]), &record), found)
	require.Len(t, record.Files, len(files))
	for _, f := range record.Files {
		require.Equal(t, files[f.Name], found[f.Name], f.Name)
		require.True(t, holds(filepath.Join(dir, f.Name), f.SHA256), f.Name)
	}
}

func write(t testing.TB, content string, path ...string) {
	t.Helper()
	name := filepath.Join(path...)
	require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
	require.NoError(t, os.WriteFile(name, []byte(content), 0o644))
}

func TestOnlyWhatAnEarlierSetMadeGoesWithIt(t *testing.T) {
	dir := t.TempDir()
	makes := []string{"units/*.stl", "framework.stl"}
	mustPublish(t, dir, set{"units/base.stl": "base", "units/tragus.stl": "tragus", "units/helix.stl": "helix", "framework.stl": "f"}, makes...)
	write(t, "mine", dir, "units", "mine.stl")
	write(t, "helix, carved by hand", dir, "units", "helix.stl")
	mustPublish(t, dir, set{"units/base.stl": "new"}, makes...)
	assert.Equal(t, set{"units/base.stl": "new", "units/mine.stl": "mine", "units/helix.stl": "helix, carved by hand",
		"list.json": contents(t, dir)["list.json"]}, set(contents(t, dir)))
}

func TestARecordThatNamesTheUsersFilesRemovesNone(t *testing.T) {
	dir := t.TempDir()
	outside := t.TempDir()
	write(t, "secret", outside, "x.stl")
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "linked")))
	users := set{"template.svg": "drawing", "case.yaml": "case", "units/deep/x.stl": "x"}
	var forged []File
	for name, content := range users {
		write(t, content, dir, name)
	}
	for _, name := range []string{"template.svg", "case.yaml", "units/deep/x.stl", "../x.stl", filepath.Join(outside, "x.stl"), "linked/x.stl", "units/../case.yaml"} {
		sum := sumOf(t, filepath.Join(dir, name))
		forged = append(forged, File{Name: name, SHA256: sum})
	}
	record, err := json.Marshal(map[string]any{"files": forged})
	require.NoError(t, err)
	write(t, string(record), dir, "list.json")
	mustPublish(t, dir, set{"framework.stl": "f"}, "framework.stl", "units/*.stl", "units/*/case.yaml")
	found := contents(t, dir)
	for name, content := range users {
		assert.Equal(t, content, found[name], name)
	}
	assert.Equal(t, "secret", contents(t, outside)["x.stl"])

	// Even where the names are such as are made: a folder that is a link is not
	// gone into.
	write(t, string(record), dir, "list.json")
	to, err := NewFolder(dir)
	require.NoError(t, err)
	require.ErrorContains(t, publishSet(to, set{"framework.stl": "g"}, "linked/*.stl"), "linked is a link to another "+
		"folder")
	assert.Equal(t, "secret", contents(t, outside)["x.stl"])
}

func sumOf(t *testing.T, path string) string {
	t.Helper()
	memory := new(Memory)
	data, _ := os.ReadFile(path)
	require.NoError(t, WriteBytes(context.Background(), memory, "x", data))
	files, err := memory.Conclude(context.Background(), nil)
	require.NoError(t, err)
	return files[0].SHA256
}

func TestLinksAreNotFollowed(t *testing.T) {
	dir, outside := t.TempDir(), t.TempDir()
	write(t, "theirs", outside, "helix.stl")
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "units")))
	to, err := NewFolder(dir)
	require.NoError(t, err)
	err = publishSet(to, set{"units/helix.stl": "ours"})
	require.ErrorContains(t, err, "units is a link to another folder")
	_, err = NewFolder(dir, "units/*.stl")
	require.ErrorContains(t, err, "units is a link to another folder")
	assert.Equal(t, map[string]string{"helix.stl": "theirs"}, contents(t, outside))

	require.NoError(t, os.Remove(filepath.Join(dir, "units")))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "units"), 0o755))
	require.NoError(t, os.Symlink(filepath.Join(outside, "helix.stl"), filepath.Join(dir, "units", "helix.stl")))
	mustPublish(t, dir, set{"units/helix.stl": "ours"})
	assert.Equal(t, map[string]string{"helix.stl": "theirs"}, contents(t, outside), "the link was replaced, not what it "+
		"points to")
}

func TestWhatIsInTheWayIsSaidBeforeAnythingIsReplaced(t *testing.T) {
	old := set{"a.stl": "a", "units/b.stl": "b", "views/c.png": "c"}
	fresh := set{"a.stl": "A", "units/b.stl": "B", "views/c.png": "C"}
	for _, c := range []struct {
		name  string
		block func(t *testing.T, dir string)
		says  string
	}{
		{"a file for a folder", func(t *testing.T, dir string) {
			require.NoError(t, os.RemoveAll(filepath.Join(dir, "views")))
			write(t, "mine", dir, "views")
		}, "views is a file where a folder is needed; move it away"},
		{"a folder for a file", func(t *testing.T, dir string) {
			require.NoError(t, os.Remove(filepath.Join(dir, "views", "c.png")))
			write(t, "mine", dir, "views", "c.png", "mine")
		}, "c.png is a folder where a file is to be written; move it away"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			mustPublish(t, dir, old)
			c.block(t, dir)
			before := contents(t, dir)
			to, err := NewFolder(dir)
			require.NoError(t, err)
			require.ErrorContains(t, publishSet(to, fresh), c.says)
			assert.Equal(t, before, contents(t, dir))
			_, err = NewFolder(dir, "a.stl", "units/*.stl", "views/c.png")
			require.ErrorContains(t, err, c.says, "before any work is done, where names are known")
			assert.Equal(t, before, contents(t, dir))
		})
	}
	t.Run("a folder that takes no files", func(t *testing.T) {
		dir := t.TempDir()
		mustPublish(t, dir, old)
		before := contents(t, dir)
		readOnly := errors.New("read-only")
		changes := 0
		to, err := newFolder(dir, disk{before: func(change, path string) error {
			if change == "probe" && filepath.Base(path) == "views" {
				return readOnly
			}
			if change != "probe" {
				changes++
			}
			return nil
		}})
		require.NoError(t, err)
		require.ErrorIs(t, publishSet(to, fresh), readOnly)
		assert.Zero(t, changes, "found before anything was moved")
		assert.Equal(t, before, contents(t, dir))
		_, err = newFolder(dir, to.disk, "a.stl", "views/*.png")
		require.ErrorIs(t, err, readOnly)
		assert.Equal(t, before, contents(t, dir))
	})
	blocked := filepath.Join(t.TempDir(), "file")
	write(t, "", blocked)
	_, err := NewFolder(filepath.Join(blocked, "out"))
	assert.ErrorContains(t, err, "cannot make the output folder")
	_, err = NewFolder(filepath.Join(t.TempDir(), strings.Repeat("x", 300), "out"))
	assert.ErrorContains(t, err, "cannot make the output folder")
}

func TestOneRunAtATimeWritesToAFolder(t *testing.T) {
	dir := t.TempDir()
	first, err := NewFolder(dir)
	require.NoError(t, err)
	require.NoError(t, WriteBytes(context.Background(), first, "x", []byte("first")))
	_, err = NewFolder(dir)
	require.ErrorContains(t, err, "another run is writing into this folder")
	_, err = first.Conclude(context.Background(), nil)
	require.NoError(t, err, "the one that lives was left alone")
	assert.Equal(t, map[string]string{"x": "first"}, contents(t, dir))
	mustPublish(t, dir, set{"x": "second"})
}

func TestWhatDeadRunsLeftGoesAtTheNextRun(t *testing.T) {
	dir := t.TempDir()
	write(t, "half", dir, stagePrefix+"123", freshFolder, "units", "helix.stl")
	write(t, "", dir, lockFile)
	write(t, "", dir, probeFile)
	write(t, "the user's", dir, stagePrefix+"drawings", "a.svg")
	to, err := NewFolder(dir)
	require.NoError(t, err)
	to.Discard()
	assert.NoDirExists(t, filepath.Join(dir, stagePrefix+"123"))
	assert.FileExists(t, filepath.Join(dir, stagePrefix+"drawings", "a.svg"), "a name that no run gives")
	mustPublish(t, dir, set{"x": "x"})
	assert.NoFileExists(t, filepath.Join(dir, probeFile))
	assert.NoFileExists(t, filepath.Join(dir, lockFile))
}

// publishOne publishes one file.
func publishOne(path string, write func(io.Writer) error, check func([]byte) error) error {
	folder, err := NewFolder(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer folder.Discard()
	if err := folder.Write(context.Background(), filepath.Base(path), write, check); err != nil {
		return err
	}
	_, err = folder.Conclude(context.Background(), nil)
	return err
}

func TestAFileThatIsRefusedLeavesTheOldOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), "case.yaml")
	write(t, "old", path)
	content := func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }
	refuse := func([]byte) error { return errors.New("not as meant") }
	require.ErrorContains(t, publishOne(path, content, refuse), path+": not written: not as meant")
	assert.Equal(t, map[string]string{"case.yaml": "old"}, contents(t, filepath.Dir(path)))
	require.NoError(t, publishOne(path, content, nil))
	assert.Equal(t, map[string]string{"case.yaml": "new"}, contents(t, filepath.Dir(path)))
}
