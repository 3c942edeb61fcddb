package template

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// Kind says what sort of fault was found; errors.Is finds it in any error that
// this package returns for a bad drawing.
type Kind string

// Error returns the kind in words.
func (k Kind) Error() string { return string(k) }

// The kinds of fault.
const (
	NotSVG      Kind = "not an SVG drawing"
	TooLarge    Kind = "too large"
	BadValue    Kind = "value cannot be read"
	BadNumber   Kind = "number out of range"
	BadName     Kind = "unknown name"
	NothingHere Kind = "no outline has a known name"
	NoSize      Kind = "size unknown"
	BadSize     Kind = "size that no ear has"
	ScaleClash  Kind = "scales disagree"
	BadMark     Kind = "mark cannot be used"
	OpenPath    Kind = "open path"
	Crossing    Kind = "outlines cross"
	ZeroArea    Kind = "no area"
)

// Fault is one thing wrong with a drawing or with what was asked of it.
type Fault struct {
	Kind   Kind
	File   string      // path of the drawing, may be empty
	Line   int         // of the element's start tag, from 1; 0 if the fault has no place
	ID     string      // the element's id, may be empty
	At     *mgl64.Vec2 // where on the drawing: from its top left corner, y down; nil if nowhere
	Unit   string      // unit of At: mm, or "units" in a drawing without real size
	Found  string      // what was found and what was expected
	Advice string      // what to do
}

// Error returns file:line: id: what was found, where. What to do.
func (f *Fault) Error() string {
	var s strings.Builder
	if f.File != "" {
		s.WriteString(f.File)
		if f.Line > 0 {
			fmt.Fprintf(&s, ":%d", f.Line)
		}
		s.WriteString(": ")
	}
	if f.ID != "" {
		s.WriteString(f.ID + ": ")
	}
	s.WriteString(f.Found)
	if f.At != nil {
		fmt.Fprintf(&s, ", at x %.3f y %.3f %s from the drawing's top left corner (y down)", f.At[0], f.At[1], f.Unit)
	}
	if f.Advice != "" {
		s.WriteString("; " + f.Advice)
	}
	return s.String()
}

// Unwrap returns the fault's kind.
func (f *Fault) Unwrap() error { return f.Kind }

// Faults is everything wrong with a drawing, in the drawing's order.
type Faults []*Fault

// Error returns the faults, one a line.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, fault := range f {
		lines[i] = fault.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the faults, for errors.Is and errors.As.
func (f Faults) Unwrap() []error {
	all := make([]error, len(f))
	for i, fault := range f {
		all[i] = fault
	}
	return all
}

// maxFaults bounds how many faults are listed: beyond it a reader learns
// nothing more.
const maxFaults = 50

// in returns the faults of a file sorted by line as an error, nil if none.
func (f Faults) in(file string) error {
	if len(f) == 0 {
		return nil
	}
	slices.SortStableFunc(f, func(a, b *Fault) int { return cmp.Compare(a.Line, b.Line) })
	if more := len(f) - maxFaults; more > 0 {
		f = append(f[:maxFaults:maxFaults], &Fault{Kind: f[maxFaults].Kind, Found: fmt.Sprintf("and %d more faults", more)})
	}
	for _, fault := range f {
		fault.File = file
	}
	return f
}
