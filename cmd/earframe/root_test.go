package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asCommand in the environment makes the test's program the command itself.
const asCommand = "EARFRAME_TEST_AS_COMMAND"

func TestMain(m *testing.M) {
	if os.Getenv(asCommand) != "" {
		main()
	}
	os.Exit(m.Run())
}

// command returns the command as a process of its own, killed when the context
// ends.
func command(ctx context.Context, args ...string) *exec.Cmd {
	c := exec.CommandContext(ctx, os.Args[0], args...)
	c.Env = append(os.Environ(), asCommand+"=1")
	return c
}

// unwritable is an output that takes so many bytes and then no more.
type unwritable struct{ left int }

func (u *unwritable) Write(p []byte) (int, error) {
	if u.left -= len(p); u.left < 0 {
		return 0, syscall.ENOSPC
	}
	return len(p), nil
}

func TestWordsThatReachNobodyAreExitCodeTwo(t *testing.T) {
	mesh := filepath.Join("..", "..", "testdata", "meshes", "binary.stl")
	for _, args := range [][]string{{"inspect", mesh}, {"inspect", "--json", mesh}, {"--help"}, {"build", "--help"}, {}} {
		for _, room := range []int{0, 30} {
			var complaints bytes.Buffer
			code := run(context.Background(), args, &unwritable{room}, &complaints)
			assert.Equal(t, exitBad, code, args)
			assert.Contains(t, complaints.String(), "could not be written to the standard output: no space left")
		}
		assert.Equal(t, exitGood, earframe(t, args...).code, "%v, where it can be written", args)
	}
}

func TestAReaderThatGoesAwayLeavesNoPassingFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mine")
	read, write, err := os.Pipe()
	require.NoError(t, err)
	require.NoError(t, read.Close())
	var complaints strings.Builder
	c := command(context.Background(), "new", dir)
	c.Stdout, c.Stderr = write, &complaints
	err = c.Run()
	write.Close()
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit)
	assert.Equal(t, exitBad, exit.ExitCode(), complaints.String())
	assert.Contains(t, complaints.String(), "pipe")
	assert.Equal(t, []string{"case.schema.json", "case.yaml", "template.svg"}, files(t, dir), "whole, and nothing else")
}
