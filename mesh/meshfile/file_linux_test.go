package meshfile

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSaveOnAFullDisk(t *testing.T) {
	folder := t.TempDir()
	if err := syscall.Mount("earframe-test", folder, "tmpfs", 0, "size=64k"); err != nil {
		t.Skip("needs the right to mount a small file system: ", err)
	}
	defer syscall.Unmount(folder, 0)
	document := Document{Objects: []Object{{Name: "ball", Mesh: rounded(solids.Ball(mgl64.Vec3{}, 5, 6))}}}
	path := filepath.Join(folder, "x.stl")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	err := Save(context.Background(), path, document)
	require.ErrorIs(t, err, syscall.ENOSPC)
	assert.ErrorContains(t, err, path)
	assert.Equal(t, []string{"x.stl"}, only(t, folder))
}
