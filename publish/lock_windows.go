package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

func lock(file *os.File) error {
	err := windows.LockFileEx(windows.Handle(file.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY,
		0, 1, 0, new(windows.Overlapped))
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return errBusy
	}
	return err
}

// unlockPath lets the file go first: an open one cannot be removed, nor can it if
// another run has opened it since.
func unlockPath(file *os.File) {
	file.Close()
	os.Remove(file.Name())
}
