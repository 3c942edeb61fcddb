package casefile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"earframe/template"
)

// Error is one fault of a case file.
type Error struct {
	File         string // the case file
	Line, Column int    // from 1; 0 if the fault has no place in the file
	Key          string // the key at fault, such as units[helix].thickness
	Problem      string // what was found and what was expected
	Advice       string // what to do, may be empty
	Cause        error  // the error behind it, may be nil
}

// Error returns file:line:column: key: problem. Advice.
func (e *Error) Error() string {
	var s strings.Builder
	s.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&s, ":%d:%d", e.Line, e.Column)
	}
	s.WriteString(": ")
	if e.Key != "" {
		s.WriteString(e.Key + ": ")
	}
	s.WriteString(e.Problem)
	if e.Advice != "" {
		s.WriteString(". " + e.Advice)
	}
	return s.String()
}

// Unwrap returns the error behind the fault, or nil.
func (e *Error) Unwrap() error { return e.Cause }

// Errors holds all faults found in a case file, in the file's order.
type Errors []*Error

// Error returns the faults, one a line.
func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, fault := range e {
		lines[i] = fault.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the faults, for errors.Is and errors.As.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, fault := range e {
		all[i] = fault
	}
	return all
}

// sorted returns the faults in the file's order as an error, nil if there are
// none.
func (e Errors) sorted() error {
	if len(e) == 0 {
		return nil
	}
	slices.SortStableFunc(e, func(a, b *Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return e
}

// Known returns advice that lists what is known and guesses what was
// meant.
func Known(word string, known []string) string {
	if len(known) == 0 {
		return "There are none"
	}
	list := "Known here: " + strings.Join(known, ", ")
	if guess := template.Nearest(word, known); guess != "" {
		return fmt.Sprintf("Did you mean %s? %s", guess, list)
	}
	return list
}
