package regular

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadGivesAFileUpToTheLimit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	for _, size := range []int{0, 1, 511, 512, 513, 1000} {
		content := make([]byte, size)
		for i := range content {
			content[i] = byte(i)
		}
		require.NoError(t, os.WriteFile(path, content, 0o644))
		got, err := Read(path, 1000)
		require.NoError(t, err)
		assert.Equal(t, content, got)
	}
	require.NoError(t, os.WriteFile(path, make([]byte, 1001), 0o644))
	_, err := Read(path, 1000)
	assert.EqualError(t, err, path+": 1001 bytes, at most 1000 are expected")
}

func TestReadRefusesAFolderAndWhatIsNotThere(t *testing.T) {
	dir := t.TempDir()
	_, err := Read(dir, 1000)
	assert.EqualError(t, err, dir+": a folder, a file is expected. Name a file; save into one what comes from elsewhere")
	missing := filepath.Join(dir, "missing")
	_, err = Read(missing, 1000)
	assert.EqualError(t, err, missing+": no such file")
	assert.ErrorIs(t, err, fs.ErrNotExist)
	var said *Error
	require.ErrorAs(t, err, &said)
	assert.Equal(t, missing, said.Path)
}
