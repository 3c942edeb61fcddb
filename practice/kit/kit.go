package kit

import (
	"context"
	"errors"
	"fmt"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/mesh/wall"
	"earframe/units"
)

// Kit is the units of a framework as separate prints.
type Kit struct {
	Clearance float64    // between surfaces that face one another
	Bed       [2]float64 // width and depth of the printer's plate
	Gap       float64    // between prints on a plate
	Pieces    []Print    // in the order of assembly
	Plates    []Plate
	Findings  []units.Finding // they stand with the other findings
	Values    []units.Value   // likewise: limits that the case does not give
}

// Print is one print: a unit, a piece of one that is carved in pieces, or a part of
// one that was cut to fit the bed.
type Print struct {
	Order int    // 1 is laid down first
	Name  string // the unit's, with the part if it was cut: "base, part 1 of 2"
	// Letter is carved into the underside: side and order (L4), order alone (4), or
	// as many pits (4 dimples); empty if none has room.
	Letter    string
	Unit      *units.Unit
	GivesWay  []string     // units that room was made for
	Removed   float64      // of the unit for room; letters, holes and cuts aside
	Solid     field.Field  // as it is printed, in the framework's coordinates
	Mesh      *mesh.Mesh   // its surface there
	Verdict   mesh.Verdict // on Mesh
	Thinnest  *wall.Wall   // beside and under rooms for neighbours, of the whole unit; nil if none was made
	Pose      Pose
	Printed   *mesh.Mesh      // Mesh turned as it lies on the bed; the plate moves it there
	OnBed     mesh.Verdict    // on Printed
	Footprint [2]float64      // width and depth on the bed
	Height    float64         // over the bed
	Cut       *Cut            // the last one that made it; nil if it is whole
	plain     field.Field     // without letter
	letters   field.Field     // carved out of it; nil for none
	drill     field.Field     // drilled through it; nil for none
	room      field.Field     // taken out of it for its neighbours; nil if none are near
	outside   []*field.Region // what is not its own, of a unit that was cut
	part      string          // A, B … of a unit that was cut
	refused   error           // why it has no letter
	whole     float64         // of the whole unit's print, mm³
	left      crumbs          // out of Mesh
}

// Plate is one filled bed; objects lie within 0 and its size, on z = 0.
type Plate struct {
	Objects []meshfile.Object
	Pieces  []int // indices of the objects' pieces
}

// ErrBad marks numbers that no kit can be made with.
var ErrBad = errors.New("kit")

// Make makes the kit of a framework as its plan's case asks; holes, which may be
// nil, tells what is to be taken away from the unit of a name, such as the pilot
// holes of its fixations. Units that are carved in pieces are printed in the same, with
// a dovetail across each cut where it is broad enough. It is an error if the clearance or the gap is negative,
// the bed has no size, or a mesh is unsound; what merely ought to be looked at is
// a finding. ctx ends the work early with its error.
func Make(
	ctx context.Context, f *assemble.Framework, holes func(unit string) []field.Field, cuttings []units.Cutting,
) (*Kit, error) {
	asked := f.Plan.Practice.Kit
	switch {
	case !(asked.Clearance >= 0):
		return nil, fmt.Errorf("%w.clearance: %g mm; units would reach into one another, 0 or more is expected", ErrBad,
			asked.Clearance)
	case !(asked.Gap >= 0):
		return nil, fmt.Errorf("%w.gap: %g mm; 0 or more is expected", ErrBad, asked.Gap)
	case !(asked.BedWidth > 0 && asked.BedDepth > 0):
		return nil, fmt.Errorf("%w.bed: %g × %g mm; more than 0 is expected", ErrBad, asked.BedWidth, asked.BedDepth)
	}
	k := &Kit{
		Clearance: asked.Clearance, Bed: [2]float64{asked.BedWidth, asked.BedDepth}, Gap: asked.Gap,
		Values: []units.Value{{
			Path: "kit.overhang", Value: overhangDegrees, Unit: "degrees", Origin: units.Default,
			Note: "from the vertical, beyond which a face is held to need supports: public print rules (self-support " +
				"45 degrees)",
		}},
	}
	if err := k.fit(ctx, f); err != nil {
		return nil, err
	}
	for i := range k.Pieces {
		p := &k.Pieces[i]
		if err := p.letter(ctx, f.Plan, ""); err != nil {
			return nil, err
		}
		if holes != nil {
			if of := holes(p.Unit.Name); len(of) > 0 {
				p.drill = field.Union(of...)
				p.Solid = field.Difference(p.Solid, p.drill)
			}
		}
	}
	if err := workers.Each(ctx, "", len(k.Pieces),
		func(i int) error { return k.Pieces[i].print(ctx, f.Plan) }); err != nil {
		return nil, err
	}
	if err := k.inspect(ctx, f); err != nil {
		return nil, err
	}
	if err := k.cutAsCarved(ctx, f.Plan, cuttings); err != nil {
		return nil, err
	}
	if err := k.cutToFit(ctx, f.Plan); err != nil {
		return nil, err
	}
	k.inspectLetters(f.Plan)
	k.inspectCrumbs()
	k.inspectPoses()
	return k, k.layOut(ctx, f.Plan)
}
