package fixation

import (
	"math"
	"slices"

	"earframe/field"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// Where units meet along upright faces only, as an antihelix's body and its crura
// do, the seam runs along the outline that they share.
const (
	outlineStep = 0.1  // mm between places on the outline that are looked at
	beside      = 0.05 // mm to either side of it where both units have to be
	leastHeight = 0.5  // mm of height that they have to share there
	bite        = 2.0  // mm of either unit that a wire takes there; earframe's own choice
)

// butt is a place on the outline of one unit where another stands beside it.
type butt struct {
	at      mgl64.Vec3 // halfway up the face that they share
	outward mgl64.Vec2 // from the unit into its neighbour
	height  float64    // of the face, mm
}

// upright plans the seams of two units that meet along upright faces only: of the
// one that is laid on later, along its outline.
func (w *worker) upright(a, b *side) ([]Seam, [][]Point) {
	later, earlier := a, b
	if earlier.rank > later.rank {
		later, earlier = b, a
	}
	var seams []Seam
	var points [][]Point
	for _, o := range later.piece.Unit.Outlines {
		for _, ring := range append([]template.Ring{o.Outer}, o.Holes...) {
			for _, run := range runs(w.faces(ring, later, earlier)) {
				s, of := w.buttSeam(run, later, earlier)
				seams, points = append(seams, s), append(points, of)
			}
		}
	}
	return seams, points
}

// faces looks at places along a ring; nil stands for one without the neighbour
// beside it. The inside is to the left of outer rings and of holes.
func (w *worker) faces(ring template.Ring, later, earlier *side) []*butt {
	var places []*butt
	for i, p := range ring {
		edge := ring[(i+1)%len(ring)].Sub(p)
		length := edge.Len()
		if length == 0 {
			continue
		}
		outward := mgl64.Vec2{edge[1] / length, -edge[0] / length}
		for steps, k := int(math.Ceil(length/outlineStep)), 0; k < steps; k++ {
			at := p.Add(edge.Mul((float64(k) + 0.5) / float64(steps)))
			places = append(places, faceAt(at, outward, later, earlier))
		}
	}
	return places
}

// faceAt returns the face that both units share at a place, or nil.
func faceAt(at, outward mgl64.Vec2, later, earlier *side) *butt {
	in, out := at.Sub(outward.Mul(beside)), at.Add(outward.Mul(beside))
	mine := slices.Clone(later.plumb.Spans(in[0], in[1]))
	var best field.Span
	for _, theirs := range earlier.plumb.Spans(out[0], out[1]) {
		for _, m := range mine {
			low, high := math.Max(m.Low, theirs.Low), math.Min(m.High, theirs.High)
			if high-low > best.High-best.Low {
				best = field.Span{Low: low, High: high}
			}
		}
	}
	if best.High-best.Low < leastHeight {
		return nil
	}
	return &butt{at.Vec3((best.Low + best.High) / 2), outward, best.High - best.Low}
}

// runs returns the stretches of neighbouring places with a face, going round.
func runs(places []*butt) [][]*butt {
	start := slices.Index(places, nil)
	if start < 0 {
		if len(places) == 0 {
			return nil
		}
		return [][]*butt{places}
	}
	var all [][]*butt
	var run []*butt
	for k := range places {
		b := places[(start+k+1)%len(places)]
		if b != nil {
			run = append(run, b)
			continue
		}
		if len(run) > 1 {
			all = append(all, run)
		}
		run = nil
	}
	return all
}

// buttSeam sets the points along one stretch: half a step from its ends, square
// to the outline, halfway up the face.
func (w *worker) buttSeam(run []*butt, later, earlier *side) (Seam, []Point) {
	s := Seam{Name: later.name() + " beside " + earlier.name(), Upper: later.name(), Lower: earlier.name()}
	along := make([]float64, len(run))
	for i, b := range run {
		s.Line = append(s.Line, b.at)
		if i > 0 {
			along[i] = along[i-1] + b.at.Sub(run[i-1].at).Len()
		}
	}
	s.Length = along[len(along)-1]
	if s.Length < w.spacing/2 {
		return s, nil
	}
	s.Count = max(1, int(math.Round(s.Length/w.spacing)))
	s.Step = s.Length / float64(s.Count)
	points := make([]Point, s.Count)
	for i := range points {
		length := (float64(i) + 0.5) * s.Step
		nearest := run[nearestIndex(along, length)]
		q := Point{
			Upper: s.Upper, Lower: s.Lower, At: at(s.Line, along, length),
			Direction: nearest.outward.Vec3(0), EdgeMM: nearest.height / 2,
		}
		q.UpperMM = math.Min(bite, passed(later.piece.Solid, q.At, q.Direction.Mul(-1)))
		q.LowerMM = math.Min(bite, passed(earlier.piece.Solid, q.At, q.Direction))
		points[i] = q
	}
	return s, points
}

// nearestIndex returns the index of the ascending value nearest to x.
func nearestIndex(values []float64, x float64) int {
	i, _ := slices.BinarySearch(values, x)
	if i == len(values) || i > 0 && x-values[i-1] < values[i]-x {
		return i - 1
	}
	return i
}
