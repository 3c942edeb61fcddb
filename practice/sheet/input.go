package sheet

import (
	"errors"
	"fmt"
	"math"

	"earframe/assemble"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Input is what carving sheets are drawn from.
type Input struct {
	Plan      *units.Plan
	Contacts  []assemble.Contact // which units touch: their outlines are shown on one another
	Fixations []Fixation
	Heights   *assemble.DepthMap // of the assembled frame; nil for no page of contours
	Nestings  []Nesting          // one a piece of cartilage
}

// Fixation is a place where two units are wired together.
type Fixation struct {
	Number int
	Upper  string // names of the units
	Lower  string
	At     mgl64.Vec3 // mm, in the framework's coordinates
}

// Nesting is a piece of cartilage with the units that are cut from it.
type Nesting struct {
	Name   string             // of the piece, as it is shown
	Stock  []template.Outline // of the piece, mm, its length along x
	Placed []Placed
	Notes  []string // verdict and what else the reader should know, a sentence each
}

// Placed is a unit, or a part of one, as it lies in a piece.
type Placed struct {
	Name     string             // of the unit
	Outlines []template.Outline // in the piece's coordinates, mm
}

// check reports what the sheets cannot be drawn from.
func (in *Input) check() error {
	if in.Plan == nil || len(in.Plan.Units) == 0 {
		return errors.New("sheet: the plan has no units; draw at least a base frame")
	}
	for _, u := range in.Plan.Units {
		if err := checkOutlines("unit "+u.Name, u.Outlines); err != nil {
			return err
		}
	}
	for _, f := range in.Fixations {
		for _, name := range []string{f.Upper, f.Lower} {
			if in.Plan.Unit(name) == nil {
				return fmt.Errorf("sheet: fixation %d holds the unit %q, which the plan does not have", f.Number, name)
			}
		}
		if !finite(f.At[0], f.At[1], f.At[2]) {
			return fmt.Errorf("sheet: fixation %d has no place: %v", f.Number, f.At)
		}
	}
	for _, n := range in.Nestings {
		if err := checkOutlines("piece "+n.Name, n.Stock); err != nil {
			return err
		}
		for _, placed := range n.Placed {
			if err := checkOutlines("unit "+placed.Name+" in piece "+n.Name, placed.Outlines); err != nil {
				return err
			}
		}
	}
	return nil
}

// mostLength is the longest figure drawn, mm: more than any cartilage, and few
// enough sheets of paper to be laid out.
const mostLength = 1000

func checkOutlines(whose string, outlines []template.Outline) error {
	if len(outlines) == 0 {
		return fmt.Errorf("sheet: %s has no outline", whose)
	}
	for _, o := range outlines {
		for _, ring := range o.Rings() {
			if len(ring) < 3 {
				return fmt.Errorf("sheet: %s: the outline %q has a ring of %d points; 3 at least are expected", whose, o.ID, len(ring))
			}
			for _, p := range ring {
				if !finite(p[0], p[1]) {
					return fmt.Errorf("sheet: %s: the outline %q has a point without a place: %v", whose, o.ID, p)
				}
			}
		}
		if lo, hi := o.Bounds(); max(hi[0]-lo[0], hi[1]-lo[1]) > mostLength {
			return fmt.Errorf("sheet: %s: the outline %q is %.0f mm long; at most %d mm are drawn: see whether its scale is right",
				whose, o.ID, max(hi[0]-lo[0], hi[1]-lo[1]), mostLength)
		}
	}
	return nil
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
