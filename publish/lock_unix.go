//go:build !windows

package publish

import (
	"errors"
	"os"
	"syscall"
)

func lock(file *os.File) error {
	err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return errBusy
	}
	return err
}

// unlockPath removes the file while it is locked, so that nobody else has it yet.
func unlockPath(file *os.File) {
	os.Remove(file.Name())
	file.Close()
}
