package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"earframe/mesh/meshfile"
	"earframe/report/record"
)

// recordName is the record of a build.
const recordName = "record.json"

// output is the folder being written: everything goes into a passing folder
// within the final one first, so that a failure leaves what stood there as it
// was.
type output struct {
	final, staged string
	record        string // the file that says what else is in the folder, put in place last; empty without one
	made          bool   // the final folder was not there before
}

const (
	stagePrefix = ".unfinished-"

	// abandoned is the age at which a passing folder is one that a killed run
	// left behind.
	abandoned = 24 * time.Hour
)

// stage makes the folder to write into and the folders within it; record names
// the file that says what else is there.
func stage(dir, record string, folders ...string) (*output, error) {
	_, err := os.Lstat(dir)
	made := errors.Is(err, fs.ErrNotExist)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	sweep(dir)
	staged, err := os.MkdirTemp(dir, stagePrefix)
	if err != nil {
		return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, reason(err))
	}
	out := &output{final: dir, staged: staged, record: record, made: made}
	for _, sub := range folders {
		if err := os.Mkdir(out.path(sub), 0o755); err != nil {
			out.discard()
			return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, reason(err))
		}
	}
	return out, nil
}

// tryFolder makes sure that a folder can be written into, before the work whose
// outcome it is to hold, and leaves nothing behind.
func tryFolder(dir string) error {
	out, err := stage(dir, "")
	if err != nil {
		return err
	}
	out.discard()
	return nil
}

// sweep removes passing folders that killed runs left behind. What cannot be
// removed is left: it does no harm.
func sweep(dir string) {
	left, err := filepath.Glob(filepath.Join(dir, stagePrefix+"*"))
	if err != nil {
		return
	}
	for _, path := range left {
		if info, err := os.Lstat(path); err == nil && info.IsDir() && time.Since(info.ModTime()) > abandoned {
			os.RemoveAll(path)
		}
	}
}

// discard removes the passing folder, and the final one if it was made for
// nothing.
func (o *output) discard() {
	os.RemoveAll(o.staged)
	if o.made {
		os.Remove(o.final) // stays if anything is in it
	}
}

func (o *output) path(names ...string) string {
	return filepath.Join(append([]string{o.staged}, names...)...)
}

// each calls do for every staged file, by its name with slashes.
func (o *output) each(do func(name, path string) error) error {
	return filepath.WalkDir(o.staged, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(o.staged, path)
		if err != nil {
			return err
		}
		return do(filepath.ToSlash(name), path)
	})
}

// files lists what has been written, by name, with its digest.
func (o *output) files() ([]record.File, error) {
	var files []record.File
	err := o.each(func(name, path string) error {
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		files = append(files, record.File{Name: name, Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])})
		return nil
	})
	return files, err
}

// conclude lists the files in the record, writes it as it is stored then, and
// publishes all.
func (o *output) conclude(ctx context.Context, list *[]record.File, stored func() ([]byte, error)) (err error) {
	if *list, err = o.files(); err != nil {
		return o.named(err)
	}
	data, err := stored()
	if err != nil {
		return err
	}
	if err := writeFile(ctx, o.path(o.record), data); err != nil {
		return o.named(err)
	}
	return o.publish(ctx)
}

// publish moves the finished files to their place, the record last. It first
// makes sure that nothing is in the way. Files that an earlier record lists and
// that were not made again are removed, so that no unit of an older plan is
// printed by mistake.
func (o *output) publish(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	made := map[string]bool{}
	err := o.each(func(name, _ string) error {
		made[name] = true
		return o.free(name)
	})
	if err != nil {
		return err
	}
	stale := o.listed()
	err = o.each(func(name, path string) error {
		if name == o.record {
			return nil
		}
		return o.move(name, path)
	})
	if err != nil {
		return err
	}
	if o.record == "" {
		return nil
	}
	for _, name := range stale {
		if !made[name] {
			if err := os.Remove(filepath.Join(o.final, filepath.FromSlash(name))); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("cannot remove %s, which an earlier build made: %w", name, reason(err))
			}
		}
	}
	return o.move(o.record, o.path(o.record))
}

// free reports what is in the way of a file of that name.
func (o *output) free(name string) error {
	target := filepath.Join(o.final, filepath.FromSlash(name))
	if info, err := os.Lstat(target); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder where a file is to be written; move it away", target)
	}
	folder := filepath.Dir(target)
	if info, err := os.Stat(folder); err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file where a folder is needed; move it away", folder)
	}
	return nil
}

func (o *output) move(name, path string) error {
	target := filepath.Join(o.final, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
		return err
	}
	return os.Rename(path, target)
}

// listed returns the files that the record of an earlier build names. A record
// that is not there or cannot be read names none.
func (o *output) listed() []string {
	if o.record == "" {
		return nil
	}
	data, err := os.ReadFile(filepath.Join(o.final, o.record))
	if err != nil {
		return nil
	}
	var earlier struct {
		Files []record.File `json:"files"`
	}
	if json.Unmarshal(data, &earlier) != nil {
		return nil
	}
	var names []string
	for _, f := range earlier.Files {
		if filepath.IsLocal(filepath.FromSlash(f.Name)) {
			names = append(names, f.Name)
		}
	}
	return names
}

// named puts the final folder's name in an error in the place of the passing
// one, which the user does not know.
func (o *output) named(err error) error {
	return &renamedError{err, strings.ReplaceAll(err.Error(), o.staged, o.final)}
}

type renamedError struct {
	cause error
	text  string
}

func (e *renamedError) Error() string { return e.text }
func (e *renamedError) Unwrap() error { return e.cause }

// writeFile writes one small file whole or not at all.
func writeFile(ctx context.Context, path string, data []byte) error {
	return meshfile.WriteFile(ctx, path, func(w io.Writer) error {
		_, err := io.Copy(w, bytes.NewReader(data))
		return err
	}, nil)
}

// reason strips a passing file name off an error.
func reason(err error) error {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err
	}
	return err
}
