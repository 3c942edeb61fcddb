package publish

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// contents returns the files below a folder, by name with slashes.
func contents(t testing.TB, dir string) map[string]string {
	t.Helper()
	found := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		found[filepath.ToSlash(name)] = string(data)
		return err
	})
	require.NoError(t, err)
	return found
}

// listing is the record of tests.
func listing(makes ...string) *Record {
	return &Record{Name: "list.json", Makes: makes, Content: func(files []File) ([]byte, error) {
		return json.Marshal(map[string]any{"files": files})
	}}
}

// eachPlace runs a test for every kind of place; shown returns what is seen there
// by others.
func eachPlace(t *testing.T, test func(t *testing.T, to Place, shown func() map[string]string)) {
	t.Run("folder", func(t *testing.T) {
		dir := filepath.Join(t.TempDir(), "new", "folder")
		to, err := NewFolder(dir)
		require.NoError(t, err)
		test(t, to, func() map[string]string {
			found := map[string]string{}
			for name, content := range contents(t, filepath.Dir(filepath.Dir(dir))) {
				if rest, err := filepath.Rel("new/folder", name); err == nil && rest[0] != '.' {
					found[filepath.ToSlash(rest)] = content
				}
			}
			return found
		})
		to.Discard()
		if !exists(filepath.Join(dir, "list.json")) {
			assert.NoDirExists(t, filepath.Dir(dir), "folders made for nothing go")
		}
	})
	t.Run("memory", func(t *testing.T) {
		to := new(Memory)
		test(t, to, func() map[string]string {
			found := map[string]string{}
			for name, content := range to.Contents() {
				found[name] = string(content)
			}
			return found
		})
	})
	t.Run("zip", func(t *testing.T) {
		var file bytes.Buffer
		test(t, NewZip(&file), func() map[string]string {
			found := map[string]string{}
			if file.Len() == 0 {
				return found
			}
			archive, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
			require.NoError(t, err)
			for _, entry := range archive.File {
				content, err := fs.ReadFile(archive, entry.Name)
				require.NoError(t, err)
				found[entry.Name] = string(content)
			}
			return found
		})
	})
}

func TestASetIsSeenWholeOnceItIsConcluded(t *testing.T) {
	eachPlace(t, func(t *testing.T, to Place, shown func() map[string]string) {
		ctx := context.Background()
		var group sync.WaitGroup
		for i := range 8 {
			group.Go(func() {
				assert.NoError(t, WriteBytes(ctx, to, fmt.Sprintf("units/%d.stl", i), []byte{byte('a' + i)}))
			})
		}
		group.Wait()
		require.NoError(t, WriteBytes(ctx, to, "abc.txt", []byte("abc")))
		assert.Empty(t, shown(), "nothing before its time")
		files, err := to.Conclude(ctx, listing())
		require.NoError(t, err)
		require.Len(t, files, 9)
		// The digest of "abc" is the example of FIPS 180-4 (NIST, example values for SHA-256).
		assert.Equal(t, File{"abc.txt", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}, files[0])
		assert.Equal(t, "units/7.stl", files[8].Name, "by name")
		seen := shown()
		assert.Len(t, seen, 10)
		assert.Equal(t, "h", seen["units/7.stl"])
		var record struct{ Files []File }
		require.NoError(t, json.Unmarshal([]byte(seen["list.json"]), &record))
		assert.Equal(t, files, record.Files)
		assert.Error(t, WriteBytes(ctx, to, "late.txt", nil))
		_, err = to.Conclude(ctx, nil)
		assert.Error(t, err)
		to.Discard()
		assert.Len(t, shown(), 10, "what is concluded is not discarded")
	})
}

func TestWhatCannotBeWrittenIsNotInTheSet(t *testing.T) {
	full := errors.New("full")
	eachPlace(t, func(t *testing.T, to Place, shown func() map[string]string) {
		ctx := context.Background()
		half := func(w io.Writer) error { io.WriteString(w, "half"); return full }
		err := to.Write(ctx, "x/y.bin", half, nil)
		require.ErrorIs(t, err, full)
		assert.ErrorContains(t, err, "y.bin: not written: ")
		whole := func(w io.Writer) error { _, err := io.WriteString(w, "whole"); return err }
		refuse := func(data []byte) error { return fmt.Errorf("read back as %s", data) }
		require.ErrorContains(t, to.Write(ctx, "x/y.bin", whole, refuse), "read back as whole")
		ended, cancel := context.WithCancel(ctx)
		endedWhile := func(w io.Writer) error { cancel(); return whole(w) }
		require.ErrorIs(t, to.Write(ended, "x/y.bin", endedWhile, nil), context.Canceled)
		for _, name := range []string{"", ".", "/x", "../x", "x/../../y", `x//y`} {
			assert.ErrorContains(t, to.Write(ctx, name, whole, nil), "no name within the place", name)
		}
		require.NoError(t, to.Write(ctx, "x/y.bin", whole, nil), "once it can be")
		require.ErrorContains(t, to.Write(ctx, "X/Y.bin", whole, nil), "x/y.bin is written already")
		files, err := to.Conclude(ctx, listing())
		require.NoError(t, err)
		require.Len(t, files, 1)
		assert.EqualValues(t, len("whole"), files[0].Bytes)
		assert.Equal(t, "whole", shown()["x/y.bin"])
	})
}

func TestWhatIsDiscardedIsNeverSeen(t *testing.T) {
	eachPlace(t, func(t *testing.T, to Place, shown func() map[string]string) {
		ctx := context.Background()
		require.NoError(t, WriteBytes(ctx, to, "x", []byte("x")))
		to.Discard()
		to.Discard()
		assert.Error(t, WriteBytes(ctx, to, "y", nil))
		_, err := to.Conclude(ctx, listing())
		assert.Error(t, err)
		assert.Empty(t, shown())
	})
	eachPlace(t, func(t *testing.T, to Place, shown func() map[string]string) {
		ctx, cancel := context.WithCancel(context.Background())
		require.NoError(t, WriteBytes(ctx, to, "x", []byte("x")))
		cancel()
		_, err := to.Conclude(ctx, nil)
		assert.ErrorIs(t, err, context.Canceled)
		assert.Empty(t, shown())
	})
}

func TestAZipHasItsEntriesInOrderAndAlwaysTheSameBytes(t *testing.T) {
	names := []string{"b/2.stl", "a.txt", "b/1.stl", "c"}
	var first []byte
	for turn := range len(names) {
		var file bytes.Buffer
		to := NewZip(&file)
		for i := range names {
			name := names[(i+turn)%len(names)]
			require.NoError(t, WriteBytes(context.Background(), to, name, []byte(name)))
		}
		_, err := to.Conclude(context.Background(), listing())
		require.NoError(t, err)
		if turn == 0 {
			first = file.Bytes()
		}
		assert.True(t, bytes.Equal(first, file.Bytes()))
	}
	archive, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	require.NoError(t, err)
	var order []string
	for _, entry := range archive.File {
		order = append(order, entry.Name)
		assert.Equal(t, time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC), entry.Modified.UTC())
	}
	assert.Equal(t, []string{"a.txt", "b/1.stl", "b/2.stl", "c", "list.json"}, order)
	full := errors.New("full")
	to := NewZip(failing{full})
	require.NoError(t, WriteBytes(context.Background(), to, "a", nil))
	_, err = to.Conclude(context.Background(), nil)
	assert.ErrorIs(t, err, full)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
