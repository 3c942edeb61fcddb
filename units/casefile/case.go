package casefile

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"earframe/internal/regular"
	"earframe/template"
)

// Case is a case file that was read and whose values each fit their key. What
// depends on the template is checked when it becomes a plan. A case is never
// changed: With and Without return another.
type Case struct {
	File string // as it was named on reading
	text []byte
	root *Entry
	read *[sha256.Size]byte // of the file's bytes when it was read; nil for text from memory

	// What With added last, and the case before that: Without gives it back.
	added  string
	before *Case
}

// Read reads the case file at path. All faults of the file are returned at
// once as Errors; a file that is not there satisfies
// errors.Is(err, fs.ErrNotExist).
func Read(path string) (*Case, error) {
	data, err := regular.Read(path, maxCaseBytes)
	if err != nil {
		return nil, unreadable(path, err)
	}
	c, err := Parse(path, data)
	if err != nil {
		return nil, err
	}
	digest := sha256.Sum256(data)
	c.read = &digest
	return c, nil
}

func unreadable(path string, err error) error {
	fault := &Error{File: path, Problem: err.Error(), Cause: err}
	var cause *regular.Error
	if errors.As(err, &cause) {
		fault.Problem, fault.Advice = cause.Found, cause.Advice
	}
	if errors.Is(err, fs.ErrNotExist) {
		fault.Advice = "earframe new makes a case folder to edit"
	}
	return Errors{fault}
}

// Parse reads a case from memory; file is the name used in errors.
func Parse(file string, text []byte) (*Case, error) {
	root, err := readCase(file, text)
	if err != nil {
		return nil, err
	}
	return &Case{File: file, text: slices.Clone(text), root: root}, nil
}

// TemplateFile returns the path of the template: the one given, relative to the
// case file's folder, or template.svg there.
func (c *Case) TemplateFile() string {
	name := "template.svg"
	if given := c.root.Field("template").Field("file"); given != nil {
		name = given.Text
	}
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(c.File), name)
}

// Names returns what the drawing's own ids stand for.
func (c *Case) Names() map[string][]string {
	given := c.root.Field("template").Field("names")
	if given == nil {
		return nil
	}
	names := map[string][]string{}
	for id, parts := range given.fields {
		names[id] = []string{} // an empty list leaves the shape out
		for _, part := range parts.Items {
			names[id] = append(names[id], part.Text)
		}
	}
	return names
}

// Place returns file:line of an entry, the file by its base name so that a
// record does not depend on where the case lies.
func (c *Case) Place(e *Entry) string {
	return fmt.Sprintf("%s:%d", filepath.Base(c.File), e.Line)
}

// TemplateOptions returns how the case says that its template is to be read.
func (c *Case) TemplateOptions() template.Options {
	given := c.root.Field("template")
	options := template.Options{Names: c.Names()}
	if length := given.Field("ear_length"); length != nil {
		options.EarLength = length.Number
	}
	if mirror := given.Field("mirror"); mirror != nil {
		options.Mirror = mirror.Flag
	}
	return options
}

// WithoutTemplate says what asked for a template that is not there, and where it
// was looked for.
func (c *Case) WithoutTemplate(cause error) error {
	looked := c.TemplateFile()
	if full, err := filepath.Abs(looked); err == nil {
		looked = full
	}
	fault := &Error{
		File: c.File, Key: "template.file", Cause: cause,
		Problem: "no such file: template.svg, which is looked for where nothing else is given; looked for " + looked,
		Advice:  "Put the drawing there, or give its name under template.file, from the case file's folder",
	}
	if given := c.root.Field("template").Field("file"); given != nil {
		fault.Line, fault.Column = given.Line, given.Column
		fault.Problem = fmt.Sprintf("no such file: %s; looked for %s", given.Text, looked)
		fault.Advice = "Put the drawing there, or correct the name; it is taken from the case file's folder"
	}
	return Errors{fault}
}

// Root returns what the file gives, each value checked against its key.
func (c *Case) Root() *Entry { return c.root }
