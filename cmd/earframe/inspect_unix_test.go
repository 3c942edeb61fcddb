//go:build unix

package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestInspectWaitsForNoPipeAndNoDevice(t *testing.T) {
	dir := t.TempDir()
	pipe, drawn := filepath.Join(dir, "pipe"), filepath.Join(dir, "pipe.svg")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	require.NoError(t, syscall.Mkfifo(drawn, 0o600))
	for path, says := range map[string]string{
		pipe: "a named pipe, a file is expected", drawn: "is a named pipe, a file is expected", os.DevNull: "a device, a file is expected",
		"/dev/zero": "a device, a file is expected", dir: "a folder, a file is expected",
	} {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		var complaints strings.Builder
		c := command(ctx, "inspect", path)
		c.Stderr = &complaints
		assert.Error(t, c.Run())
		assert.NoError(t, ctx.Err(), "%s was waited for", path)
		cancel()
		assert.Equal(t, exitBad, c.ProcessState.ExitCode())
		assert.Contains(t, complaints.String(), path+": "+says)
	}
}
