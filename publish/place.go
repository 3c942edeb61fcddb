package publish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// Writer takes files by name. Names are paths with slashes within the place, such
// as "units/helix.stl". It may be used by several goroutines at once.
type Writer interface {
	// Write makes the file of that name, once for each name. check, which may be
	// nil, is given the content as it is read back, and refuses it by an error.
	// When ctx ends the work, writing ends with its error.
	Write(ctx context.Context, name string, write func(io.Writer) error, check func(content []byte) error) error
}

// Place is where a set of files goes.
type Place interface {
	Writer

	// Conclude makes everything that was written, and the record of it, be seen at
	// once, and returns the list of it without the record, by name. The record may
	// be nil. Nothing can be written afterwards.
	Conclude(ctx context.Context, record *Record) ([]File, error)

	// Discard drops what was not concluded. After Conclude it does nothing.
	Discard()
}

// File is one written file.
type File struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Record is the file that lists the others.
type Record struct {
	Name string

	// Content returns the record, a JSON object that holds the list as "files".
	Content func(files []File) ([]byte, error)

	// Makes are patterns, as path.Match takes them, of all names that files of
	// this record's sets ever have. A file that the record before this one lists,
	// and that was not made again, is removed from a folder if its name is such a
	// one and its content is still what the record says.
	Makes []string
}

// WriteBytes writes a file whose content is in memory.
func WriteBytes(ctx context.Context, to Writer, name string, content []byte) error {
	return to.Write(ctx, name, func(w io.Writer) error {
		_, err := io.Copy(w, bytes.NewReader(content))
		return err
	}, nil)
}

// ledger keeps what has been written. Its zero value is ready for use.
type ledger struct {
	mutex  sync.Mutex
	files  map[string]*File // by name in lower case: many file systems know no other
	sealed bool             // nothing more is taken
}

// take reserves the name for a file, or says why it cannot be had.
func (l *ledger) take(name string) error {
	if name == "." || !filepath.IsLocal(filepath.FromSlash(name)) || !fs.ValidPath(name) {
		return errors.New("this is no name within the place")
	}
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if l.sealed {
		return errors.New("the set is closed already")
	}
	key := strings.ToLower(name)
	if there, taken := l.files[key]; taken {
		return fmt.Errorf("%s is written already", there.Name)
	}
	if l.files == nil {
		l.files = map[string]*File{}
	}
	l.files[key] = &File{Name: name}
	return nil
}

// settle enters a file that is whole, or gives its name free where err says that
// it could not be written.
func (l *ledger) settle(name string, content *digest, err error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	key := strings.ToLower(name)
	if err != nil {
		delete(l.files, key)
		return
	}
	*l.files[key] = File{Name: name, Bytes: content.bytes, SHA256: hex.EncodeToString(content.hash.Sum(nil))}
}

// list returns what has been written, by name.
func (l *ledger) list() []File {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	var files []File
	for _, f := range l.files {
		files = append(files, *f)
	}
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	return files
}

// seal lists what was written, writes the record of it and ends the taking of
// files.
func (l *ledger) seal(ctx context.Context, to Writer, record *Record) ([]File, error) {
	files := l.list()
	if record != nil {
		content, err := record.Content(files)
		if err != nil {
			return nil, err
		}
		if err := WriteBytes(ctx, to, record.Name, content); err != nil {
			return nil, err
		}
	}
	if !l.end() {
		return nil, errors.New("the set is closed already")
	}
	return files, ctx.Err()
}

// end ends the taking of files, and reports whether that is new.
func (l *ledger) end() bool {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	was := l.sealed
	l.sealed = true
	return !was
}

// digest counts and hashes what goes through it to w, until ctx is done.
type digest struct {
	ctx   context.Context
	w     io.Writer
	hash  hash.Hash
	bytes int64
}

func newDigest(ctx context.Context, w io.Writer) *digest {
	sum := sha256.New()
	return &digest{ctx: ctx, w: io.MultiWriter(w, sum), hash: sum}
}

func (d *digest) Write(p []byte) (int, error) {
	if err := d.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := d.w.Write(p)
	d.bytes += int64(n)
	return n, err
}
