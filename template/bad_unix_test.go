//go:build unix

package template

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe that nobody writes to and a device without end are not waited for.
func TestPipesAndDevicesAreNoDrawings(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "ear.svg")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for path, found := range map[string]string{pipe: "is a named pipe", "/dev/zero": "is a device"} {
		_, err := Read(t.Context(), path, Options{})
		assert.ErrorIs(t, err, NotSVG)
		assert.ErrorContains(t, err, path+": "+found+", a file is expected; give the SVG file itself")
		_, err = Inspect(t.Context(), path)
		assert.ErrorIs(t, err, NotSVG)
	}
}
