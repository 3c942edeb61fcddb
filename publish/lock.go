package publish

import (
	"errors"
	"os"
)

var errBusy = errors.New("another run is writing into this folder; let it finish, or choose another folder")

// lockPath makes the file and locks it until the process ends, however it ends,
// or unlockPath is called. errBusy says that another one holds it.
func lockPath(path string) (*os.File, error) {
	for {
		file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return nil, err
		}
		if err := lock(file); err != nil {
			file.Close()
			return nil, err
		}
		// The one who held it may have removed it meanwhile.
		mine, err := file.Stat()
		if err == nil {
			if there, err := os.Stat(path); err == nil && os.SameFile(mine, there) {
				return file, nil
			}
		}
		file.Close()
	}
}
