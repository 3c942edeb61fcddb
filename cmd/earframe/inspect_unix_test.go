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
		pipe: "a named pipe, a file is expected", drawn: "is a named pipe, a file is expected", os.DevNull: "a device, a " +
			"file is expected",
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

// A case, and the template it names, are files too, whoever asks for them.
func TestNoCaseAndNoTemplateIsWaitedFor(t *testing.T) {
	dir := t.TempDir()
	pipe, file := filepath.Join(dir, "pipe"), filepath.Join(dir, "case.yaml")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.svg"), 0o600))
	for _, subcommand := range []string{"build", "pocket", "practice"} {
		for template, says := range map[string]string{
			"pipe.svg": "pipe.svg: is a named pipe, a file is expected", "/dev/zero": "/dev/zero: is a device, a file is " +
				"expected",
			".": ": is a folder, a file is expected",
		} {
			require.NoError(t, os.WriteFile(file, []byte("case: a\nside: left\ntemplate: {file: "+template+"}\n"), 0o600))
			assert.Contains(t, refusedAtOnce(t, subcommand, file), says, subcommand)
		}
		assert.Contains(t, refusedAtOnce(t, subcommand, pipe), pipe+": a named pipe, a file is expected")
		assert.Contains(t, refusedAtOnce(t, subcommand, "/dev/zero"), "/dev/zero: a device, a file is expected")
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 3, "nothing was written")
}

// refusedAtOnce runs the command, which is to end by itself as one does that was
// given bad input, and returns its complaint.
func refusedAtOnce(t *testing.T, args ...string) string {
	t.Helper()
	ended := make(chan result, 1)
	go func() { ended <- earframe(t, args...) }()
	select {
	case r := <-ended:
		assert.Equal(t, exitBad, r.code)
		return r.err
	case <-time.After(time.Minute):
		t.Fatalf("%v: waited for", args)
		return ""
	}
}
