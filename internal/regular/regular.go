// Package regular reads ordinary files only. A named pipe that nobody writes to,
// or a device, would be waited for or read without end; both are refused with
// words, and so is what is larger than it can rightly be.
package regular

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"
)

// Error says why a path was not read.
type Error struct {
	Path   string
	Found  string // what it is, in words: "a named pipe, a file is expected"
	Advice string // what to do, may be empty
	Cause  error  // of the system, may be nil
}

// Error returns path: what was found. Advice.
func (e *Error) Error() string {
	return strings.TrimSuffix(fmt.Sprintf("%s: %s. %s", e.Path, e.Found, e.Advice), ". ")
}

// Unwrap returns the system's error, so that errors.Is(err, fs.ErrNotExist) holds
// for a file that is not there.
func (e *Error) Unwrap() error { return e.Cause }

// Read returns the file's content, which may be limit bytes at the most. The error
// is an *Error.
func Read(path string, limit int64) ([]byte, error) {
	file, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, unreadable(path, err)
	}
	tooLarge := func(found string) error {
		return &Error{Path: path, Found: fmt.Sprintf("%s bytes, at most %d are expected", found, limit)}
	}
	if info.Size() > limit {
		return nil, tooLarge(fmt.Sprint(info.Size()))
	}
	// Its size need not be its content's: a file can grow while it is read.
	content := make([]byte, 0, info.Size()+1)
	for int64(len(content)) <= limit {
		n, err := file.Read(content[len(content):cap(content)])
		content = content[:len(content)+n]
		if errors.Is(err, io.EOF) {
			return content, nil
		}
		if err != nil {
			return nil, unreadable(path, err)
		}
		if len(content) == cap(content) {
			content = append(content, 0)[:len(content)]
		}
	}
	return nil, tooLarge(fmt.Sprintf("more than %d", limit))
}

// Open opens an ordinary file for reading, without waiting for anybody. The error
// is an *Error.
func Open(path string) (*os.File, error) {
	// Looked at before it is opened: opening alone can move a device.
	info, err := os.Stat(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	if err := check(path, info); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, unreadable(path, err)
	}
	// And afterwards: another one may have been put in its place.
	if info, err = file.Stat(); err == nil {
		err = check(path, info)
	} else {
		err = unreadable(path, err)
	}
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return file, nil
}

func check(path string, info fs.FileInfo) error {
	found := ""
	switch mode := info.Mode(); {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		found = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		found = "a named pipe"
	case mode&fs.ModeSocket != 0:
		found = "a socket"
	case mode&fs.ModeDevice != 0:
		found = "a device"
	default:
		found = "no ordinary file"
	}
	return &Error{Path: path, Found: found + ", a file is expected", Advice: "Name a file; save into one what comes " +
		"from elsewhere"}
}

func unreadable(path string, err error) error {
	e := &Error{Path: path, Found: "cannot be read: " + err.Error(), Cause: err}
	var cause *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Found = "no such file"
	case errors.As(err, &cause):
		e.Found = "cannot be read: " + cause.Err.Error()
	}
	return e
}
