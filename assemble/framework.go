package assemble

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"earframe/field"
	"earframe/internal/kept"
	"earframe/internal/workers"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/mesh/wall"
	"earframe/units"
)

// Framework is the stacked units and what became of them.
type Framework struct {
	Plan     *units.Plan
	Pieces   []Piece // in the plan's order, base frame first
	Joined   *Piece  // all of them as one solid, without a Unit; nil if they were left apart
	Contacts []Contact
	Findings []units.Finding // the plan's and those of the assembly
}

// Piece is one unit, or the joined framework, made solid.
type Piece struct {
	Unit  *units.Unit
	Solid field.Field // as carved: recesses, notches, engraving
	Shape
	Walls wall.Walls // the thinnest of Solid, letters aside; none of the joined framework

	key   kept.Key    // of all that shapes Solid
	plain units.Solid // without engraving; none of the joined framework
}

// Shape is what was made of a solid. Pieces of the same solid share it.
type Shape struct {
	Mesh    *mesh.Mesh   // its surface, simplified
	Verdict mesh.Verdict // what the judge said of Mesh

	surface *mesh.Mesh // as contoured, not simplified
}

// bytes is what a shape holds, about.
func (s *Shape) bytes() int64 { return s.Mesh.Bytes() + s.surface.Bytes() }

// Name returns the unit's name, or "framework" for the joined piece.
func (p *Piece) Name() string {
	if p.Unit == nil {
		return "framework"
	}
	return p.Unit.Name
}

// Options says what is made of a plan. Zero values mean the usual.
type Options struct {
	Step      float64          // of sampling, mm; 0: the plan's
	Tolerance float64          // of simplification, mm; 0: the plan's if Step is the plan's too
	Apart     bool             // leave the units unjoined, for those who carve or print them one by one
	Plain     bool             // leave out the letters
	Unwalled  bool             // leave the walls unmeasured, which takes as long as a coarse mesh
	Kept      *kept.Store      // of what was made earlier; nil makes all anew
	Progress  workers.Progress // told after each finished piece
}

// Build stacks the plan's units, makes the surface of each and of the joined
// framework, simplifies and judges them, and measures how they fit. The same
// plan gives the same framework on any number of cores. An unsound mesh is an
// error that wraps mesh.ErrUnsound and says where; what merely ought to be looked at
// is a finding.
func Build(ctx context.Context, plan *units.Plan, o Options) (*Framework, error) {
	if o.Step == 0 {
		o.Step, o.Tolerance = plan.Step, plan.Tolerance
	}
	f, refused, err := lay(ctx, plan, o)
	if err != nil {
		return nil, err
	}
	// The joined framework is the longest piece of work, so it comes first.
	var pieces []*Piece
	if !o.Apart {
		f.Joined = f.join()
		pieces = append(pieces, f.Joined)
	}
	for i := range f.Pieces {
		pieces = append(pieces, &f.Pieces[i])
	}
	if err := makeAll(ctx, pieces, o, plan.Printer.Wall); err != nil {
		return nil, err
	}
	if err := f.measureContacts(ctx, o); err != nil {
		return nil, err
	}
	f.Findings = slices.Concat(plan.Findings, refused, f.inspect())
	for _, p := range pieces {
		p.surface = nil
	}
	o.Progress.Tell(len(pieces)+1, len(pieces)+1)
	return f, nil
}

// lay returns the framework with its solids, nothing made of them yet, and what
// there is to say of letters that could not be cut.
func lay(ctx context.Context, plan *units.Plan, o Options) (*Framework, []units.Finding, error) {
	solids, err := plan.Solids(ctx)
	if err != nil {
		return nil, nil, err
	}
	if len(solids) == 0 {
		return nil, nil, errors.New("assemble: the plan has no units; draw at least a base frame")
	}
	plain := solids
	var refused []units.Finding
	if !o.Plain {
		lettered, err := plan.Lettered(ctx)
		if err != nil {
			return nil, nil, err
		}
		solids, refused = lettered.Solids, lettered.Findings
	}
	f := &Framework{Plan: plan, Pieces: make([]Piece, len(solids))}
	for i, s := range solids {
		f.Pieces[i] = Piece{Unit: s.Unit, Solid: s.Field, key: s.Key, plain: plain[i]}
	}
	return f, refused, nil
}

// join returns the units as one solid.
func (f *Framework) join() *Piece {
	fields := make([]field.Field, len(f.Pieces))
	keys := make([]kept.Key, len(f.Pieces))
	for i, p := range f.Pieces {
		fields[i], keys[i] = p.Solid, p.key
	}
	return &Piece{Solid: field.Blend(f.Plan.Fillet, fields...), key: kept.KeyOf("joined", f.Plan.Fillet, keys)}
}

// affordable returns an error if the joined framework, or the units side by side,
// would hold too much memory; the one that needs the wider step.
func affordable(pieces []*Piece, step float64) error {
	var apart, joined []field.Field
	for _, p := range pieces {
		if p.Unit == nil {
			joined = append(joined, p.Solid)
		} else {
			apart = append(apart, p.Solid)
		}
	}
	var worst *contour.TooFine
	for _, solids := range [][]field.Field{joined, apart} {
		var tooFine *contour.TooFine
		if errors.As(contour.Affordable(step, solids...), &tooFine) && (worst == nil || tooFine.Would > worst.Would) {
			worst = tooFine
		}
	}
	if worst != nil {
		return fmt.Errorf("assemble: %w", worst)
	}
	return nil
}

// makeAll makes the pieces side by side.
func makeAll(ctx context.Context, pieces []*Piece, o Options, leastWall float64) error {
	if err := affordable(pieces, o.Step); err != nil { // before any work is done
		return err
	}
	step := o.Progress.Steps(len(pieces) + 1)
	return workers.Each(ctx, "pieces", len(pieces), func(i int) error {
		err := pieces[i].make(ctx, o)
		if err == nil && !o.Unwalled {
			err = pieces[i].measureWall(ctx, o, leastWall)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", pieces[i].Name(), err)
		}
		step()
		return nil
	})
}

// make makes the piece's shape, or takes it from what is kept.
func (p *Piece) make(ctx context.Context, o Options) error {
	key := kept.KeyOf("piece", p.key, o.Step, o.Tolerance)
	made, err := kept.Get(ctx, o.Kept, key, (*Shape).bytes, func(ctx context.Context) (*Shape, error) {
		fresh := *p
		err := fresh.shape(ctx, o.Step, o.Tolerance)
		return &fresh.Shape, err
	})
	if err == nil {
		p.Shape = *made
	}
	return err
}

// shape contours, simplifies and judges the piece.
func (p *Piece) shape(ctx context.Context, step, tolerance float64) error {
	var err error
	if p.surface, err = contour.Of(ctx, p.Solid, contour.Options{Step: step}); err != nil {
		return err
	}
	if len(p.surface.Triangles) == 0 {
		return fmt.Errorf("nothing is left of it at a sampling step of %g mm; a thicker or wider unit is needed", step)
	}
	p.Mesh, p.Verdict, err = simplify.Judged(ctx, p.surface, simplify.Options{Tolerance: tolerance})
	return err
}

// measureWall measures the thinnest walls of a unit, on its solid, so that they are
// the same at any sampling step; or takes them from what is kept. An engraving does
// not count: its ridges are no walls.
func (p *Piece) measureWall(ctx context.Context, o Options, least float64) error {
	if p.Unit == nil {
		return nil
	}
	bytes := func(*wall.Walls) int64 { return wallsBytes }
	walls, err := kept.Get(ctx, o.Kept, kept.KeyOf("walls", p.plain.Key, least), bytes, func(ctx context.Context) (*wall.Walls, error) {
		measured, err := wall.OfField(ctx, p.plain.Field, wall.Options{Drawn: p.plain.Drawn, Below: least})
		return &measured, err
	})
	if err == nil {
		p.Walls = *walls
	}
	return err
}

// wallsBytes is what walls hold, about: two of five numbers each.
const wallsBytes = 2 * 5 * 8

// measureContacts measures each pair of units.
func (f *Framework) measureContacts(ctx context.Context, o Options) error {
	type pair struct{ a, b *Piece }
	var pairs []pair
	for i := range f.Pieces {
		for j := range i {
			pairs = append(pairs, pair{&f.Pieces[j], &f.Pieces[i]})
		}
	}
	f.Contacts = make([]Contact, len(pairs))
	return workers.Each(ctx, "contacts", len(pairs), func(i int) error {
		a, b := pairs[i].a, pairs[i].b
		key := kept.KeyOf("contact", a.key, b.key, o.Step)
		c, err := kept.Get(ctx, o.Kept, key, Contact.bytes, func(ctx context.Context) (Contact, error) {
			return contactBetween(ctx, a.side(), b.side(), o.Step)
		})
		c.A, c.B = a.Unit.Name, b.Unit.Name
		c.Permitted = slices.Contains(a.Unit.NotchFor, b.Unit.Name) || slices.Contains(b.Unit.NotchFor, a.Unit.Name)
		f.Contacts[i] = c
		return err
	})
}

// InOrder returns the pieces in the order in which they are put together.
func (f *Framework) InOrder() []*Piece {
	of := map[*units.Unit]*Piece{}
	var all []*units.Unit
	for i := range f.Pieces {
		p := &f.Pieces[i]
		of[p.Unit] = p
		all = append(all, p.Unit)
	}
	var ordered []*Piece
	for _, u := range units.InAssembly(all) {
		ordered = append(ordered, of[u])
	}
	return ordered
}

func (p *Piece) side() solid { return solid{p.Solid, p.surface} }
