package budget

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"earframe/template"
	"earframe/units"
)

// Stock is a piece of rib cartilage to carve from.
type Stock struct {
	Name    string           // unique among the pieces
	Label   string           // as it is shown; the name if empty
	Ribs    []int            // of the rib cartilages in it: 6 and 7 for the joined piece
	Outline template.Outline // seen from the front, at its widest, mm
	// Each is the outline of each rib in a joined piece: strips are cut along them.
	// None: along the piece itself.
	Each      []template.Outline
	Length    float64 // along its middle line, mm; 0: the outline's greatest diameter
	Height    float64 // across, at the rib's end, mm; 0: not known
	Thickness float64 // front to back, where it is least, mm
	// Rounding is the radius of the edges of its section, at most half the
	// thickness, mm; 0 for square ones. A unit is cut from the middle of the
	// thickness, and what rounds off there is kept clear besides the margin.
	Rounding float64
	// Slab returns the outlines within which the piece is at least that thick, mm,
	// evenly to both sides of the middle of its thickness; none if it is nowhere.
	// It stands for thickness and rounding where it is given, and is asked once
	// for each height.
	Slab func(height float64) ([]template.Outline, error)
}

// title returns what the piece is called.
func (s Stock) title() string {
	if s.Label != "" {
		return s.Label
	}
	return s.Name
}

// length returns the length along the middle line in mm.
func (s Stock) length() float64 {
	if s.Length > 0 {
		return s.Length
	}
	d, _, _ := s.Outline.GreatestDiameter()
	return d
}

// inset returns how far inside the outline the section's rounded edge is at the
// faces of a slab of the height, taken from the middle of the thickness, mm.
func (s Stock) inset(height float64) float64 {
	beyond := math.Min(height, s.Thickness)/2 - (s.Thickness/2 - s.Rounding)
	if beyond <= 0 {
		return 0
	}
	beyond = math.Min(beyond, s.Rounding)
	return s.Rounding - math.Sqrt(s.Rounding*s.Rounding-beyond*beyond)
}

// serves reports whether the piece is of a rib that the unit is to come from:
// of all of them if it is a joined one.
func (s Stock) serves(u *units.Unit) bool {
	for _, rib := range s.Ribs {
		if slices.Contains(u.Ribs, rib) {
			return true
		}
	}
	return false
}

// check returns everything that makes the piece unfit for a budget.
func (s Stock) check() error {
	var faults []error
	fault := func(format string, args ...any) {
		faults = append(faults, fmt.Errorf("piece %q: "+format, append([]any{s.Name}, args...)...))
	}
	if s.Name == "" {
		fault("it has no name")
	}
	if len(s.Ribs) == 0 {
		fault("no rib is given: name the ribs it is of, 6 to 9")
	}
	for _, number := range []struct {
		name  string
		value float64
		least float64
	}{{"length", s.Length, 0}, {"height", s.Height, 0}, {"thickness", s.Thickness,
		math.SmallestNonzeroFloat64}, {"rounding", s.Rounding, 0}} {
		if !(number.value >= number.least) || math.IsInf(number.value, 0) {
			fault("%s is %g mm, expected a length: measure it again", number.name, number.value)
		}
	}
	if s.Rounding > s.Thickness/2 {
		fault("rounding of %g mm is more than half the thickness of %g mm", s.Rounding, s.Thickness)
	}
	if _, err := newShape(s.Outline); err != nil {
		fault("%w", err)
	}
	return errors.Join(faults...)
}
