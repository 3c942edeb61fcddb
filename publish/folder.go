package publish

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
)

// Folder is a place in a folder on disk, which one run at a time writes to.
type Folder struct {
	ledger ledger
	disk   disk
	final  string   // as the caller named it
	staged string   // the passing folder within it
	made   []string // folders that were made for this, deepest first
	lock   *os.File

	tried sync.Map // of folders within, by name: their error
}

const (
	// stagePrefix and digits are the name of a passing folder. What is to be put
	// in place lies in freshFolder there, what it replaces in oldFolder.
	stagePrefix = ".unfinished-"
	freshFolder = "fresh"
	oldFolder   = "old"

	// lockFile is locked as long as a run writes to the folder.
	lockFile = ".unfinished.lock"
)

// NewFolder makes the folder where it is not there, and makes sure that it can be
// written to, before the work whose outcome it is to hold: for the names that will
// be written, which may be patterns as path.Match takes them, also that the folders
// within take files and that nothing is in their way. What killed runs left there
// is put right first. Folder must be concluded or discarded.
func NewFolder(dir string, names ...string) (*Folder, error) { return newFolder(dir, disk{}, names...) }

func newFolder(dir string, d disk, names ...string) (*Folder, error) {
	f := &Folder{disk: d, final: dir}
	for missing := filepath.Clean(dir); ; missing = filepath.Dir(missing) {
		if _, err := os.Lstat(missing); !errors.Is(err, fs.ErrNotExist) || missing == filepath.Dir(missing) {
			break
		}
		f.made = append(f.made, missing)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		f.Discard()
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	if err := f.open(); err != nil {
		f.Discard()
		return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, reason(err))
	}
	for _, name := range names {
		if err := errors.Join(f.try(path.Dir(name)), f.free(name)); err != nil {
			f.Discard()
			return nil, err
		}
	}
	return f, nil
}

// open locks the folder, clears it of what killed runs left, and makes the
// passing folder.
func (f *Folder) open() (err error) {
	f.lock, err = lockPath(filepath.Join(f.final, lockFile))
	if err == nil {
		err = f.sweep()
	}
	if err != nil && !errors.Is(err, errors.ErrUnsupported) { // without locks nobody knows who is alive
		return err
	}
	if f.staged, err = os.MkdirTemp(f.final, stagePrefix); err != nil {
		return err
	}
	return os.Mkdir(f.fresh(""), 0o755)
}

// sweep undoes and removes what killed runs left: the lock says that none of them
// is alive.
func (f *Folder) sweep() error {
	entries, err := os.ReadDir(f.final)
	if err != nil {
		return err
	}
	for _, entry := range entries {
		number, ours := strings.CutPrefix(entry.Name(), stagePrefix)
		if !ours || !entry.IsDir() || strings.Trim(number, "0123456789") != "" {
			continue
		}
		left := filepath.Join(f.final, entry.Name())
		if err := f.disk.undo(f.final, left); err != nil {
			return fmt.Errorf("a run that was stopped while it put its files in place cannot be undone, "+
				"what it replaced lies in %s: %w", filepath.Join(left, oldFolder), err)
		}
		os.RemoveAll(left) // what stays does no harm
	}
	return nil
}

func (f *Folder) fresh(name string) string {
	return filepath.Join(f.staged, freshFolder, filepath.FromSlash(name))
}

func (f *Folder) target(name string) string { return filepath.Join(f.final, filepath.FromSlash(name)) }

// Discard is as Place says: it removes the passing folder, and the folders that
// were made for nothing.
func (f *Folder) Discard() {
	f.ledger.end()
	if f.staged != "" {
		os.RemoveAll(f.staged)
		f.staged = ""
	}
	if f.lock != nil {
		unlockPath(f.lock)
		f.lock = nil
	}
	for _, folder := range f.made {
		os.Remove(folder) // stays if anything is in it
	}
	f.made = nil
}

// Write is as Writer says. It is an error if something is in the file's way at
// its place.
func (f *Folder) Write(
	ctx context.Context, name string, write func(io.Writer) error, check func([]byte) error,
) (err error) {
	if err := f.ledger.take(name); err != nil {
		return fmt.Errorf("%s: not written: %w", f.target(name), err)
	}
	var content *digest
	defer func() { f.ledger.settle(name, content, err) }()
	if err := f.try(path.Dir(name)); err != nil {
		return err
	}
	if err := f.free(name); err != nil {
		return err
	}
	if content, err = f.stage(ctx, name, write); err == nil && check != nil {
		var data []byte
		if data, err = os.ReadFile(f.fresh(name)); err == nil {
			err = check(data)
		}
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		os.Remove(f.fresh(name))
		return fmt.Errorf("%s: not written: %w", f.target(name), f.reason(err))
	}
	return nil
}

// stage writes a file into the passing folder, flushed to the disk.
func (f *Folder) stage(ctx context.Context, name string, write func(io.Writer) error) (*digest, error) {
	if err := os.MkdirAll(filepath.Dir(f.fresh(name)), 0o755); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(f.fresh(name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	content := newDigest(ctx, file)
	if err = write(content); err == nil {
		err = file.Sync()
	}
	if closed := file.Close(); err == nil {
		err = closed
	}
	return content, err
}

// try makes sure, once, that a folder within takes files: before anything is
// replaced, and before the work on what else is to come.
func (f *Folder) try(folder string) error {
	once, _ := f.tried.LoadOrStore(folder, sync.OnceValue(func() error {
		for above := folder; above != "."; above = path.Dir(above) {
			info, err := os.Lstat(f.target(above))
			switch {
			case errors.Is(err, fs.ErrNotExist):
			case err != nil:
				return fmt.Errorf("cannot write into %s: %w", f.target(folder), reason(err))
			case info.Mode()&fs.ModeSymlink != 0:
				return fmt.Errorf("%s is a link to another folder, where nothing is replaced; "+
					"move it away, or choose another folder for the output", f.target(above))
			case !info.IsDir():
				return fmt.Errorf("%s is a file where a folder is needed; move it away", f.target(above))
			}
		}
		if err := f.disk.probe(f.target(folder)); err != nil && !errors.Is(err, fs.ErrNotExist) { // it will be made
			return fmt.Errorf("cannot write into %s: %w", f.target(folder), reason(err))
		}
		return nil
	}))
	return once.(func() error)()
}

// free reports what is in the way of a file of that name.
func (f *Folder) free(name string) error {
	if info, err := os.Lstat(f.target(name)); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder where a file is to be written; move it away", f.target(name))
	}
	return nil
}

// reason strips names within the passing folder off an error: the user does not
// know it.
func (f *Folder) reason(err error) error {
	var pathError *fs.PathError
	if errors.As(err, &pathError) && strings.HasPrefix(pathError.Path, f.staged) {
		return pathError.Err
	}
	return err
}

// reason strips the system's call and paths off an error.
func reason(err error) error {
	var pathError *fs.PathError
	var linkError *os.LinkError
	switch {
	case errors.As(err, &pathError):
		return pathError.Err
	case errors.As(err, &linkError):
		return linkError.Err
	}
	return err
}
