package template

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/regular"
)

// Options say how a drawing is read.
type Options struct {
	// Names gives parts or marks to ids of the drawing, or to the ids that
	// Inspect shows for shapes without one: {"path12": {"base"}}. A shape may
	// be several parts; an empty list leaves it out.
	Names map[string][]string
	// EarLength is the length of the ear in mm, superior to inferior after the
	// turn to the Frankfort horizontal. It gives the scale of a drawing without
	// real size, and is held against the scale of any other. 0: not known.
	EarLength float64
	// Mirror turns the sheet over (x becomes -x), for a template traced from
	// the other ear.
	Mirror bool
	// Tolerance is how far in mm a polygon may lie off its curve; 0 stands for
	// DefaultTolerance.
	Tolerance float64
}

// DefaultTolerance is the tolerance in mm that curves are flattened to: a tenth
// of the width of a fine pencil line.
const DefaultTolerance = 0.02

// ScaleSource says where a sheet's scale comes from.
type ScaleSource string

// The sources of scale, the first that there is counts.
const (
	FromDocument  ScaleSource = "the drawing's width and height"
	FromScaleMark ScaleSource = "the scale mark"
	FromEarLength ScaleSource = "the given ear length"
)

// Sheet is a template at true scale, turned upright, in millimetres.
type Sheet struct {
	File        string
	Outlines    []Outline // in the drawing's order
	Lines       []Line    // along which units may be cut and bolsters laid, likewise
	ScaleSource ScaleSource
	Scale       float64        // mm per unit of the drawing; of its stated size: 1
	Turned      float64        // radians counter-clockwise, from the drawing to the Frankfort horizontal
	Frankfort   *[2]mgl64.Vec2 // ends of the frankfort mark on the sheet, anterior first; nil without one
	Mirrored    bool
	Ignored     []Ignored // shapes without a known name, but for those left out by Options.Names
	Healed      []Healed  // what was too small to be meant, by shape
	Overlaps    []Overlap // of outlines of one part
	LeftOut     []LeftOut // named after a part or mark, but not drawn
}

// Ignored is a shape of the drawing that is no part and no mark.
type Ignored struct {
	ID    string // its own, or one by its place such as path-1
	Label string // its title or its layer's label, may be empty
	Guess string // the known name that was perhaps meant, empty if none is near
}

// Part returns the outlines of a part, in the drawing's order.
func (s *Sheet) Part(name string) []Outline {
	var outlines []Outline
	for _, o := range s.Outlines {
		if o.Part == name {
			outlines = append(outlines, o)
		}
	}
	return outlines
}

// Read reads the SVG drawing at path.
//
// Known shapes are those named after a part or a mark: by Options.Names, their
// data-part, id, title or layer label, or that of a group around them. A name
// is the part's own or begins with it (antihelix-body). Others are left aside.
//
// The size is the drawing's own where width or height has a unit (1 in = 96 px),
// else that of the scale mark, else of Options.EarLength. Sizes given twice must
// agree. A frankfort mark is turned level by the smaller turn, so the drawing
// must be less than a quarter turn off. What is anterior on the left of the
// drawing stays on the left, at negative x, as at a left ear.
//
// Faults come back together as Faults; ctx ends the reading early with its error.
func Read(ctx context.Context, path string, options Options) (*Sheet, error) {
	document, err := parseFile(ctx, path)
	if err != nil {
		return nil, located(err, path)
	}
	return read(ctx, document, path, options)
}

// ReadFrom reads an SVG drawing from r as Read does; name stands for it in
// faults.
func ReadFrom(ctx context.Context, r io.Reader, name string, options Options) (*Sheet, error) {
	document, err := parse(ctx, r)
	if err != nil {
		return nil, located(err, name)
	}
	return read(ctx, document, name, options)
}

// located adds the file to a single fault.
func located(err error, file string) error {
	if fault, ok := err.(*Fault); ok {
		return Faults{fault}.in(file)
	}
	var unread *regular.Error
	if errors.As(err, &unread) {
		return err // which names the file
	}
	return fmt.Errorf("drawing %s: %w", file, err)
}

// sheetReader makes a sheet of a drawing and collects faults on the way.
type sheetReader struct {
	*drawing
	options Options
	sheet   *Sheet
	faults  Faults
	upright affine // from the drawing to the sheet, but for the origin
}

func read(ctx context.Context, document *document, file string, options Options) (*Sheet, error) {
	if options.Tolerance == 0 {
		options.Tolerance = DefaultTolerance
	}
	if !(options.Tolerance > 0) || !(options.EarLength >= 0) || math.IsInf(options.EarLength, 0) {
		return nil, Faults{{Kind: BadNumber, Found: fmt.Sprintf("tolerance %g mm, ear length %g mm: expected positive "+
			"lengths", options.Tolerance, options.EarLength)}}.in(file)
	}
	drawn, err := document.draw(ctx, options.Names)
	if err != nil {
		return nil, located(err, file)
	}
	r := &sheetReader{drawing: drawn, options: options,
		sheet: &Sheet{File: file, Mirrored: options.Mirror, LeftOut: drawn.left}}
	r.checkNames()
	r.checkShapes()
	if err := r.stop(file); err != nil {
		return nil, err // without names and readable shapes there is no scale
	}
	r.place()
	if err := r.stop(file); err != nil {
		return nil, err
	}
	r.outline()
	r.lines()
	if err := r.stop(file); err != nil {
		return nil, err
	}
	r.centre()
	return r.sheet, nil
}

// is reports whether the shape is the part or mark.
func (s *shape) is(name string) bool {
	for _, part := range s.parts {
		if part == name {
			return true
		}
	}
	return false
}

// isOutline reports whether the shape is any part, not a mark only.
func (s *shape) isOutline() bool {
	for _, part := range s.parts {
		if !isMark(part) {
			return true
		}
	}
	return false
}

func isMark(name string) bool { return slices.Contains(MarkNames(), name) }

// stop returns why the reading cannot go on: the context's error, or the faults
// found so far.
func (r *sheetReader) stop(file string) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	return r.faults.in(file)
}

func (r *sheetReader) fault(s *shape, kind Kind, found, advice string) *Fault {
	f := &Fault{Kind: kind, Line: s.element.line, ID: s.id, Found: found, Advice: advice}
	r.faults = append(r.faults, f)
	return f
}

// centre moves the origin into the middle of the ear, of all outlines if there
// is none.
func (r *sheetReader) centre() {
	around := r.sheet.Part("ear")
	if len(around) == 0 {
		around = r.sheet.Outlines
	}
	lo, hi := around[0].Bounds()
	for _, o := range around[1:] {
		l, h := o.Bounds()
		for k := range lo {
			lo[k], hi[k] = math.Min(lo[k], l[k]), math.Max(hi[k], h[k])
		}
	}
	middle := lo.Add(hi).Mul(0.5)
	for _, o := range r.sheet.Outlines {
		for _, ring := range o.Rings() {
			for i := range ring {
				ring[i] = ring[i].Sub(middle)
			}
		}
	}
	for _, line := range r.sheet.Lines {
		for i := range line.Points {
			line.Points[i] = line.Points[i].Sub(middle)
		}
	}
	if line := r.sheet.Frankfort; line != nil {
		line[0], line[1] = line[0].Sub(middle), line[1].Sub(middle)
	}
}
