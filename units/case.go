package units

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Case is a case file that was read and whose values each fit their key. What
// depends on the template is checked when it becomes a Plan.
type Case struct {
	File string // as it was named on reading
	root *entry
}

// ReadCase reads the case file at path. All faults of the file are returned at
// once as CaseErrors; a file that is not there satisfies
// errors.Is(err, fs.ErrNotExist).
func ReadCase(path string) (*Case, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	defer file.Close()
	// One byte over the limit is enough to know that the file is too large.
	data, err := io.ReadAll(io.LimitReader(file, maxCaseBytes+1))
	if err != nil {
		return nil, unreadable(path, err)
	}
	return ParseCase(path, data)
}

func unreadable(path string, err error) error {
	fault := &CaseError{File: path, Problem: "cannot be read: " + err.Error(), Cause: err}
	var cause *fs.PathError
	if errors.As(err, &cause) {
		fault.Problem = "cannot be read: " + cause.Err.Error()
	}
	if errors.Is(err, fs.ErrNotExist) {
		fault.Problem, fault.Advice = "no such file", "earframe new makes a case folder to edit"
	}
	return CaseErrors{fault}
}

// ParseCase reads a case from memory; file is the name used in errors.
func ParseCase(file string, data []byte) (*Case, error) {
	root, err := readCase(file, data)
	if err != nil {
		return nil, err
	}
	return &Case{File: file, root: root}, nil
}

// TemplateFile returns the path of the template: the one given, relative to the
// case file's folder, or template.svg there.
func (c *Case) TemplateFile() string {
	name := "template.svg"
	if given := c.root.field("template").field("file"); given != nil {
		name = given.text
	}
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(c.File), name)
}

// names returns what the drawing's own ids stand for.
func (c *Case) names() map[string][]string {
	given := c.root.field("template").field("names")
	if given == nil {
		return nil
	}
	names := map[string][]string{}
	for id, parts := range given.fields {
		names[id] = []string{} // an empty list leaves the shape out
		for _, part := range parts.items {
			names[id] = append(names[id], part.text)
		}
	}
	return names
}

// place returns file:line of an entry, the file by its base name so that a
// record does not depend on where the case lies.
func (c *Case) place(e *entry) string {
	return fmt.Sprintf("%s:%d", filepath.Base(c.File), e.line)
}
