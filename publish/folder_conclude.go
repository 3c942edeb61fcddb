package publish

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"

	"earframe/internal/regular"
)

// A set is put in place in steps: what stands under a name is moved into the
// passing folder, then the fresh file is moved there. The journal, on the disk
// before the first step, lists them; it is removed after the last, and with that,
// in one stroke of the file system, the new set stands. On an error, and by the
// next run where this one was killed, the steps are undone from the last to the
// first, each found by what lies where: undoing may be broken off and begun anew.

const journalFile = "journal"

// journal is what is going to be done.
type journal struct {
	Steps []step   `json:"steps"`
	Made  []string `json:"made"` // folders that were not there, outer ones first
}

// step is one name in the set.
type step struct {
	Name   string `json:"name"`
	Had    bool   `json:"had"`    // something stood there
	SHA256 string `json:"sha256"` // of the fresh file; empty where the old one only goes
}

// Conclude is as Place says.
func (f *Folder) Conclude(ctx context.Context, record *Record) ([]File, error) {
	stale, err := f.stale(record)
	if err != nil {
		return nil, err
	}
	files, err := f.ledger.seal(ctx, f, record)
	if err != nil {
		return nil, err
	}
	plan, err := f.plan(stale)
	if err != nil {
		return nil, err
	}
	if err := f.put(plan); err != nil {
		err = fmt.Errorf("the files cannot be put in place in %s: %w", f.final, f.reason(err))
		if failed := f.disk.undo(f.final, f.staged); failed != nil {
			kept := f.staged
			f.staged = "" // the next run tries again
			return nil, fmt.Errorf("%w; nor can those be put back that they replaced, which lie in %s: %w",
				err, filepath.Join(kept, oldFolder), failed)
		}
		return nil, err
	}
	f.made = nil
	f.Discard()
	return files, nil
}

// plan makes a step of every file, in the order of their names, and of those that
// go. It makes sure that nothing has come in their way.
func (f *Folder) plan(stale []string) (*journal, error) {
	p := &journal{}
	for _, file := range f.ledger.list() {
		if err := f.free(file.Name); err != nil {
			return nil, err
		}
		p.Steps = append(p.Steps, step{Name: file.Name, Had: exists(f.target(file.Name)), SHA256: file.SHA256})
		for folder := path.Dir(file.Name); folder != "."; folder = path.Dir(folder) {
			if !exists(f.target(folder)) && !slices.Contains(p.Made, folder) {
				p.Made = append(p.Made, folder)
			}
		}
	}
	slices.Sort(p.Made)
	for _, name := range stale {
		p.Steps = append(p.Steps, step{Name: name, Had: true})
	}
	return p, nil
}

// put carries the plan out.
func (f *Folder) put(p *journal) error {
	if err := f.disk.writeJournal(f.staged, p); err != nil {
		return err
	}
	for _, folder := range p.Made {
		if err := f.disk.mkdir(f.target(folder)); err != nil {
			return err
		}
	}
	touched := []string{f.final}
	for _, s := range p.Steps {
		if err := f.take(s); err != nil {
			return fmt.Errorf("%s: %w", f.target(s.Name), reason(err))
		}
		if folder := filepath.Dir(f.target(s.Name)); !slices.Contains(touched, folder) {
			touched = append(touched, folder)
		}
	}
	for _, folder := range touched {
		syncFolder(folder)
	}
	return f.disk.remove(filepath.Join(f.staged, journalFile))
}

// take does one step.
func (f *Folder) take(s step) error {
	if s.Had {
		old := filepath.Join(f.staged, oldFolder, filepath.FromSlash(s.Name))
		if err := os.MkdirAll(filepath.Dir(old), 0o755); err != nil {
			return err
		}
		if err := f.disk.rename(f.target(s.Name), old); err != nil {
			return err
		}
	}
	if s.SHA256 == "" {
		return nil
	}
	return f.disk.rename(f.fresh(s.Name), f.target(s.Name))
}

// undo takes back what a journal in the passing folder says was begun. Without
// one there is nothing to undo. What has been changed by others since is left.
func (d disk) undo(final, staged string) error {
	path := filepath.Join(staged, journalFile)
	if !exists(path) {
		return nil
	}
	data, err := regular.Read(path, mostRecordBytes)
	if err != nil {
		return err
	}
	var p journal
	if err := json.Unmarshal(data, &p); err != nil {
		return err
	}
	for _, s := range slices.Backward(p.Steps) {
		if !filepath.IsLocal(filepath.FromSlash(s.Name)) {
			return fmt.Errorf("the journal names %q", s.Name)
		}
		within := func(parts ...string) string { return filepath.Join(append(parts, filepath.FromSlash(s.Name))...) }
		target, fresh, old := within(final), within(staged, freshFolder), within(staged, oldFolder)
		begun := exists(old)
		if !s.Had {
			begun = s.SHA256 != "" && !exists(fresh)
		}
		if !begun || exists(target) && !holds(target, s.SHA256) {
			continue
		}
		if s.Had {
			if err = os.MkdirAll(filepath.Dir(target), 0o755); err == nil {
				err = d.rename(old, target)
			}
		} else if err = d.remove(target); errors.Is(err, fs.ErrNotExist) {
			err = nil
		}
		if err != nil {
			return err
		}
	}
	for _, folder := range slices.Backward(p.Made) {
		if filepath.IsLocal(filepath.FromSlash(folder)) {
			os.Remove(filepath.Join(final, filepath.FromSlash(folder))) // stays if anything is in it
		}
	}
	syncFolder(final)
	return d.remove(path)
}

// mostRecordBytes bounds what is read of records and journals.
const mostRecordBytes = 64 << 20

// stale returns the files that go with the record's older version: those it
// lists, under names that this program makes, with the content it says. A record
// that is not there or cannot be read names none.
func (f *Folder) stale(record *Record) (names []string, err error) {
	if record == nil {
		return nil, nil
	}
	data, err := regular.Read(f.target(record.Name), mostRecordBytes)
	if err != nil {
		return nil, nil
	}
	var older struct {
		Files []File `json:"files"`
	}
	if json.Unmarshal(data, &older) != nil {
		return nil, nil
	}
	fresh := map[string]bool{record.Name: true}
	for _, file := range f.ledger.list() {
		fresh[file.Name] = true
	}
	for _, file := range older.Files {
		local := fs.ValidPath(file.Name) && filepath.IsLocal(filepath.FromSlash(file.Name))
		made := local && !fresh[file.Name] && slices.ContainsFunc(record.Makes, func(pattern string) bool {
			is, err := path.Match(pattern, file.Name)
			return is && err == nil
		})
		if !made || !holds(f.target(file.Name), file.SHA256) {
			continue
		}
		if err := f.try(path.Dir(file.Name)); err != nil {
			return nil, err
		}
		names = append(names, file.Name)
	}
	return names, nil
}

// holds reports whether an ordinary file has the content.
func holds(path, sum string) bool {
	if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() {
		return false
	}
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	defer file.Close()
	hash := sha256.New()
	_, err = io.Copy(hash, file)
	return err == nil && hex.EncodeToString(hash.Sum(nil)) == sum
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
