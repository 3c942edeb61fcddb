//go:build unix

package regular

import (
	"net"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadDoesNotWaitForPipesDevicesAndSockets(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	socket := filepath.Join(dir, "socket")
	listener, err := net.Listen("unix", socket)
	require.NoError(t, err)
	defer listener.Close()
	for path, found := range map[string]string{
		pipe: "a named pipe", socket: "a socket", "/dev/zero": "a device", "/dev/tty": "a device",
	} {
		done := make(chan error, 1)
		go func() {
			_, err := Read(path, 1000)
			done <- err
		}()
		select {
		case err := <-done:
			assert.ErrorContains(t, err, path+": "+found+", a file is expected")
		case <-time.After(10 * time.Second):
			t.Fatalf("%s was waited for", path)
		}
	}
}

func TestReadStopsAtTheLimitOfAFileThatIsLongerThanItsSize(t *testing.T) {
	// A file of the system that says it is empty; absent on some systems.
	got, err := Read("/proc/self/maps", 1<<20)
	if err != nil {
		t.Skip(err)
	}
	require.NotEmpty(t, got)
	_, err = Read("/proc/self/maps", 16)
	assert.EqualError(t, err, "/proc/self/maps: more than 16 bytes, at most 16 are expected")
}
