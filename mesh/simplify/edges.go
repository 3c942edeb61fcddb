package simplify

import (
	"math"
	"slices"

	"earframe/internal/crossing"

	"github.com/go-gl/mathgl/mgl64"
)

// edgeWork is what one worker needs to collapse edges.
type edgeWork struct {
	*simplifier
	turn    uint8   // the cut worked in, or rest
	allowed float32 // how far any point may move in all, mm
	patch   patch
	volumes volumes
	held    []int32 // held regions at the patch
	at      [2]uint // which of them are at keep and at gone, as bits
	sharp   [2]int  // how many sharp edges meet at keep and at gone

	// For the search for crossings: the fan's centre, its ring, and the corners of
	// another triangle that are not among them, by which number each is.
	points  []mgl64.Vec3
	corners [3]int32
}

// collapseAt collapses one edge of vertex v if that moves no point of the
// surface further than allowed, and reports whether it did.
func (w *edgeWork) collapseAt(v, pass int32) bool {
	s := w.surface
	first := s.first[v]
	if w.merged[v] == pass {
		return false
	}
	for h := first; ; {
		if w.open(h, v, pass) {
			x, moved, ok := w.consider(h, w.allowed)
			if ok {
				w.apply(x, moved, pass)
				return true
			}
			e := min(h, s.twin[h])
			w.cost[e], w.seen[e] = moved, pass
		}
		if h = s.turn(h); h == first {
			return false
		}
	}
}

// open reports whether the edge h of vertex v is to be looked at now: each edge
// comes up at one of its ends only, not where it is locked or not free, not where
// this pass has drawn vertices together already, and not where it was found too
// costly before and has not changed since.
func (w *edgeWork) open(h, v, pass int32) bool {
	u := w.surface.corner[next(h)]
	if w.locked[u] || w.merged[u] == pass {
		return false
	}
	if w.turn != uint8(rest) && !w.schedule.free(u) || u < v && w.schedule.turn[u] == w.turn {
		return false
	}
	e := min(h, w.surface.twin[h])
	return w.cost[e] <= w.allowed || w.seen[e] <= max(w.changed[v], w.changed[u])
}

// consider returns where the collapsed edge's vertex goes and the bound on how
// far any point has moved then; or, with ok false, a bound that is needed at
// least.
func (w *edgeWork) consider(h int32, allowed float32) (x vector, moved float32, ok bool) {
	never := float32(math.Inf(1))
	p := &w.patch
	if !p.gather(w.surface, h) {
		return x, never, false
	}
	end, ok := w.features(h)
	if !ok {
		return x, never, false
	}
	p.measure(w.surface)
	x = w.place(end)
	if w.volumes.weight > 0 {
		if hopeless := w.volumes.spread(x) / mostSpread; hopeless > float64(allowed) {
			return x, float32(hopeless), false
		}
	}
	if !p.findDirection() {
		return x, never, false
	}
	p.project(x)
	atEnds := p.atEnds(float64(allowed)) // cheap, and what most edges fail by
	if moved = notLess(atEnds); moved > allowed {
		return x, moved, false
	}
	if !p.fits(x, w.altitude) {
		return x, never, false
	}
	if moved = notLess(p.bound(atEnds, float64(allowed))); moved > allowed {
		return x, moved, false
	}
	if w.meetsFoldedBack(w.rounded(x)) {
		return x, never, false
	}
	return x, moved, true
}

// mostSpread is the root mean square distance of the new vertex from the old
// triangles' planes, as a share of what is allowed, from which a collapse is not
// looked at further. It spares two fifths of those that fail, and loses one in four
// hundred of the others (counted on the demo's framework at 0.2 mm).
const mostSpread = 0.7

// notLess returns a float32 that is not less.
func notLess(x float64) float32 {
	y := float32(x)
	if float64(y) < x {
		y = math.Nextafter32(y, float32(math.Inf(1)))
	}
	return y
}

const (
	anywhere = -1
	atKeep   = 0
	atGone   = 1
)

// features finds the sharp edges and held planes at the patch, and returns at
// which end the new vertex must stay, if at one; ok is false if the edge must
// not collapse.
func (w *edgeWork) features(h int32) (end int, ok bool) {
	end, ok = w.sharpEnd(h)
	if !ok {
		return end, false
	}
	w.findHeld(h)
	all := uint(1)<<len(w.held) - 1
	switch {
	case len(w.held) == 0:
		return end, true
	case len(w.held) == 1 && end == anywhere:
		return anywhere, true
	case end != atGone && w.at[atKeep] == all:
		return atKeep, true
	case end != atKeep && w.at[atGone] == all:
		return atGone, true
	}
	return end, false
}

// sharpEnd returns which end sharp edges bind the new vertex to. Where two sharp
// edges meet a vertex is free to slide along them; where one ends or more meet
// it is a corner and stays.
func (w *edgeWork) sharpEnd(h int32) (end int, ok bool) {
	s, p := w.surface, &w.patch
	back := s.twin[h]
	w.sharp = [2]int{}
	count := func(end int, g int32) {
		if s.crease[g] {
			w.sharp[end]++
		}
	}
	for i, g := range p.spoke {
		count(p.endOf(i), g)
	}
	count(atKeep, h)
	count(atGone, h)
	count(atKeep, next(back))
	count(atGone, next(h))
	keep, gone := w.sharp[atKeep], w.sharp[atGone]
	switch {
	case keep == 0 && gone == 0:
		return anywhere, true
	case gone == 0:
		return atKeep, true
	case keep == 0:
		return atGone, true
	case !s.crease[h]:
		return anywhere, false
	case keep == 2 && gone == 2:
		return anywhere, true
	case gone == 2:
		return atKeep, true
	case keep == 2:
		return atGone, true
	}
	return anywhere, false
}

// findHeld lists the held regions of the patch and at which ends they are.
func (w *edgeWork) findHeld(h int32) {
	p := &w.patch
	w.held, w.at = w.held[:0], [2]uint{}
	note := func(t int32, ends ...int) {
		r := w.surface.region[t]
		if r == noRegion || !w.planes[r].held {
			return
		}
		i := 0
		for i < len(w.held) && w.held[i] != r {
			i++
		}
		if i == len(w.held) {
			w.held = append(w.held, r)
		}
		for _, end := range ends {
			w.at[end] |= 1 << i
		}
	}
	for i, g := range p.spoke {
		note(g/3, p.endOf(i))
	}
	note(h/3, atKeep, atGone)
	note(w.surface.twin[h]/3, atKeep, atGone)
}

// place returns the new vertex from the middle of the edge, such that a float32
// holds its coordinates.
func (w *edgeWork) place(end int) vector {
	s, p := w.surface, &w.patch
	w.sumVolumes()
	if end != anywhere {
		return p.ends[end]
	}
	middle := s.position[p.keep].add(s.position[p.gone]).times(0.5)
	var x vector
	if len(w.held) == 1 {
		in := &w.planes[w.held[0]]
		x = w.volumes.inPlane(in.normal, -in.height(middle))
	} else {
		x = w.volumes.freely()
	}
	return w.rounded(x).sub(middle)
}

// sumVolumes adds up the triangles of the patch that lie in no held plane.
func (w *edgeWork) sumVolumes() {
	s, p := w.surface, &w.patch
	w.volumes = volumes{}
	add := func(i int, t int32, end int) {
		if r := s.region[t]; r == noRegion || !w.planes[r].held {
			w.volumes.add(p.area[i], p.ends[end], p.size[i])
		}
	}
	for i, g := range p.spoke {
		add(i, g/3, p.endOf(i))
	}
	n := len(p.spoke)
	add(n, p.edge/3, atKeep)
	add(n+1, s.twin[p.edge]/3, atKeep)
}

// meetsFoldedBack reports whether the fan from the new vertex would cross or
// touch a triangle nearby that faces the other way, as in the crevice beneath a
// rounded edge. It spares most of the second goes that crossings cost; what it
// does not see is found in the end.
func (w *edgeWork) meetsFoldedBack(at vector) bool {
	s, p := w.surface, &w.patch
	n := len(p.spoke)
	for i, g := range p.spoke {
		// Round the ring point after this edge, from the triangle outside of the edge to
		// the one before that outside of the next edge.
		last := s.twin[next(p.spoke[after(i, n)])] / 3
		for h := s.twin[next(g)]; h/3 != last; h = s.turn(h) {
			if w.facesAway(h) && w.fanCrosses(at, h/3) {
				return true
			}
		}
	}
	return false
}

// facesAway reports whether the triangle of the half-edge is none of the patch's
// and seen from behind.
func (w *edgeWork) facesAway(h int32) bool {
	s, p := w.surface, &w.patch
	b, c := s.corner[next(h)], s.corner[previous(h)]
	if b == p.keep || b == p.gone || c == p.keep || c == p.gone {
		return false
	}
	from := s.position[s.corner[h]]
	n := s.position[b].sub(from).cross(s.position[c].sub(from))
	facing := n.dot(p.direction)
	return facing < 0 && facing*facing > leastFacing*leastFacing*n.dot(n)
}

// fanCrosses reports whether a triangle of the fan crosses triangle t.
func (w *edgeWork) fanCrosses(at vector, t int32) bool {
	s, p := w.surface, &w.patch
	w.points, w.corners = append(w.points[:0], at.vec3()), [3]int32{}
	for _, v := range p.ring {
		w.points = append(w.points, s.position[v].vec3())
	}
	ring := int32(len(p.ring))
	for k := range w.corners {
		v := s.corner[3*t+int32(k)]
		i := int32(slices.Index(p.ring, v)) + 1
		if i == 0 {
			i = int32(len(w.points))
			w.points = append(w.points, s.position[v].vec3())
		}
		w.corners[k] = i
	}
	for i := range ring {
		if crossing.Cross(w.points, [3]int32{0, i + 1, int32(after(int(i), int(ring))) + 1}, w.corners) {
			return true
		}
	}
	return false
}

// rounded returns a place given from the middle of the edge, as a float32 holds
// it.
func (w *edgeWork) rounded(x vector) vector {
	s, p := w.surface, &w.patch
	return s.position[p.keep].add(s.position[p.gone]).times(0.5).add(x).rounded()
}

// apply collapses the edge.
func (w *edgeWork) apply(x vector, moved float32, pass int32) {
	s, p := w.surface, &w.patch
	s.collapse(p.edge, w.rounded(x))
	s.moved[p.keep] = moved
	for _, v := range p.ring {
		w.changed[v] = pass
	}
	w.changed[p.keep], w.merged[p.keep] = pass, pass
}
