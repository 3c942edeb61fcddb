package sheet

import (
	"errors"
	"fmt"
	"math"

	"earframe/assemble"
	"earframe/mesh"
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
	Words    string             // beside the unit's name, such as "upper part"; may be empty
	Outlines []template.Outline // in the piece's coordinates, mm
	Turn     float64            // from the unit's own coordinates, radians counter-clockwise
	At       mgl64.Vec2         // where the unit's own origin lies in the piece, mm
	Strip    bool               // cut as a strip along the rib, to be bent
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
		if !mesh.IsFinite(f.At) {
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
			if u := in.Plan.Unit(placed.Name); u != nil && !placed.Strip {
				if err := checkTurned(n, placed, u); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// Bounds for telling a unit that was turned from one that is mirrored or
// stretched: the shares of area within which it is whole, and how far its edge
// may lie from where the turn puts it, mm.
const (
	wholeArea  = 1e-3
	turnedEdge = 0.1
)

// checkTurned holds a whole unit in a piece against its own outline: it must be
// the same, turned and shifted. A mirrored one would be carved for the other
// side.
func checkTurned(n Nesting, placed Placed, u *units.Unit) error {
	if len(placed.Outlines) != 1 || len(u.Outlines) != 1 ||
		math.Abs(placed.Outlines[0].Area()-u.Outlines[0].Area()) > wholeArea*u.Outlines[0].Area() {
		return nil // a part of it
	}
	var turned [][]mgl64.Vec2
	turn := mgl64.Rotate2D(placed.Turn)
	lowest := mgl64.Vec2{math.Inf(1), math.Inf(1)}
	for _, ring := range u.Outlines[0].Rings() {
		var moved []mgl64.Vec2
		for _, p := range ring {
			q := turn.Mul2x1(p)
			moved = append(moved, q)
			lowest = mgl64.Vec2{min(lowest[0], q[0]), min(lowest[1], q[1])}
		}
		turned = append(turned, moved)
	}
	lo, _ := placed.Outlines[0].Bounds()
	shift := lowest.Sub(lo)
	for _, ring := range placed.Outlines[0].Rings() {
		for _, p := range ring {
			if off := clearance(turned, p.Add(shift)); off > turnedEdge {
				return fmt.Errorf("sheet: unit %s in piece %s is not the unit turned by %.1f degrees: its edge is "+
					"%.1f mm off; it may be mirrored, and is not drawn",
					u.Name, n.Name, placed.Turn*180/math.Pi, off)
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
				return fmt.Errorf("sheet: %s: the outline %q has a ring of %d points; 3 at least are expected", whose,
					o.ID, len(ring))
			}
			for _, p := range ring {
				if !mesh.IsFinite(p.Vec3(0)) {
					return fmt.Errorf("sheet: %s: the outline %q has a point without a place: %v", whose, o.ID, p)
				}
			}
		}
		if lo, hi := o.Bounds(); max(hi[0]-lo[0], hi[1]-lo[1]) > mostLength {
			return fmt.Errorf("sheet: %s: the outline %q is %.0f mm long; at most %d mm are drawn: see whether its "+
				"scale is right",
				whose, o.ID, max(hi[0]-lo[0], hi[1]-lo[1]), mostLength)
		}
	}
	return nil
}
