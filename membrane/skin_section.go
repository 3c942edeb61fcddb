package membrane

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// A section of the skin's outside along the side of a cell. It is halved until it
// is straight enough; where it turns up sharply however often it is halved, two
// sheets of the outside meet in a crease, and the crease lies where their tangents
// cross.

// point is a place of a section that a mesh keeps, mm.
type point struct {
	at, normal mgl64.Vec3 // no normal on a crease
	crease     bool
}

const (
	sectionSag  = 0.004 // mm that a section may bulge between its samples
	sectionKeep = 0.008 // mm within which the points kept follow the samples
	// Points closer than this, mm, are one: a triangle so narrow would only show
	// how the samples fell.
	sectionApart = 0.012
	// halvings of a side: at 0.6 mm, to 2.3 µm, which single precision tells apart.
	sectionHalvings = 8
	// sectionAlike is the cosine of the turn, 4.4°, up to which a straight side is not
	// looked into at all.
	sectionAlike = 0.997
)

// A crease turns by more than creaseTurn within creaseWidth, mm, and between the
// places creaseSeen off it: rounder ones are sampled like any other curve.
const (
	creaseWidth = 0.02
	creaseSeen  = 0.1
	// A crease so near a cell's corner in plan, mm, passes through it, unless a
	// wall stands between them.
	creaseNear  = 0.005
	creaseLevel = 0.05
)

var creaseTurn = math.Cos(25 * math.Pi / 180)

// section returns the points between two samples, both left out, that follow the
// outside along the straight line between them, and the heights of the creases on
// which the first and the last lie.
func (o *Outside) section(from, to sample) (points []point, first, last float64) {
	samples := make([]sample, 1, 16)
	samples[0] = from
	samples = o.trace(samples, to, sectionHalvings)
	along := samples[len(samples)-1].at.Sub(samples[0].at).Vec2().Vec3(0).Normalize()
	if o.grazes(samples, along) {
		return nil, math.Inf(1), math.Inf(1)
	}
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
	if o.Thickness == 0 || halvings == 0 || o.straight(a, b) &&
		(halvings < sectionHalvings || o.normal(a).Dot(o.normal(b)) > sectionAlike) {
		return append(samples, b)
	}
	middle := o.at(a.at.Add(b.at).Mul(0.5).Vec2(), a, b)
	return o.trace(o.trace(samples, middle, halvings-1), b, halvings-1)
}

// A side grazes a wall that it meets twice on the same flank: what stands out over
// it, or falls back from it, is less than the points of sides can tell.
const (
	grazeUpright = 0.3 // of the normal's length, upward, at a wall
	grazeAlike   = 0.5 // cosine of the turn between one meeting and the other
)

// grazes reports whether the section goes up a wall and down the same wall, or down
// and up again.
func (o *Outside) grazes(samples []sample, along mgl64.Vec3) bool {
	first := mgl64.Vec3{}
	for _, s := range samples {
		n := o.normal(s)
		switch {
		case n == mgl64.Vec3{} || math.Abs(n[2]) > grazeUpright:
		case first == mgl64.Vec3{}:
			first = n
		case n.Dot(along)*first.Dot(along) < 0 && n.Dot(first) > grazeAlike:
			return true
		}
	}
	return false
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
	if o.Thickness == 0 {
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
	near := func(a, b int) bool {
		apart := line[a].at.Sub(line[b].at)
		return apart.Vec2().Len() < creaseNear && apart.Len() < creaseLevel
	}
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
