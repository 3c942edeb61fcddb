package units

import (
	"fmt"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// Severity ranks a finding.
type Severity string

// A note informs, a warning asks for a look, an error means that what was built
// should not be used as it is.
const (
	Note    Severity = "note"
	Warning Severity = "warning"
	Error   Severity = "error"
)

// Finding is something the maker of a framework should know: what, where, how
// much, and what to do about it.
type Finding struct {
	Rule     string // id of the kind of finding, as docs/findings.md lists it
	Severity Severity
	Unit     string      // name of the unit, empty for the whole plan
	Place    string      // what of the ear it is about, where the unit does not tell: a groove, a ridge
	Message  string      // what was found, in plain words
	At       *mgl64.Vec3 // where, mm
	Value    float64     // what was measured
	Limit    float64     // what it was held against
	Measure  string      // unit of Value and Limit
	Advice   string      // what to do
}

// String returns the finding as one sentence or two.
func (f Finding) String() string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s: ", f.Severity)
	if f.Unit != "" {
		fmt.Fprintf(&s, "%s: ", f.Unit)
	}
	s.WriteString(f.Message)
	if f.At != nil {
		fmt.Fprintf(&s, ", at x %.1f, y %.1f, z %.1f mm", f.At[0], f.At[1], f.At[2])
	}
	if f.Advice != "" {
		fmt.Fprintf(&s, ". %s", f.Advice)
	}
	return s.String()
}
