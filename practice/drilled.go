package practice

import (
	"slices"

	"earframe/assemble"
	"earframe/field"
	"earframe/practice/fixation"
)

// drilled returns the framework with the pilot holes in its units, if any are
// asked for. Meshes stay as they are: prints get surfaces of their own.
func drilled(f *assemble.Framework, wiring *fixation.Plan) *assemble.Framework {
	with := *f
	with.Pieces = slices.Clone(f.Pieces)
	for i := range with.Pieces {
		if holes := wiring.Holes(with.Pieces[i].Name()); len(holes) > 0 {
			with.Pieces[i].Solid = field.Difference(with.Pieces[i].Solid, field.Union(holes...))
		}
	}
	return &with
}
