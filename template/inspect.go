package template

import (
	"context"
	"io"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Shape is what Inspect says of one shape of a drawing.
type Shape struct {
	ID       string // its own id, or one by its place such as path-1
	Element  string
	Title    string
	Layer    string
	Parts    []string // parts or marks it is read as, none if it has no known name
	Line     int      // of its start tag
	Unit     string   // mm, or "units" in a drawing without real size
	Width    float64
	Height   float64
	Left     float64 // from the drawing's left edge
	Top      float64 // from the drawing's top edge
	Area     float64 // enclosed under the fill rule, unit squared
	Outlines int
	Closed   bool
	Problem  string // why it could not be an outline
}

// Inspect lists every shape of the drawing at path in the drawing's order,
// named or not, so that it can be named. ctx ends it early with its
// error.
func Inspect(ctx context.Context, path string) ([]Shape, error) {
	document, err := parseFile(ctx, path)
	if err != nil {
		return nil, located(err, path)
	}
	return inspect(ctx, document, path)
}

// InspectFrom lists the shapes of the drawing read from r; name stands for it
// in faults.
func InspectFrom(ctx context.Context, r io.Reader, name string) ([]Shape, error) {
	document, err := parse(ctx, r)
	if err != nil {
		return nil, located(err, name)
	}
	return inspect(ctx, document, name)
}

func inspect(ctx context.Context, document *document, file string) ([]Shape, error) {
	drawn, err := document.draw(ctx, nil)
	if err != nil {
		return nil, located(err, file)
	}
	shapes := make([]Shape, 0, len(drawn.shapes))
	for i := range drawn.shapes {
		shapes = append(shapes, drawn.describe(&drawn.shapes[i]))
	}
	return shapes, ctx.Err()
}

// describe measures one shape as it lies on the drawing.
func (d *drawing) describe(s *shape) Shape {
	shape := Shape{
		ID: s.id, Element: s.element.name, Title: s.title, Layer: s.layer,
		Parts: s.parts, Line: s.element.line, Unit: "mm", Closed: len(s.paths) > 0,
	}
	if !d.real {
		shape.Unit = "units"
	}
	if s.problem != nil {
		shape.Problem = s.problem.Error()
		shape.Closed = false
		return shape
	}
	lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	var rings []Ring
	for i := range s.paths {
		p := &s.paths[i]
		// Ten thousandths of the shape's size: finer than any figure shown.
		points, err := d.flatten(p, 100*p.coarse())
		if err != nil {
			shape.Problem, shape.Closed = err.Error(), false
			return shape
		}
		for _, q := range points {
			for k := range q {
				lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
			}
		}
		if !p.closed && p.end().Sub(p.start).Len() >= closingGap {
			shape.Closed = false
		} else if ring := withoutRepeats(points); len(ring) > 2 {
			rings = append(rings, ring)
		}
	}
	if len(s.paths) == 0 {
		return shape
	}
	shape.Left, shape.Top = lo[0], lo[1]
	shape.Width, shape.Height = hi[0]-lo[0], hi[1]-lo[1]
	d.measure(s, rings, &shape)
	return shape
}

// usualLength is how long an ear is in mm, about, to tell what is below the
// tolerance of curves in a drawing without size.
const usualLength = 60

// measure adds what can be said of closed rings that do not meet.
func (d *drawing) measure(s *shape, rings []Ring, shape *Shape) {
	if len(rings) == 0 || len(rings) > maxRings {
		return
	}
	if d.meets(rings) { // as Read does, by the size that an ear would have
		tolerance := DefaultTolerance
		if !d.real {
			tolerance = math.Hypot(shape.Width, shape.Height) * DefaultTolerance / usualLength
		}
		for i := range rings {
			rings[i], _, _ = rings[i].unhooked(tolerance)
		}
		rings = slices.DeleteFunc(rings, Ring.flat)
	}
	if d.meets(rings) || !d.spend(0) {
		shape.Problem = "crosses or touches itself"
		return
	}
	for _, outline := range fill(nest(rings), s.evenOdd) {
		shape.Area += outline.Area()
		shape.Outlines++
	}
}
