package publish

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The two sets that a run replaces one by the other: files that are replaced, that
// go, that come, in folders that come.
var (
	oldSet = set{"framework.stl": "old framework", "units/base.stl": "old base", "units/tragus.stl": "old tragus"}
	newSet = set{"framework.stl": "new framework", "units/base.stl": "new base", "views/a.png": "new " +
		"view", "depth/map/b.png": "new map"}
	makes = []string{"framework.stl", "units/*.stl", "views/*.png", "depth/map/*.png"}
)

// Environment of the process that publishes newSet, or undoes what was begun, and
// dies before its n-th change of the folder.
const (
	killFolder = "EARFRAME_TEST_KILL_FOLDER"
	killAt     = "EARFRAME_TEST_KILL_AT"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(killFolder); dir != "" {
		left, _ := strconv.Atoi(os.Getenv(killAt))
		to, err := newFolder(dir, disk{before: func(string, string) error {
			if left--; left == 0 {
				process, _ := os.FindProcess(os.Getpid())
				_ = process.Kill() // no deferred call is run
				select {}
			}
			return nil
		}})
		if err == nil {
			err = publishSet(to, newSet, makes...)
		}
		if err != nil {
			os.Stderr.WriteString(err.Error())
			os.Exit(3)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// runKilled runs that process, and reports whether it was killed.
func runKilled(t *testing.T, dir string, at int) bool {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), killFolder+"="+dir, killAt+"="+strconv.Itoa(at))
	said, err := command.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		require.NotEqual(t, 3, exit.ExitCode(), string(said))
		return true
	}
	require.NoError(t, err)
	return false
}

// requireOneSet fails unless one of the sets is there whole and nothing else, and
// reports whether it is the new one.
func requireOneSet(t *testing.T, dir string) bool {
	t.Helper()
	found := contents(t, dir)
	isNew := found["framework.stl"] == newSet["framework.stl"]
	want := oldSet
	if isNew {
		want = newSet
	}
	requireSet(t, dir, want)
	require.Len(t, found, len(want)+len([]string{"list.json", "mine.txt"}))
	require.Equal(t, "the user's", found["mine.txt"])
	return isNew
}

// oldFolderWith makes a folder with the old set and a file of the user's.
func oldFolderWith(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	mustPublish(t, dir, oldSet, makes...)
	write(t, "the user's", dir, "mine.txt")
	return dir
}

func TestAKillAtAnyChangeLeavesOneWholeSet(t *testing.T) {
	killed, torn, wasNew := 0, 0, 0
	for at := 1; ; at++ {
		dir := oldFolderWith(t)
		if !runKilled(t, dir, at) {
			require.True(t, requireOneSet(t, dir))
			break
		}
		killed++
		if contents(t, dir)["framework.stl"] != oldSet["framework.stl"] {
			torn++
		}
		next, err := NewFolder(dir)
		require.NoError(t, err, "at change %d", at)
		next.Discard()
		if requireOneSet(t, dir) {
			wasNew++
		}
	}
	// Without these the test would have looked at nothing.
	assert.Greater(t, killed, 10, "a probe a folder, the journal, folders, two renames a file, the end")
	assert.Greater(t, torn, 5, "killed where the set was torn")
	assert.Zero(t, wasNew, "the last change is the one that makes it stand")
}

func TestAKillWhileUndoingIsUndoneToo(t *testing.T) {
	const amidst = 12 // some files are new by then, some not
	again := 0
	for at := 1; ; at++ {
		dir := oldFolderWith(t)
		require.True(t, runKilled(t, dir, amidst))
		if !runKilled(t, dir, at) {
			require.True(t, requireOneSet(t, dir))
			break
		}
		again++
		next, err := NewFolder(dir)
		require.NoError(t, err)
		next.Discard()
		require.False(t, requireOneSet(t, dir))
	}
	assert.Greater(t, again, 12)
}

func TestAnErrorAtAnyChangeLeavesTheOldSetAtOnce(t *testing.T) {
	broken := errors.New("broken")
	failed := 0
	for at := 1; ; at++ {
		dir := oldFolderWith(t)
		left := at
		to, err := newFolder(dir, disk{before: func(string, string) error {
			if left--; left == 0 {
				return broken
			}
			return nil
		}})
		require.NoError(t, err)
		if err := publishSet(to, newSet, makes...); err == nil {
			require.True(t, requireOneSet(t, dir))
			break
		} else {
			require.ErrorIs(t, err, broken)
			assert.NotContains(t, err.Error(), stagePrefix, "a folder that the user does not know")
		}
		failed++
		require.False(t, requireOneSet(t, dir))
	}
	assert.Greater(t, failed, 10)
}

func TestWhereNothingCanBePutBackEitherTheNextRunDoes(t *testing.T) {
	dir := oldFolderWith(t)
	broken := errors.New("broken")
	left := 12
	to, err := newFolder(dir, disk{before: func(string, string) error {
		if left--; left <= 0 {
			return broken
		}
		return nil
	}})
	require.NoError(t, err)
	err = publishSet(to, newSet, makes...)
	require.ErrorContains(t, err, "nor can those be put back")
	next, err := NewFolder(dir)
	require.NoError(t, err)
	next.Discard()
	require.False(t, requireOneSet(t, dir))
}

func TestWhatTheUserChangedAfterAKillIsLeft(t *testing.T) {
	dir := oldFolderWith(t)
	for at := 5; ; at++ {
		require.True(t, runKilled(t, dir, at))
		if contents(t, dir)["framework.stl"] == newSet["framework.stl"] {
			break
		}
	}
	write(t, "carved by hand", dir, "framework.stl")
	next, err := NewFolder(dir)
	require.NoError(t, err)
	next.Discard()
	assert.Equal(t, "carved by hand", contents(t, dir)["framework.stl"])
}
