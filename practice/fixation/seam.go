package fixation

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"earframe/assemble"
	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// side is one unit with its plumb line.
type side struct {
	piece *assemble.Piece
	plumb *field.Plumb
	rank  int // place in the order of assembly
}

func (s *side) name() string { return s.piece.Unit.Name }

// worker plans the seams of a framework one after the other.
type worker struct {
	sides   []*side // in the order of assembly
	spacing float64
}

func newWorker(f *assemble.Framework) *worker {
	w := &worker{spacing: f.Plan.Practice.Fixation.Spacing}
	for rank, p := range f.InOrder() {
		w.sides = append(w.sides, &side{piece: p, plumb: field.NewPlumb(p.Solid), rank: rank})
	}
	return w
}

func (w *worker) side(name string) *side {
	return w.sides[slices.IndexFunc(w.sides, func(s *side) bool { return s.name() == name })]
}

// inOrder returns the contacts in the order in which they are wired: what is
// laid on first is wired first.
func (w *worker) inOrder(contacts []assemble.Contact) []assemble.Contact {
	ranks := func(c assemble.Contact) (later, earlier int) {
		a, b := w.side(c.A).rank, w.side(c.B).rank
		return max(a, b), min(a, b)
	}
	ordered := slices.Clone(contacts)
	slices.SortStableFunc(ordered, func(c, d assemble.Contact) int {
		cLater, cEarlier := ranks(c)
		dLater, dEarlier := ranks(d)
		return cmp.Or(cmp.Compare(cLater, dLater), cmp.Compare(cEarlier, dEarlier))
	})
	return ordered
}

// leastPatch is the area, mm², below which a patch is the feather edge of a
// notch and not a place where units lie on one another: what package assemble
// asks of a unit that rests on another.
const leastPatch = 0.5

// wire plans the seams of two units that touch.
func (w *worker) wire(ctx context.Context, plan *Plan, c assemble.Contact) error {
	a, b := w.side(c.A), w.side(c.B)
	reach := touching
	for _, pair := range [][2]*side{{a, b}, {b, a}} {
		if slices.Contains(pair[0].piece.Unit.NotchFor, pair[1].name()) {
			// Let in with clearance, a sloping underside is that much farther away
			// along a plumb line: up to a slope of 45 degrees.
			reach += pair[0].piece.Unit.Clearance * math.Sqrt2
		}
	}
	var found []Seam
	var points [][]Point
	for _, pair := range [][2]*side{{a, b}, {b, a}} {
		patch, err := newPatch(contact{upper: pair[0], lower: pair[1], reach: reach})
		if err != nil {
			return err
		}
		if patch.region == nil {
			continue
		}
		for _, island := range patch.islands() {
			if float64(len(island))*patchStep*patchStep < leastPatch {
				continue
			}
			for _, c := range patch.middleLines(island, w.spacing) {
				if err := ctx.Err(); err != nil {
					return err
				}
				s, of := w.seam(patch, c)
				found = append(found, s)
				points = append(points, of)
			}
		}
	}
	if len(found) == 0 && c.Area >= leastPatch {
		if found, points = w.upright(a, b); len(found) == 0 {
			plan.Findings = append(plan.Findings, upright(c))
		}
	}
	for i, s := range found {
		if len(found) > 1 {
			s.Name += fmt.Sprintf(", seam %d of %d", i+1, len(found))
		}
		for k := range points[i] {
			points[i][k].Seam = len(plan.Seams)
		}
		plan.Seams = append(plan.Seams, s)
		plan.Points = append(plan.Points, points[i]...)
	}
	return nil
}

// seam lifts a middle line to the contact's height and sets its points.
func (w *worker) seam(p *patch, c curve) (Seam, []Point) {
	upper, lower := p.upper, p.lower
	s := Seam{Upper: upper.name(), Lower: lower.name(), Closed: c.closed}
	s.Name = s.Upper + " on " + s.Lower
	if lower.rank > upper.rank {
		s.Name = s.Lower + " under " + s.Upper
	}
	c.turn(upper.piece.Unit)
	s.Line = p.lift(c.points)
	line := s.Line
	if c.closed {
		line = append(slices.Clone(line), line[0])
	}
	along := make([]float64, len(line))
	for i := 1; i < len(line); i++ {
		along[i] = along[i-1] + line[i].Sub(line[i-1]).Len()
	}
	s.Length = along[len(along)-1]
	if s.Length < w.spacing/2 {
		return s, nil
	}
	s.Count = max(1, int(math.Round(s.Length/w.spacing)))
	s.Step = s.Length / float64(s.Count)
	points := make([]Point, s.Count)
	for i := range points {
		even := (float64(i) + 0.5) * s.Step
		points[i] = w.point(p, at(line, along, p.offEdge(line, along, even, s.Step/2)))
	}
	points = leaveOut(points)
	s.Count = len(points)
	return s, points
}

// leaveOut leaves out fixations too near the edge of the contact whose neighbours are
// not: those hold, and this one might tear out.
func leaveOut(points []Point) []Point {
	if len(points) == 1 {
		return points
	}
	var kept []Point
	for i, q := range points {
		holds := func(k int) bool { return k < 0 || k == len(points) || points[k].EdgeMM >= leastEdge }
		if q.EdgeMM >= leastEdge || !holds(i-1) || !holds(i+1) {
			kept = append(kept, q)
		}
	}
	return kept
}

// slide is how finely, mm, a fixation is moved along its seam.
const slide = 0.1

// offEdge returns the length along the line, nearest to the given one and at most so
// far from it, at which the patch's edge is leastEdge away; the given one if there is
// none: near the end of a seam that tapers, the wire holds better farther within.
func (p *patch) offEdge(line []mgl64.Vec3, along []float64, length, most float64) float64 {
	for off := 0.0; off < most; off += slide {
		for _, l := range [2]float64{length - off, length + off} {
			if p.depth(at(line, along, l).Vec2()) >= leastEdge {
				return l
			}
		}
	}
	return length
}

// turn puts the end first that comes first along the unit's centreline, or the
// superior one; a ring begins at its most inferior place.
func (c *curve) turn(u *units.Unit) {
	if c.closed {
		lowest := 0
		for i, q := range c.points {
			if q[1] < c.points[lowest][1] {
				lowest = i
			}
		}
		c.points = slices.Concat(c.points[lowest:], c.points[:lowest])
		return
	}
	first, last := c.points[0], c.points[len(c.points)-1]
	backward := last[1] > first[1]
	if u.Centreline != nil {
		a, _ := u.Centreline.Nearest(first)
		b, _ := u.Centreline.Nearest(last)
		backward = b < a
	}
	if backward {
		slices.Reverse(c.points)
	}
}

// lift gives the places the height of the contact. Ends lie on its very border:
// they take their neighbour's.
func (p *patch) lift(places []mgl64.Vec2) []mgl64.Vec3 {
	heights := make([]float64, len(places))
	known := make([]bool, len(places))
	for i, q := range places {
		heights[i], known[i] = p.at(q)
	}
	for i := 1; i < len(places); i++ {
		if !known[i] && known[i-1] {
			heights[i], known[i] = heights[i-1], true
		}
	}
	for i := len(places) - 2; i >= 0; i-- {
		if !known[i] && known[i+1] {
			heights[i], known[i] = heights[i+1], true
		}
	}
	line := make([]mgl64.Vec3, len(places))
	for i, q := range places {
		line[i] = q.Vec3(heights[i])
	}
	return line
}

// at returns the point a length along the line.
func at(line []mgl64.Vec3, along []float64, length float64) mgl64.Vec3 {
	i := min(max(sort.SearchFloat64s(along, length), 1), len(line)-1)
	share := (length - along[i-1]) / (along[i] - along[i-1])
	return line[i-1].Mul(1 - share).Add(line[i].Mul(share))
}

// steepest is the sine of the slope beyond which a contact's normal is not taken
// for the wire: it then is a wall beside the seam.
const steepest = 0.9

// point sets one fixation on the contact.
func (w *worker) point(p *patch, at mgl64.Vec3) Point {
	if z, ok := p.at(at.Vec2()); ok {
		at[2] = z
	}
	q := Point{Upper: p.upper.name(), Lower: p.lower.name(), At: at, Direction: mgl64.Vec3{0, 0, -1},
		EdgeMM: p.depth(at.Vec2())}
	var distance [1]float64
	var outward [1]mgl64.Vec3
	p.upper.piece.Solid.Gradients([]mgl64.Vec3{at}, distance[:], outward[:])
	if l := outward[0].Len(); l > 0 && outward[0][2] < -l*math.Sqrt(1-steepest*steepest) {
		q.Direction = outward[0].Mul(1 / l)
	}
	q.UpperMM = passed(p.upper.piece.Solid, at, q.Direction.Mul(-1))
	q.LowerMM = passed(p.lower.piece.Solid, at, q.Direction)
	out := at.Sub(q.Direction.Mul(q.UpperMM))
	for _, s := range w.sides {
		if s == p.upper || s == p.lower || s.rank > max(p.upper.rank, p.lower.rank) {
			continue
		}
		if covers(s.piece.Solid, out, q.Direction.Mul(-1)) {
			q.Under = s.name()
		}
	}
	return q
}

// Sampling along a wire: no material thinner than rayStep is told, and ends are
// found to rayEnd.
const (
	rayStep = 0.05 // mm
	rayMost = 40.0 // mm, more than any unit is thick
	rayEnd  = 1e-6 // mm
	rayNear = 0.5  // mm from the seam within which the material must begin
)

// passed returns how much material a straight wire passes from the contact on,
// mm, until it first comes out.
func passed(solid field.Field, from, along mgl64.Vec3) float64 {
	const batch = 64
	points, values := make([]mgl64.Vec3, batch), make([]float64, batch)
	begin := math.NaN()
	for first := 0; float64(first)*rayStep < rayMost; first += batch {
		for i := range points {
			// Half a step on, so that the contact itself, where the sign is a matter
			// of rounding, is not asked about.
			points[i] = from.Add(along.Mul((float64(first+i) + 0.5) * rayStep))
		}
		solid.Distances(points, values)
		for i, d := range values {
			gone := (float64(first+i) + 0.5) * rayStep
			switch {
			case d < 0 && math.IsNaN(begin):
				if begin = 0; first+i > 0 {
					begin = surface(solid, from, along, gone, gone-rayStep)
				}
			case d >= 0 && !math.IsNaN(begin):
				return surface(solid, from, along, gone-rayStep, gone) - begin
			case d >= 0 && gone > rayNear:
				return 0
			}
		}
	}
	return rayMost
}

// surface returns where along a ray the solid ends, between a length inside and
// one outside.
func surface(solid field.Field, from, along mgl64.Vec3, in, out float64) float64 {
	var value [1]float64
	for math.Abs(out-in) > rayEnd {
		middle := (in + out) / 2
		if solid.Distances([]mgl64.Vec3{from.Add(along.Mul(middle))}, value[:]); value[0] < 0 {
			in = middle
		} else {
			out = middle
		}
	}
	return (in + out) / 2
}

// covers reports whether a solid lies over the place where a wire comes out.
func covers(solid field.Field, out, along mgl64.Vec3) bool {
	var points [8]mgl64.Vec3
	var values [8]float64
	for i := range points {
		points[i] = out.Add(along.Mul((float64(i) + 1) * rayNear / 8))
	}
	solid.Distances(points[:], values[:])
	return slices.Min(values[:]) < 0
}
