package field

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Span is a stretch of a vertical line that lies inside a solid, in mm.
type Span struct{ Low, High float64 }

// A Plumb drops vertical lines through a solid and says where they are inside
// it. Prisms and recesses, and what is united, intersected or taken away from
// them, are answered in closed form, so that heights are exact up to rounding on
// flats, slopes and rounded edges alike. Any other field is searched by halving
// with its Range: no part of it thicker than sampledPart is missed, and ends are
// within sampledEnd. A Plumb remembers where it was last, so that neighbouring
// lines are cheap; it is not safe for concurrent use.
type Plumb struct {
	root  line
	spans []Span
}

const (
	sampledPart = 1.0 / 64 // mm
	sampledEnd  = 1e-5     // mm
)

// NewPlumb returns a plumb for the field.
func NewPlumb(f Field) *Plumb { return &Plumb{root: newLine(f)} }

// Spans returns where the vertical line at (x, y) is inside the solid, from the
// lowest to the highest; spans do not touch. The answer is valid until the next
// call.
func (p *Plumb) Spans(x, y float64) []Span {
	p.spans = p.root.drop(mgl64.Vec2{x, y}, p.spans[:0])
	return p.spans
}

// Exact reports whether the answers are in closed form, and so cheap.
func (p *Plumb) Exact() bool { return p.root.exact() }

// A line is one node of a field's formula: it appends its spans at a place.
type line interface {
	drop(at mgl64.Vec2, to []Span) []Span
	exact() bool
}

func newLine(f Field) line {
	switch f := f.(type) {
	case *prism:
		return &prismLine{prism: f, near: near{planar: walker{region: f.Region}}}
	case *recess:
		return &recessLine{recess: f, near: near{planar: walker{region: f.Region}}}
	case *union:
		u := &unionLine{}
		for _, g := range f.fields {
			u.lines = append(u.lines, newLine(g))
			u.bounds = append(u.bounds, g.Bounds())
		}
		return u
	case *difference:
		return &differenceLine{a: newLine(f.a), b: newLine(f.b), cut: f.b.Bounds()}
	case *intersection:
		return &intersectionLine{a: newLine(f.a), b: newLine(f.b)}
	case *offset:
		if p, ok := f.field.(*prism); ok && f.radius > 0 {
			return &prismLine{prism: p, near: near{planar: walker{region: p.Region}}, outward: f.radius}
		}
	}
	return &sampledLine{field: f, bounds: f.Bounds()}
}

// beside reports whether the place lies outside the box, seen from above.
func (b Box) beside(at mgl64.Vec2) bool {
	return at[0] < b.Min[0] || at[0] > b.Max[0] || at[1] < b.Min[1] || at[1] > b.Max[1]
}

// near is a planar distance that is asked for only where it matters: a distance
// changes no faster than the place.
type near struct {
	planar   walker
	at       mgl64.Vec2
	distance float64
	known    bool
}

// lateral returns the signed distance at a place; where it is more than outside
// or less than -deep it may be another number of which the same is true.
func (n *near) lateral(at mgl64.Vec2, outside, deep float64) float64 {
	if n.known {
		moved := at.Sub(n.at).Len() + rangeSlack
		if n.distance-moved > outside {
			return n.distance - moved
		}
		if n.distance+moved < -deep {
			return n.distance + moved
		}
	}
	n.at, n.distance, n.known = at, n.planar.distance(at), true
	return n.distance
}

// prismLine is a prism, or one offset outward.
type prismLine struct {
	*prism
	near
	outward float64 // mm, 0 or more
}

func (p *prismLine) exact() bool { return true }

func (p *prismLine) drop(at mgl64.Vec2, to []Span) []Span {
	lateral := p.lateral(at, p.outward, math.Max(p.EdgeTop, p.EdgeBottom))
	if lateral >= p.outward {
		return to
	}
	under, _, _ := p.Underside.Height(at[0], at[1])
	thick, _, _ := p.Thickness.Height(at[0], at[1])
	return append(to, Span{
		under - p.beyond(lateral, p.EdgeBottom),
		under + thick + p.beyond(lateral, p.EdgeTop),
	})
}

// beyond returns how far the surface lies beyond a face of the prism whose edge
// has the radius; less than 0 where the edge is rounded away.
func (p *prismLine) beyond(lateral, radius float64) float64 {
	over, reach := lateral+radius, p.outward+radius
	if over <= 0 {
		return p.outward
	}
	return math.Sqrt(reach*reach-over*over) - radius
}

type recessLine struct {
	*recess
	near
}

func (r *recessLine) exact() bool { return true }

func (r *recessLine) drop(at mgl64.Vec2, to []Span) []Span {
	lateral := r.lateral(at, 0, r.Depth*r.tan)
	if lateral >= 0 {
		return to
	}
	depth := r.Depth
	if r.tan > 0 {
		depth = math.Min(depth, -lateral/r.tan)
	}
	top, _, _ := r.Top.Height(at[0], at[1])
	return append(to, Span{top - depth, top + r.Depth})
}

type unionLine struct {
	lines  []line
	bounds []Box
}

func (u *unionLine) exact() bool {
	for _, l := range u.lines {
		if !l.exact() {
			return false
		}
	}
	return true
}

func (u *unionLine) drop(at mgl64.Vec2, to []Span) []Span {
	first := len(to)
	for i, l := range u.lines {
		if u.bounds[i].beside(at) {
			continue
		}
		from := len(to)
		to = l.drop(at, to)
		if from > first {
			to = unite(to, first, from)
		}
	}
	return to
}

// unite merges the spans from index second on into those from first on.
func unite(spans []Span, first, second int) []Span {
	for i := second; i < len(spans); i++ { // few: insertion is cheapest
		for k := i; k > first && spans[k].Low < spans[k-1].Low; k-- {
			spans[k], spans[k-1] = spans[k-1], spans[k]
		}
	}
	last := first
	for _, s := range spans[min(first+1, len(spans)):] {
		if s.Low <= spans[last].High {
			spans[last].High = math.Max(spans[last].High, s.High)
			continue
		}
		last++
		spans[last] = s
	}
	return spans[:min(last+1, len(spans))]
}

type differenceLine struct {
	a, b line
	cut  Box
	away []Span
}

func (d *differenceLine) exact() bool { return d.a.exact() && d.b.exact() }

func (d *differenceLine) drop(at mgl64.Vec2, to []Span) []Span {
	first := len(to)
	to = d.a.drop(at, to)
	if len(to) == first || d.cut.beside(at) {
		return to
	}
	d.away = d.b.drop(at, d.away[:0])
	for _, away := range d.away {
		to = takeAway(to, first, away)
	}
	return to
}

// takeAway removes one span from those from index first on.
func takeAway(spans []Span, first int, away Span) []Span {
	for i := first; i < len(spans); i++ {
		s := spans[i]
		switch {
		case away.High <= s.Low || away.Low >= s.High:
		case away.Low <= s.Low && away.High >= s.High:
			spans = append(spans[:i], spans[i+1:]...)
			i--
		case away.Low <= s.Low:
			spans[i].Low = away.High
		case away.High >= s.High:
			spans[i].High = away.Low
		default:
			spans = append(spans, Span{})
			copy(spans[i+1:], spans[i:])
			spans[i].High, spans[i+1].Low = away.Low, away.High
			i++
		}
	}
	return spans
}

type intersectionLine struct {
	a, b   line
	ofA    []Span
	others []Span
}

func (n *intersectionLine) exact() bool { return n.a.exact() && n.b.exact() }

func (n *intersectionLine) drop(at mgl64.Vec2, to []Span) []Span {
	n.ofA = n.a.drop(at, n.ofA[:0])
	if len(n.ofA) == 0 {
		return to
	}
	n.others = n.b.drop(at, n.others[:0])
	for _, s := range n.ofA {
		for _, o := range n.others {
			if low, high := math.Max(s.Low, o.Low), math.Min(s.High, o.High); low < high {
				to = append(to, Span{low, high})
			}
		}
	}
	return to
}

// sampledLine searches a field without a closed form.
type sampledLine struct {
	field  Field
	bounds Box
}

func (s *sampledLine) exact() bool { return false }

func (s *sampledLine) drop(at mgl64.Vec2, to []Span) []Span {
	if s.bounds.beside(at) {
		return to
	}
	low, high := s.bounds.Min[2]-sampledPart, s.bounds.Max[2]+sampledPart
	return s.search(at, low, high, s.value(at, low), s.value(at, high), len(to), to)
}

// search appends what lies inside between two heights with their values. Spans
// from index first on belong to the same line and are continued.
func (s *sampledLine) search(at mgl64.Vec2, low, high, atLow, atHigh float64, first int, to []Span) []Span {
	least, most := s.field.Range(Box{at.Vec3(low), at.Vec3(high)})
	switch {
	case least > 0:
		return to
	case most < 0:
		return grow(to, first, low, high)
	case high-low > sampledPart:
		middle := (low + high) / 2
		atMiddle := s.value(at, middle)
		to = s.search(at, low, middle, atLow, atMiddle, first, to)
		return s.search(at, middle, high, atMiddle, atHigh, first, to)
	case atLow < 0 && atHigh < 0:
		return grow(to, first, low, high)
	case atLow < 0:
		return grow(to, first, low, s.end(at, low, high))
	case atHigh < 0:
		return grow(to, first, s.end(at, high, low), high)
	}
	return to
}

// grow appends a span, or continues the last one where they meet.
func grow(spans []Span, first int, low, high float64) []Span {
	if last := len(spans) - 1; last >= first && spans[last].High == low {
		spans[last].High = high
		return spans
	}
	return append(spans, Span{low, high})
}

// end returns where the line leaves the solid on its way from inside.
func (s *sampledLine) end(at mgl64.Vec2, inside, outside float64) float64 {
	for math.Abs(outside-inside) > sampledEnd {
		if middle := (inside + outside) / 2; s.value(at, middle) < 0 {
			inside = middle
		} else {
			outside = middle
		}
	}
	return (inside + outside) / 2
}

func (s *sampledLine) value(at mgl64.Vec2, z float64) float64 {
	point, out := [1]mgl64.Vec3{at.Vec3(z)}, [1]float64{}
	s.field.Distances(point[:], out[:])
	return out[0]
}
