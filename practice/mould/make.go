package mould

import (
	"context"
	"errors"
	"fmt"
	"math"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/mesh/wall"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// simplifyWithin, mm, is how far simplification may move a mould's surface.
	simplifyWithin = 0.01

	// openedBelow, mm, is how far under the flat face the section is taken that
	// goes on through an open mould's top: no film is left where the face is not
	// level to the last digit, and no feather edge where its border is rounded.
	// The cast is larger by less than that there, whatever the radius:
	// √(r² + 2 r · openedBelow) - r.
	openedBelow = 0.05

	// roofLeast, mm, is the least mould over the highest cavity of a mould in two
	// parts: room for a funnel. earframe's own choice.
	roofLeast = 5.0

	// partingMargin, mm, is how far the parting surface is computed beyond the
	// part; farther out it goes on as it is there.
	partingMargin = 15.0

	cubicMMPerML = 1000
)

// Make makes the mould of a part. The same part gives the same mould on any
// number of cores; ctx ends the work early with its error.
//
// It is an error, which names the part and the number to change, if the options
// cannot be kept, if there is nothing to cast, if an open mould is asked for and
// the part has no flat face (ErrNoFlatFace), if nothing of the part is left by the
// draft (ErrDraft), or if the part closes around some of the mould (ErrLoose). What a technician
// ought to know is in the findings.
func Make(ctx context.Context, part Part, options Options) (*Mould, error) {
	m, err := makeMould(ctx, part, options)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("mould of %s: %w", part.Name, err)
	}
	return m, nil
}

func makeMould(ctx context.Context, part Part, options Options) (*Mould, error) {
	if err := errors.Join(part.check(), options.check()); err != nil {
		return nil, err
	}
	surface, err := part.surface(ctx, &options)
	if err != nil {
		return nil, err
	}
	if len(surface.Triangles) == 0 {
		return nil, fmt.Errorf("nothing of it is as large as the sampling step of %g mm: nothing to cast", options.Step)
	}
	best, err := openingOf(ctx, surface, part.Solid)
	if err != nil {
		return nil, err
	}
	open, err := chooseKind(best, options)
	if err != nil {
		return nil, err
	}
	m := &Mould{
		Name: part.Name, Label: part.label(), Kind: units.MouldTwoPart, Cast: options.Cast,
		Wall: options.Wall, Draft: degrees(options.Draft), Shrinkage: 100 * options.Shrinkage, Step: options.Step,
		Turned: open && best.turned, FlatShare: best.share,
		Undercuts: []Undercut{}, Findings: []units.Finding{},
	}
	b := builder{Mould: m, options: options, part: part.Solid, solid: surface}
	build := b.twoPart
	if open {
		m.Kind = units.MouldOpen
		build = func(ctx context.Context) error { return b.open(ctx, best) }
	}
	b.place()
	if err := build(ctx); err != nil {
		return nil, err
	}
	m.Findings = append(m.Findings, m.undercutFindings(options.Cast)...)
	return m, b.finish(ctx)
}

// surface returns the part's surface, and chooses the step if none is given. What
// is only measured is not simplified.
func (p Part) surface(ctx context.Context, options *Options) (made *mesh.Mesh, err error) {
	if options.Step == 0 {
		if options.Step, made, err = ChooseStep(ctx, p.Solid); err != nil {
			return nil, err
		}
	}
	switch {
	case p.Mesh != nil:
		return p.Mesh, nil
	case made != nil:
		return made, nil
	}
	return contour.Of(ctx, p.Solid, contour.Options{Step: options.Step})
}

// builder is a mould in the making.
type builder struct {
	*Mould
	options Options
	part    field.Field // in its own coordinates
	solid   *mesh.Mesh  // of the part, first in its own coordinates, then in the mould's
	whole   field.Field // the part in the mould, before draft
	block   *block
}

// place lays the part over the middle of the mould, larger by the shrinkage, its
// lowest point one wall above the mould's underside.
func (b *builder) place() {
	lo, hi := extent(b.solid, b.part)
	b.placing = placing{from: lo.Add(hi).Mul(0.5), scale: 1 / (1 - b.options.Shrinkage), turned: b.Turned}
	b.raise(b.options.Wall + (hi[2]-lo[2])/2*b.placing.scale)
}

// raise moves the part up by dz mm.
func (b *builder) raise(dz float64) {
	b.placing.to[2] += dz
	b.whole = &placed{b.placing, b.part}
	b.Cavity = b.whole
}

// open makes the open mould of one piece.
func (b *builder) open(ctx context.Context, o opening) error {
	turnedFrom := b.placing.turn(b.placing.from)
	level := field.Level((o.level-turnedFrom[2])*b.placing.scale + b.placing.to[2])
	b.solid = b.placing.mesh(b.solid)
	if err := b.narrow(ctx, level, 0); err != nil {
		return err
	}
	fine, err := b.fineColumns(ctx)
	if err != nil {
		return err
	}
	grip := fine.grip(Open, -1, level)
	samples := fine.beside(grip.blocked, piecesOf(b.CavityMesh, sampleSteps*b.options.Step))
	if err := ask(ctx, samples, b.Cavity); err != nil {
		return err
	}
	b.addUndercuts(fine, grip, level, samples)
	hull, direction := outlineOf(b.solid)
	if err := b.makeBlock(hull, nil, direction, float64(level)); err != nil {
		return err
	}
	return b.addPiece(ctx, Open, field.Difference(b.block.Field, &opened{b.Cavity, float64(level) - openedBelow}))
}

// twoPart makes the mould of two halves.
func (b *builder) twoPart(ctx context.Context) error {
	size := keySizeFor(b.options.Printer)
	samples, err := samplesOf(ctx, b.placing.mesh(b.solid), b.whole, sampleSteps*b.options.Step)
	if err != nil {
		return err
	}
	parting, err := partingOf(samples, b.whole.Bounds(), partingMargin)
	if err != nil {
		return err
	}
	// The lower half holds the parting surface's lowest place and the pegs' feet.
	if short := math.Max(b.options.Wall, keySunk+size.rim) - parting.Lowest; short > 0 {
		b.raise(short)
		parting.raise(short)
		for i := range samples {
			samples[i].at[2] += short
		}
	}
	b.Parting = &parting
	b.solid = b.placing.mesh(b.solid)
	if err := b.narrow(ctx, parting.surface, steepest(samples, parting.surface)); err != nil {
		return err
	}
	fine, err := b.fineColumns(ctx)
	if err != nil {
		return err
	}
	if b.options.Draft > 0 {
		if samples, err = samplesOf(ctx, b.CavityMesh, b.Cavity, sampleSteps*b.options.Step); err != nil {
			return err
		}
	}
	for _, g := range []gripped{fine.grip(Lower, -1, parting.surface), fine.grip(Upper, 1, parting.surface)} {
		b.addUndercuts(fine, g, parting.surface, samples)
	}
	lines, err := columnsOf(ctx, b.CavityMesh, coarse, 2*size.reach()+keySpread, mostCoarseLines)
	if err != nil {
		return err
	}
	t := newCeiling(lines)
	hull, direction := outlineOf(b.solid)
	_, hi := extent(b.solid, b.whole)
	top := math.Max(math.Max(hi[2], parting.Highest)+math.Max(b.options.Wall, roofLeast), 0)
	for _, at := range lines.keyPlaces(t.part, direction, size) {
		key := newKey(at, size, parting.surface)
		b.Keys = append(b.Keys, key)
		top = math.Max(top, key.peg.high+size.clearance+size.rim)
	}
	if err := b.makeBlock(hull, b.Keys, direction, top); err != nil {
		return err
	}
	b.drill(t)
	return b.halves(ctx)
}

// fineColumns drops the lines on which undercuts are looked for.
func (b *builder) fineColumns(ctx context.Context) (*columns, error) {
	return columnsOf(ctx, b.CavityMesh, undercutStep, 2*undercutStep, mostUndercutLines)
}

// halves makes both pieces of a mould in two parts.
func (b *builder) halves(ctx context.Context) error {
	box := b.block.Field.Bounds()
	below := &half{b.Parting.surface, 1, box}
	above := &half{b.Parting.surface, -1, box}
	lower := []field.Field{field.Difference(field.Intersection(b.block.Field, below), b.Cavity)}
	taken := []field.Field{b.Cavity}
	for _, k := range b.Keys {
		lower = append(lower, k.peg)
		taken = append(taken, k.socket())
	}
	for _, c := range append(append([]Channel(nil), b.Funnels...), b.Vents...) {
		for _, t := range c.tapers {
			taken = append(taken, t)
		}
	}
	if err := b.addPiece(ctx, Lower, field.Union(lower...)); err != nil {
		return err
	}
	return b.addPiece(ctx, Upper, field.Difference(field.Intersection(b.block.Field, above), field.Union(taken...)))
}

// makeBlock makes the outer shape around the part's outline and the keys.
func (b *builder) makeBlock(hull []mgl64.Vec2, keys []Key, direction, top float64) error {
	discs := make([]disc, 0, len(hull)+len(keys))
	for _, p := range hull {
		discs = append(discs, disc{p, b.options.Wall})
	}
	rim := keySizeFor(b.options.Printer)
	for _, k := range keys {
		discs = append(discs, disc{k.At.Vec2(), rim.radius + rim.clearance + rim.rim})
	}
	made, err := newBlock(discs, direction, top)
	if err != nil {
		return err
	}
	b.block, b.Block = made, made.Field
	b.BlockML = made.volume / cubicMMPerML
	box := made.Field.Bounds()
	b.Size = box.Max.Sub(box.Min)
	return nil
}

func (b *builder) addUndercuts(c *columns, g gripped, parting field.Surface, samples []sample) {
	for _, u := range c.undercuts(g, parting, samples) {
		u.At = b.placing.intoPart(u.At)
		b.Undercuts = append(b.Undercuts, u)
	}
}

// addPiece contours a piece and judges it.
func (b *builder) addPiece(ctx context.Context, name string, solid field.Field) error {
	p := Section{Name: name, Solid: solid}
	surface, err := contour.Of(ctx, solid, contour.Options{Step: b.options.Step})
	if err == nil {
		p.Mesh, p.Verdict, err = simplify.Judged(ctx, surface, simplify.Options{Tolerance: simplifyWithin})
	}
	if err != nil {
		return fmt.Errorf("%s piece: %w", name, err)
	}
	if solids := len(p.Verdict.Shells) - p.Verdict.Cavities; solids > 1 {
		return fmt.Errorf("%w: its %s piece would be %d pieces, because the part closes around some of it; open or "+
			"fill that place", ErrLoose, name, solids)
	}
	walls, err := wall.OfMesh(ctx, p.Mesh, wall.Options{})
	if err != nil {
		return err
	}
	p.Thinnest = walls.Least()
	b.Pieces = append(b.Pieces, p)
	return nil
}

// finish adds what is known only at the end.
func (b *builder) finish(ctx context.Context) error {
	least := b.options.Printer.Wall
	for _, p := range b.Pieces {
		if p.Thinnest == nil || p.Thinnest.Thickness >= least {
			continue
		}
		at := b.placing.intoPart(p.Thinnest.At)
		b.Findings = append(b.Findings, units.Finding{
			Rule: "mould-wall-too-thin", Severity: units.Warning, Unit: b.Name, At: &at,
			Value: p.Thinnest.Thickness, Limit: least, Measure: "mm",
			Message: fmt.Sprintf("a wall of the mould's %s piece is %.2f mm thin, %s printing needs %.2f mm", p.Name,
				p.Thinnest.Thickness, b.options.Printer.Name, least),
			Advice: "Look at that wall in the slicer's layers before printing; if it is left out, fill the place " +
				"with wax or print the mould in resin",
		})
	}
	return ctx.Err()
}
