package publish

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAFullDiskLeavesTheOldSet(t *testing.T) {
	mount := t.TempDir()
	if err := syscall.Mount("earframe-test", mount, "tmpfs", 0, "size=64k"); err != nil {
		t.Skip("needs the right to mount a small file system: ", err)
	}
	defer syscall.Unmount(mount, 0)
	path := filepath.Join(mount, "x.bin")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	folder, err := NewFolder(mount)
	require.NoError(t, err)
	err = WriteBytes(context.Background(), folder, "x.bin", make([]byte, 100_000))
	folder.Discard()
	require.ErrorIs(t, err, syscall.ENOSPC)
	assert.ErrorContains(t, err, path)
	assert.Equal(t, map[string]string{"x.bin": "old"}, contents(t, mount))
}
