package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// A section of the skin's outside along a line of grid nodes. Between two nodes
// it is halved until it is straight enough; where it turns up sharply however
// often it is halved, two sheets of the outside meet in a crease, and the crease
// lies where their tangents cross.

// point is a place of a section that a mesh keeps, mm from the grid's origin.
type point struct {
	at, normal mgl64.Vec3 // no normal on a crease
	crease     bool
}

const (
	sectionSag  = 0.004 // mm that a section may bulge between its samples
	sectionKeep = 0.012 // mm within which the points kept follow the samples
	// Points closer than this, mm, are one: a triangle so narrow would only show
	// how the samples fell.
	sectionApart = 0.06
	// halvings of the stretch between two nodes: at 0.15 mm, to 1.2 µm, which
	// single precision still tells apart.
	halvings = 7
)

// A crease turns by more than creaseTurn within creaseWidth, mm, and between the
// places creaseSeen off it: rounder ones are sampled like any other curve.
const (
	creaseWidth = 0.02
	creaseSeen  = 0.1
	// A crease so near a node in plan, mm, passes through it.
	creaseNear = 0.005
)

var creaseTurn = math.Cos(25 * math.Pi / 180)

// section returns the points between two nodes, both left out, that follow the
// outside along the straight line of nodes between them, count steps of so many
// nodes, and the heights of the creases on which the first and the last node lie.
func (o *Outside) section(from, step, count int) (points []point, first, last float64) {
	samples := make([]sample, 1, 2*count+1)
	samples[0] = o.node(from)
	for n := 1; n <= count; n++ {
		samples = o.trace(samples, o.node(from+n*step), halvings)
	}
	along := samples[len(samples)-1].at.Sub(samples[0].at).Vec2().Vec3(0).Normalize()
	line := make([]point, 0, len(samples))
	for i, s := range samples {
		if i > 0 && o.creased(samples[i-1], s) && o.lasts(samples, i) {
			line = append(line, point{at: o.meeting(samples[i-1], s, along), crease: true})
		}
		line = append(line, point{at: s.at, normal: o.normal(s)})
	}
	return thinned(line)
}

// trace adds samples up to b.
func (o *Outside) trace(samples []sample, b sample, halvings int) []sample {
	a := samples[len(samples)-1]
	if o.e == nil || halvings == 0 || o.straight(a, b) {
		return append(samples, b)
	}
	middle := o.between(a, b)
	return o.trace(o.trace(samples, middle, halvings-1), b, halvings-1)
}

// straight reports whether the section needs no sample between two.
func (o *Outside) straight(a, b sample) bool {
	d, n, m := b.at.Sub(a.at), o.normal(a), o.normal(b)
	start, end := d.Dot(n), d.Dot(m)
	// On an arc both are a chord's square over the diameter: four times the sag.
	if max(math.Abs(start), math.Abs(end)) > 4*sectionSag {
		return false
	}
	// In a hollow each end lies above the other's tangent.
	return start <= end || n.Dot(m) > creaseTurn || d.Len() < creaseWidth/2
}

// creased reports whether a crease lies between two neighbouring samples.
func (o *Outside) creased(a, b sample) bool {
	if o.e == nil {
		return false
	}
	d, n, m := b.at.Sub(a.at), o.normal(a), o.normal(b)
	return d.Dot(n) > d.Dot(m) && n.Dot(m) < creaseTurn && d.Len() < creaseWidth
}

// lasts reports whether the outside turns up as sharply seen from a little way off
// sample i and the one before: a nick between two balls does not.
func (o *Outside) lasts(samples []sample, i int) bool {
	a, b := i-1, i
	for a > 0 && samples[i-1].at.Sub(samples[a].at).Len() < creaseSeen {
		a--
	}
	for b+1 < len(samples) && samples[b].at.Sub(samples[i].at).Len() < creaseSeen {
		b++
	}
	d, n, m := samples[b].at.Sub(samples[a].at), o.normal(samples[a]), o.normal(samples[b])
	return d.Dot(n) > d.Dot(m) && n.Dot(m) < creaseTurn
}

// meeting returns where the tangents of two samples cross in the upright plane
// along a direction, or the middle if they do not between them.
func (o *Outside) meeting(a, b sample, along mgl64.Vec3) mgl64.Vec3 {
	n, m, d := o.normal(a), o.normal(b), b.at.Sub(a.at)
	// n·x = 0 and m·(x − d) = 0 for x = (s·along, z).
	nx, mx := n.Dot(along), m.Dot(along)
	determinant := nx*m[2] - n[2]*mx
	s := -n[2] * m.Dot(d) / determinant
	if !(s > 0 && s < d.Dot(along)) {
		return a.at.Add(b.at).Mul(0.5)
	}
	return a.at.Add(along.Mul(s)).Add(mgl64.Vec3{0, 0, nx * m.Dot(d) / determinant})
}

// thinned returns what is kept of a line between its ends, creases and what the
// line between its neighbours would leave. A crease at an end is told by its
// height instead, which is +Inf where there is none.
func thinned(line []point) (kept []point, first, last float64) {
	end := len(line) - 1
	near := func(a, b int) bool { return line[a].at.Sub(line[b].at).Vec2().Len() < creaseNear }
	first, last = math.Inf(1), math.Inf(1)
	from := 0
	for i := 1; i < end; i++ {
		switch {
		case !line[i].crease:
		case near(i, 0):
			first = min(first, line[i].at[2])
		case near(i, end):
			last = min(last, line[i].at[2])
		case from > 0 && near(i, from):
		default:
			kept = append(keepBetween(kept, line, from, i), line[i])
			from = i
		}
	}
	return keepBetween(kept, line, from, end), first, last
}

// keepBetween adds the points between two kept ones that the straight line
// between them passes by too far (Douglas and Peucker, 1973).
func keepBetween(kept, line []point, from, to int) []point {
	a, d := line[from].at, line[to].at.Sub(line[from].at)
	worst, at := sectionKeep, -1
	for i := from + 1; i < to; i++ {
		off := line[i].at.Sub(a)
		if min(off.Len(), line[i].at.Sub(line[to].at).Len()) < sectionApart {
			continue
		}
		share := min(max(off.Dot(d)/d.LenSqr(), 0), 1)
		if far := off.Sub(d.Mul(share)).Len(); far > worst {
			worst, at = far, i
		}
	}
	if at < 0 {
		return kept
	}
	kept = append(keepBetween(kept, line, from, at), line[at])
	return keepBetween(kept, line, at, to)
}
