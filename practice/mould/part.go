package mould

import (
	"errors"
	"fmt"
	"math"

	"earframe/field"
	"earframe/mesh"
	"earframe/units"
)

// Part is what is to be cast.
type Part struct {
	Name  string // short and plain, as in a file name: "helix"
	Label string // for a reader; the name where it is empty
	Solid field.Field
	Mesh  *mesh.Mesh // its surface; nil: it is contoured here
}

// Options say how a mould is made.
type Options struct {
	Kind      string        // units.MouldFitting, MouldOpen or MouldTwoPart
	Cast      string        // units.CastElastic or CastRigid: what is taken out of it
	Wall      float64       // around the cavity, mm
	Draft     float64       // by which the cavity narrows from its opening, radians
	Shrinkage float64       // of the cast, a fraction of its length
	Printer   units.Printer // what the mould is printed on
	Step      float64       // of sampling, mm; 0: chosen for the part
}

// OptionsOf returns the options that a plan gives.
func OptionsOf(plan *units.Plan) Options {
	c := plan.Practice.Casting
	return Options{
		Kind: c.Mould, Cast: c.Cast, Wall: c.Wall, Draft: c.Draft, Shrinkage: c.Shrinkage,
		Printer: plan.Printer,
	}
}

// Limits of what can be asked for.
const (
	steepestDraft    = 45 * math.Pi / 180 // from the vertical: half of what is left would be slope
	largestShrinkage = 0.5                // beyond it the cavity is twice the part
	largestPart      = 1000               // mm, far beyond any rib
)

// ErrNoFlatFace is the reason why a part cannot be cast in an open mould.
var ErrNoFlatFace = errors.New("no flat face to be the mould's opening")

// ErrDraft is the reason why a draft cannot be made: nothing would be left of
// the part at its full depth.
var ErrDraft = errors.New("the draft swallows the part")

// ErrLoose is the reason why a mould cannot be made where the part closes around
// some of it, such as letters cut into the face that would be its opening.
var ErrLoose = errors.New("the mould would fall apart")

// check returns an error for every number that no mould can be made to.
func (o Options) check() error {
	var faults []error
	fault := func(bad bool, format string, values ...any) {
		if bad {
			faults = append(faults, fmt.Errorf(format, values...))
		}
	}
	switch o.Kind {
	case units.MouldFitting, units.MouldOpen, units.MouldTwoPart:
	default:
		fault(true, "casting.mould is %q, %s, %s or %s needed", o.Kind, units.MouldFitting, units.MouldOpen,
			units.MouldTwoPart)
	}
	fault(o.Cast != units.CastElastic && o.Cast != units.CastRigid,
		"casting.cast is %q, %s or %s needed", o.Cast, units.CastElastic, units.CastRigid)
	least := math.Max(o.Printer.Wall, 0)
	fault(!finite(o.Printer.Wall, o.Printer.Clearance, o.Printer.Hole, o.Printer.Pin) || o.Printer.Wall <= 0,
		"the %s printer's limits are not complete: wall %g, hole %g, pin %g "+
			"mm", o.Printer.Name, o.Printer.Wall, o.Printer.Hole, o.Printer.Pin)
	fault(!(o.Wall > 0 && o.Wall >= least) || math.IsInf(o.Wall, 0),
		"casting.wall is %g mm, at least the %g mm that the %s printer makes are needed", o.Wall, least, o.Printer.Name)
	fault(!(o.Printer.Clearance >= 0),
		"the clearance of the mould's keys is %g mm; halves seat only with 0 or more", o.Printer.Clearance)
	fault(!(o.Draft >= 0 && o.Draft <= steepestDraft),
		"casting.draft is %g degrees, 0 to %g needed", degrees(o.Draft), degrees(steepestDraft))
	fault(!(o.Shrinkage >= 0 && o.Shrinkage <= largestShrinkage),
		"casting.shrinkage is %g percent, 0 to %g needed", 100*o.Shrinkage, 100*largestShrinkage)
	fault(!(o.Step >= 0) || math.IsInf(o.Step, 0), "the mould's sampling step is %g mm, a positive one needed", o.Step)
	return errors.Join(faults...)
}

// check returns an error if there is nothing to cast.
func (p Part) check() error {
	if p.Solid == nil {
		return errors.New("no solid is given")
	}
	box := p.Solid.Bounds()
	if !mesh.IsFinite(box.Min) || !mesh.IsFinite(box.Max) || box.Empty() {
		return fmt.Errorf("the solid's bounds are %v to %v mm: nothing to cast", box.Min, box.Max)
	}
	for _, size := range box.Max.Sub(box.Min) {
		if size > largestPart {
			return fmt.Errorf("the solid is %.0f mm long, %d mm at the most are cast: look at its scale", size,
				largestPart)
		}
	}
	if p.Mesh != nil {
		for i, v := range p.Mesh.Vertices {
			if !mesh.IsFinite(v) {
				return fmt.Errorf("vertex %d of its mesh is %v: a finite place is needed", i, v)
			}
		}
	}
	return nil
}

func (p Part) label() string {
	if p.Label != "" {
		return p.Label
	}
	return p.Name
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func degrees(radians float64) float64 { return radians * 180 / math.Pi }
