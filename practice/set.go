package practice

import (
	"context"
	"slices"
	"sync"

	"earframe/assemble"
	"earframe/field"
	"earframe/internal/workers"
	"earframe/practice/budget"
	"earframe/practice/fixation"
	"earframe/practice/kit"
	"earframe/practice/mould"
	"earframe/units"
)

// Caution stands with everything of a practice set.
const Caution = "Practice and teaching only: not sterile, not for patients, not for food. Silicone and resin per " +
	"their data sheets."

// Set is everything for one carving session.
type Set struct {
	Framework *assemble.Framework
	Carved    *assemble.Framework // as it is carved: the same, with cut units in their pieces
	Blanks    []Blank
	Moulds    []*mould.Mould // of the units, then of the blanks
	Mix       []mould.Mix    // one a mould, and all of them in the last row
	Kit       *kit.Kit
	Wiring    *fixation.Plan
	Budget    *budget.Budget
	Heights   *assemble.DepthMap
	Findings  []units.Finding // of all of them, the framework's own left out
	Values    []units.Value   // that the case does not give, with where they come from
}

// contourStep is the step, mm, at which the heights of the frame are read for
// contour lines: a coarser one lets them wobble.
const contourStep = 0.1

// Make makes the practice set of a framework as its plan's case asks. What a
// technician or fellow ought to know is in the findings; a part whose mould
// cannot be made as asked is left out and is a finding of severity error. It is
// an error if a measurement gives no cartilage or a mesh is unsound. progress is
// told after each finished step; ctx ends the work early with its error.
func Make(ctx context.Context, f *assemble.Framework, progress workers.Progress) (*Set, error) {
	m := &maker{Set: &Set{Framework: f}, plan: f.Plan}
	if err := m.planBlanks(); err != nil {
		return nil, err
	}
	m.casts = make([][]cast, len(f.Pieces)+len(m.Blanks))
	// What the units wait for goes first, then what takes longest, so that nothing long
	// is left alone at the end.
	jobs := []workers.Job{m.settle}
	for i := range m.Blanks {
		jobs = append(jobs, func(ctx context.Context) error { return m.makeBlank(ctx, i) })
	}
	jobs = append(jobs, m.kitAndWiring)
	for i := range f.Pieces {
		jobs = append(jobs, func(ctx context.Context) error { return m.castUnit(ctx, i) })
	}
	jobs = append(jobs, m.readHeights)
	if err := workers.Jobs(ctx, atOnce, progress, jobs...); err != nil {
		return nil, err
	}
	return m.Set, m.gather()
}

// maker makes a set, in parts that do not wait for one another.
type maker struct {
	*Set
	plan  *units.Plan
	found []units.Finding // about blanks
	casts [][]cast        // of the pieces of each of the framework's units, then of the blanks

	settling sync.Mutex
	cuttings []units.Cutting
}

// cast is a mould, or why there is none.
type cast struct {
	mould   *mould.Mould
	refusal *units.Finding
}

// atOnce bounds what is made at once, and with it the memory: a mould holds
// several million samples while it is contoured.
const atOnce = 2

// kitAndWiring plans the wiring, then the kit, whose prints have the pilot holes.
func (m *maker) kitAndWiring(ctx context.Context) (err error) {
	if err := m.settle(ctx); err != nil {
		return err
	}
	if m.Wiring, err = fixation.Make(ctx, m.Carved); err != nil {
		return err
	}
	m.Kit, err = kit.Make(ctx, m.Framework, m.holes, m.cuttings)
	return err
}

// holes returns the pilot holes through a unit, or through its pieces.
func (m *maker) holes(unit string) (all []field.Field) {
	for _, p := range m.Carved.Pieces {
		if p.Unit.Of().Name == unit {
			all = append(all, m.Wiring.Holes(p.Name())...)
		}
	}
	return all
}

// readHeights reads the heights of the units as they lie on one another: the
// fillet of the print that joins them is not carved.
func (m *maker) readHeights(ctx context.Context) (err error) {
	var carved []field.Field
	for i := range m.Framework.Pieces {
		carved = append(carved, m.Framework.Pieces[i].Solid)
	}
	m.Heights, err = assemble.Depth(ctx, field.Union(carved...), contourStep)
	return err
}

// gather collects what every part has to say, in a fixed order.
func (m *maker) gather() (err error) {
	m.Findings = slices.Concat(m.found, m.Budget.Findings, m.Wiring.Findings, m.Kit.Findings)
	m.Values = slices.Concat(m.Wiring.Values, m.Kit.Values, mould.Values(m.plan.Printer))
	for _, b := range m.Blanks {
		m.Values = append(m.Values, b.Values...)
	}
	for _, c := range slices.Concat(m.casts...) {
		if c.refusal != nil {
			m.Findings = append(m.Findings, *c.refusal)
			continue
		}
		m.Moulds = append(m.Moulds, c.mould)
		m.Findings = append(m.Findings, c.mould.Findings...)
	}
	m.Mix, err = mould.MixTable(m.plan.Practice.Casting, m.Moulds)
	return err
}
