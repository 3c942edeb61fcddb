package casefile

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"earframe/internal/regular"
)

// ChangedError says that a case file is no longer what was read, or is in the way
// of a case that was never read from it. Nothing was written.
type ChangedError struct {
	File  string
	Found string // what is there now, in words
}

// Error says what is there and what to do.
func (e *ChangedError) Error() string {
	return fmt.Sprintf("%s: %s; it was not written over. Read it again and change that, or save under another "+
		"name", e.File, e.Found)
}

// newFileMode is that of a case file which was not there before.
const newFileMode = 0o644

// Save writes the case to its file, all of it or nothing, and returns the case that
// now stands there. The error is a *ChangedError if the file is not as it was when
// the case was read; a case from memory is saved where no file is. ctx ends the
// work before anything is written.
func (c *Case) Save(ctx context.Context) (*Case, error) {
	path, mode := c.File, fs.FileMode(newFileMode)
	if c.read != nil {
		// A link stays one: what it points to is written.
		real, err := filepath.EvalSymlinks(path)
		if err != nil {
			return nil, c.unchanged(err)
		}
		info, err := os.Stat(real)
		if err != nil {
			return nil, c.unchanged(err)
		}
		path, mode = real, info.Mode().Perm()
	}
	if err := c.stands(path); err != nil {
		return nil, err
	}
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.part")
	if err != nil {
		return nil, err
	}
	defer os.Remove(file.Name()) // does nothing once it has its name
	_, err = file.Write(c.text)
	if err = errors.Join(err, file.Chmod(mode), file.Sync(), file.Close()); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := c.stands(path); err != nil { // once more: writing took its time
		return nil, err
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return nil, err
	}
	if folder, err := os.Open(filepath.Dir(path)); err == nil {
		_ = folder.Sync() // not every system can; the file is whole in any case
		folder.Close()
	}
	saved, digest := *c, sha256.Sum256(c.text)
	saved.read = &digest
	return &saved, nil
}

// stands returns a *ChangedError unless the file is what was read.
func (c *Case) stands(path string) error {
	data, err := regular.Read(path, maxCaseBytes)
	switch {
	case c.read == nil && errors.Is(err, fs.ErrNotExist):
		return nil
	case c.read == nil && err == nil:
		return &ChangedError{c.File, "there is a file of that name already"}
	case err != nil:
		return c.unchanged(err)
	case sha256.Sum256(data) != *c.read:
		return &ChangedError{c.File, "the file was changed since it was read"}
	}
	return nil
}

// unchanged says why the file could not be held against what was read.
func (c *Case) unchanged(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &ChangedError{c.File, "the file is gone since it was read"}
	}
	return err
}
