package template

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// Two statements of scale may differ by this share: a mark drawn to half a
// millimetre on 100. An ear is measured with a calliper, so its length may
// differ by more (both our choice, no source).
const (
	scaleAgreement     = 0.005
	earLengthAgreement = 0.01
)

// steep is the angle in radians from the horizontal beyond which it cannot be
// told which end of a frankfort mark is anterior: half a degree short of
// upright.
const steep = math.Pi/2 - math.Pi/360

// checkNames holds the caller's names against the drawing and the known parts.
func (r *sheetReader) checkNames() {
	for _, id := range slices.Sorted(maps.Keys(r.options.Names)) {
		if !r.listed[id] {
			advice := ""
			if len(r.faults) < maxFaults { // those beyond are counted only
				advice = knownList(id, r.ids)
			}
			r.faults = append(r.faults, &Fault{Kind: BadName,
				Found: fmt.Sprintf("names: the drawing has no element with the id %.60q", id), Advice: advice})
		}
		for _, part := range r.options.Names[id] {
			if !slices.Contains(knownNames(), part) {
				r.faults = append(r.faults, &Fault{Kind: BadName,
					Found:  fmt.Sprintf("names: %.60q is given to %s, which is not a part or mark", part, id),
					Advice: knownList(part, knownNames())})
			}
		}
	}
}

// checkShapes faults named shapes that cannot be read, and a drawing without
// any.
func (r *sheetReader) checkShapes() {
	outlines := 0
	var ids []string
	for i := range r.shapes {
		s := &r.shapes[i]
		ids = append(ids, s.id)
		if s.isOutline() {
			outlines++
		}
		switch {
		case errors.Is(s.problem, BadName):
			r.fault(s, BadName, s.problem.Error(), "")
		case s.astray && s.leftOut():
		case s.problem != nil && (len(s.parts) > 0 || s.astray):
			r.fault(s, BadValue, s.problem.Error(), "redraw the shape or save it again as plain SVG")
		case s.parts == nil: // an empty list leaves the shape out on purpose
			ignored := s.ignored()
			r.sheet.Ignored = append(r.sheet.Ignored, ignored)
			if ignored.Guess != "" {
				ids[i] += " (did you mean " + ignored.Guess + "?)"
			}
		}
	}
	if outlines > 0 || len(r.faults) > 0 {
		return
	}
	found := "the drawing has no shapes"
	if r.shows {
		found += ", only text and pictures, which have no outlines here"
	}
	if len(ids) > 0 {
		found = "no shape is named after a part; the drawing has " + shortList(ids)
	}
	for _, left := range r.left[:min(len(r.left), shownMeetings)] {
		found += fmt.Sprintf("; %s (line %d) %s", left.ID, left.Line, left.Why)
	}
	r.faults = append(r.faults, &Fault{Kind: NothingHere, Found: found,
		Advice: "give the outlines one of these ids, or name them in the case file: " + strings.Join(PartNames(), ", ")})
}

// leftOut reports whether the shape is left out on purpose, by an empty list.
func (s *shape) leftOut() bool { return s.parts != nil && len(s.parts) == 0 }

// ignored tells of a shape without a known name, and of what it may have been
// meant to be.
func (s *shape) ignored() Ignored {
	shape := Ignored{ID: s.id, Label: cmp.Or(s.title, s.layer)}
	for _, label := range []string{s.element.id, s.title, s.layer} {
		if shape.Guess = likelyName(label); shape.Guess != "" {
			break
		}
	}
	return shape
}

// mark returns the one shape that is the mark, nil if there is none.
func (r *sheetReader) mark(name string) *shape {
	var found *shape
	for i := range r.shapes {
		s := &r.shapes[i]
		switch {
		case !s.is(name):
		case found != nil:
			r.fault(s, BadMark, fmt.Sprintf("a second %s mark; the first is %s in line "+
				"%d", name, found.id, found.element.line), "keep one")
		default:
			found = s
		}
	}
	return found
}

// line returns the ends of a mark on the drawing; ok is false, with a fault, if
// it is not a line.
func (r *sheetReader) line(s *shape, name string) (a, b mgl64.Vec2, ok bool) {
	a, b, ok = s.ends()
	if ok = ok && finite(a) && finite(b); !ok {
		r.fault(s, BadMark, "the "+name+" mark is not a straight line between two points", "draw it as one line, or a path "+
			"with two points")
	}
	return a, b, ok
}

// place finds how the drawing lies on the sheet: its scale, its turn, its side.
func (r *sheetReader) place() {
	angle := 0.0
	level := r.mark(frankfort)
	if level != nil {
		if a, b, ok := r.line(level, frankfort); ok {
			angle = r.turn(level, b.Sub(a))
		}
	}
	unscaled := rotation(angle).of(scaling(1, -1))
	r.sheet.Turned = angle
	r.sheet.Scale = r.scale(unscaled)
	mirror := 1.0
	if r.options.Mirror {
		mirror = -1
	}
	s := r.sheet.Scale
	r.upright = scaling(mirror*s, s).of(unscaled)
	if level != nil && len(r.faults) == 0 {
		a, b, _ := level.ends()
		ends := [2]mgl64.Vec2{r.upright.point(a), r.upright.point(b)}
		if ends[0][0] > ends[1][0] {
			ends[0], ends[1] = ends[1], ends[0]
		}
		r.sheet.Frankfort = &ends
	}
}

// turn returns the angle in radians, counter-clockwise as seen, that brings a
// direction of the drawing level.
func (r *sheetReader) turn(s *shape, along mgl64.Vec2) float64 {
	angle := math.Atan(along[1] / along[0]) // y is down: this is the turn back
	if !(math.Abs(angle) <= steep) {
		r.fault(s, BadMark, "the frankfort mark stands upright, so that anterior and posterior cannot be told", "turn the "+
			"drawing so that the ear stands upright")
		return 0
	}
	return angle
}

// scale returns mm per unit of the drawing, from all that is known.
func (r *sheetReader) scale(upright affine) float64 {
	marked, mark := r.markScale()
	measured := r.earScale(upright)
	switch {
	case len(r.faults) > 0:
		return 1
	case r.real:
		r.sheet.ScaleSource = FromDocument
		if mark != nil {
			r.compare(mark, marked)
		}
		r.compareEar(measured, 1)
		return 1
	case mark != nil:
		r.sheet.ScaleSource = FromScaleMark
		r.compareEar(measured, marked)
		return marked
	case measured > 0:
		r.sheet.ScaleSource = FromEarLength
		return measured
	case r.options.EarLength > 0:
		r.faults = append(r.faults, &Fault{Kind: NoSize,
			Found:  "the ear length gives no scale: the drawing has no outline named ear, and no size of its own",
			Advice: "name the ear's outline, or add a scale mark"})
	default:
		r.faults = append(r.faults, &Fault{Kind: NoSize, Line: 0,
			Found: "the drawing's size is unknown: its width and height have no unit, and there is no scale mark",
			Advice: "give width and height in mm, or draw a line with the id scale and its length in data-mm, or state the " +
				"ear's length in mm under template.ear_length in the case file"})
	}
	return 1
}

// markScale returns what the scale mark says in mm per unit, and the mark.
func (r *sheetReader) markScale() (float64, *shape) {
	s := r.mark(scale)
	if s == nil {
		return 0, nil
	}
	a, b, ok := r.line(s, scale)
	if !ok {
		return 0, s
	}
	text, given := s.element.values["data-mm"]
	stated, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(text), "mm"), 64)
	if !given || err != nil || !(stated > 0) || stated > absurd {
		r.fault(s, BadMark, fmt.Sprintf("the scale mark's data-mm is %.40q, expected its length in millimetres", text), `add data-mm="50" to the line, with its true length`)
		return 0, s
	}
	return stated / b.Sub(a).Len(), s
}

// earScale returns mm per unit that make the ear as long as was measured, 0 if
// that is not known.
func (r *sheetReader) earScale(upright affine) float64 {
	if r.options.EarLength == 0 {
		return 0
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range r.shapes {
		s := &r.shapes[i]
		if !s.is("ear") {
			continue
		}
		for _, p := range s.paths {
			q := p.mapped(upright)
			points, err := r.flatten(&q, q.coarse())
			if err != nil {
				r.fault(s, BadNumber, err.Error(), "redraw the outline")
				return 0
			}
			for _, point := range points {
				low, high = math.Min(low, point[1]), math.Max(high, point[1])
			}
		}
	}
	if !(high > low) {
		return 0
	}
	return r.options.EarLength / (high - low)
}

// coarse returns a tolerance of a millionth of the subpath's size, to measure it
// by before its scale is known.
func (p *subpath) coarse() float64 {
	lo, hi := p.start, p.start
	for i := range p.segments {
		s := &p.segments[i]
		for t := 0.25; t <= 1; t += 0.25 {
			q := s.at(t)
			for k := range q {
				lo[k], hi[k] = math.Min(lo[k], q[k]), math.Max(hi[k], q[k])
			}
		}
	}
	return math.Max(hi.Sub(lo).Len()*1e-6, math.SmallestNonzeroFloat64)
}

// compare holds the drawing's own size against its scale mark, which says ratio
// mm for every mm of the size.
func (r *sheetReader) compare(mark *shape, ratio float64) {
	if math.Abs(ratio-1) <= scaleAgreement {
		return
	}
	a, b, _ := mark.ends()
	drawn := b.Sub(a).Len()
	found := fmt.Sprintf("two scales: the scale mark says it is %.4g mm long, the drawing's width and height make it "+
		"%.4g mm (ratio %.4f)", drawn*ratio, drawn, ratio)
	advice := "correct data-mm, or give width and height their true size in mm"
	for _, perInch := range []float64{90, 72} {
		if trap := pixelsPerInch / perInch; math.Abs(ratio/trap-1) <= scaleAgreement ||
			math.Abs(ratio*trap-1) <= scaleAgreement {
			advice = fmt.Sprintf("that ratio is %d/%g: the drawing was made at %g pixels per inch, SVG counts %d; give width "+
				"and height in mm", pixelsPerInch, perInch, perInch, pixelsPerInch)
		}
	}
	r.fault(mark, ScaleClash, found, advice)
}

// compareEar holds the given ear length against the scale in mm per unit that
// is used; measured is the one that follows from it, 0 if none.
func (r *sheetReader) compareEar(measured, used float64) {
	if measured == 0 || math.Abs(measured/used-1) <= earLengthAgreement {
		return
	}
	given := r.options.EarLength
	r.faults = append(r.faults, &Fault{Kind: ScaleClash,
		Found: fmt.Sprintf("two scales: the ear is given as %.4g mm long, %s makes it %.4g mm (ratio "+
			"%.4f)", given, r.sheet.ScaleSource, given*used/measured, measured/used),
		Advice: "leave the ear length out, or correct the one that is wrong"})
}
