package template

import (
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// sharp is the cosine of the turn within a cell from which a corner is
	// looked for.
	sharp = 0.97 // 14 degrees
	// mostHalvings bounds how often the line within a cell is halved.
	mostHalvings = 6
)

// ring returns the points of a closed run of crossings, with the corners and
// bends between them.
func (t *tracer) ring(ctx context.Context, sides []side) Ring {
	var ring Ring
	p := t.crossing(sides[0])
	normal := t.normal(p)
	for i := range sides {
		if ctx.Err() != nil {
			break
		}
		q := t.crossing(sides[(i+1)%len(sides)])
		after := t.normal(q)
		if len(ring) == 0 || p.Sub(ring[len(ring)-1]).Len() > samePoint {
			ring = append(ring, p)
		}
		ring = t.bend(ring, p, q, normal, after, mostHalvings)
		p, normal = q, after
	}
	return withoutRepeats(ring)
}

// normal returns the direction in which the distance grows.
func (t *tracer) normal(p mgl64.Vec2) mgl64.Vec2 {
	_, gradient := t.gradient(p)
	return gradient
}

// bend adds the points that the line needs between p and q: a corner if it has
// one, else points on it until the chords are within tolerance.
func (t *tracer) bend(ring Ring, p, q, atP, atQ mgl64.Vec2, halvings int) Ring {
	if halvings == 0 || q.Sub(p).Len() < offsetTolerance {
		return ring
	}
	if atP.Dot(atQ) < sharp {
		if corner, found := t.corner(p, q, atP, atQ); found && beside(corner, p, q, atP, atQ) {
			return append(ring, corner)
		}
	}
	middle := p.Add(q).Mul(0.5)
	if math.Abs(t.at(middle)) < offsetTolerance/4 && atP.Dot(atQ) >= sharp {
		return ring
	}
	on := t.project(middle)
	if on.Sub(middle).Len() > q.Sub(p).Len() || !beside(on, p, q, atP, atQ) {
		return ring // the nearest piece of line is another one
	}
	normal := t.normal(on)
	ring = t.bend(ring, p, on, atP, normal, halvings-1)
	ring = append(ring, on)
	return t.bend(ring, on, q, normal, atQ, halvings-1)
}

// beside reports whether a point can be of the line between p and q: where that
// turns by less than a right angle, the point is seen from both as lying before
// them. One that is not belongs to another piece of the line, beyond p or q.
func beside(x, p, q, atP, atQ mgl64.Vec2) bool {
	along := q.Sub(p)
	return atP.Dot(atQ) <= 0 || x.Sub(p).Dot(along) > 0 && q.Sub(x).Dot(along) > 0
}

// project returns the point of the line that p is led to along the gradient.
func (t *tracer) project(p mgl64.Vec2) mgl64.Vec2 {
	for range 3 {
		d, gradient := t.gradient(p)
		p = p.Sub(gradient.Mul(d - t.level))
	}
	return p
}

// corner returns where the tangents at p and q meet, if the line does have a
// corner there. Where its sides are curved the tangents are taken again from
// closer by.
func (t *tracer) corner(p, q, atP, atQ mgl64.Vec2) (mgl64.Vec2, bool) {
	reach := q.Sub(p).Len()
	for range 4 {
		across := turn(atP, atQ)
		if math.Abs(across) < 1e-6 {
			return mgl64.Vec2{}, false
		}
		// The point x with atP·(x-p) = 0 and atQ·(x-q) = 0.
		hp, hq := atP.Dot(p), atQ.Dot(q)
		x := mgl64.Vec2{(hp*atQ[1] - hq*atP[1]) / across, (atP[0]*hq - atQ[0]*hp) / across}
		if x.Sub(p).Len() > 2*reach+t.step || x.Sub(q).Len() > 2*reach+t.step {
			return mgl64.Vec2{}, false
		}
		if math.Abs(t.at(x)) < offsetTolerance/10 {
			return x, true
		}
		p, q = t.project(x.Add(p.Sub(x).Mul(0.25))), t.project(x.Add(q.Sub(x).Mul(0.25)))
		atP, atQ = t.normal(p), t.normal(q)
	}
	return mgl64.Vec2{}, false
}

// thinned returns the ring without the points that lie within tolerance of the
// chords left (Ramer 1972; Douglas and Peucker 1973).
func (r Ring) thinned(tolerance float64) Ring {
	if len(r) < 4 {
		return r
	}
	// Both first points kept are extreme, so that neither lies within a side.
	start := r.farthest(r[0])
	r = slices.Concat(r[start:], r[:start])
	far := r.farthest(r[0])
	keep := make([]bool, len(r)+1)
	keep[0], keep[far] = true, true
	at := func(i int) mgl64.Vec2 { return r[i%len(r)] }
	stack := [][2]int{{0, far}, {far, len(r)}}
	for len(stack) > 0 {
		from, to := stack[len(stack)-1][0], stack[len(stack)-1][1]
		stack = stack[:len(stack)-1]
		most, worst := 0, tolerance
		for i := from + 1; i < to; i++ {
			if d := DistanceToEdge(at(i), at(from), at(to)); d > worst {
				most, worst = i, d
			}
		}
		if most > 0 {
			keep[most] = true
			stack = append(stack, [2]int{from, most}, [2]int{most, to})
		}
	}
	var thin Ring
	for i, p := range r {
		if keep[i] {
			thin = append(thin, p)
		}
	}
	return thin.withoutStraight()
}

// withoutStraight drops points on the line between their neighbours: of a side
// that runs along its chord, any point may have been the farthest.
func (r Ring) withoutStraight() Ring {
	kept := make(Ring, 0, len(r))
	for i, p := range r {
		before := r[len(r)-1]
		if len(kept) > 0 {
			before = kept[len(kept)-1]
		}
		if DistanceToEdge(p, before, r[(i+1)%len(r)]) > samePoint {
			kept = append(kept, p)
		}
	}
	return kept
}

// farthest returns the index of the point farthest from p.
func (r Ring) farthest(p mgl64.Vec2) int {
	far := 0
	for i, q := range r {
		if q.Sub(p).LenSqr() > r[far].Sub(p).LenSqr() {
			far = i
		}
	}
	return far
}
