package simplify

import "math"

// Most vertices of a contour lie inside a flat face or along a straight sharp
// edge between two. They go first, without measuring distances: the vertex is
// taken out and the polygon round it triangulated anew by cutting ears, in the
// plane of the face; on a straight edge, the polygons on both sides of it. Ears,
// not edge collapses, because every polygon has some.

// flatWork is what one worker needs to take out flat vertices.
type flatWork struct {
	*simplifier
	pass      int32
	star      []int32 // half-edges leaving the vertex, counter-clockwise
	borders   int     // how often the region changes round the star
	cuts      [2]int  // where it does
	sides     [2]polygon
	chordHalf int32
}

// polygon is the hole that a vertex leaves, or one side of it.
type polygon struct {
	region  int32
	vertex  []int32      // counter-clockwise
	point   []flatVector // in the region's plane, from the vertex taken out
	outer   []int32      // half-edge outside the edge from vertex i to the next, or chord
	sharp   []bool       // whether that edge is a crease
	left    []int32      // which vertices are not cut off yet
	quality []float64    // of the ears there, beside left while ears are planned
	ears    []int32      // where in left each cut is made
}

// chord stands for the edge that joins the two sides.
const chord = -2

// largestStar bounds the triangles round a vertex that is looked at: the work
// grows with the square of it.
const largestStar = 48

// take removes vertex v if it lies inside a flat region or on a straight edge
// between two and its triangles have not changed in this pass, and reports
// whether it did.
func (w *flatWork) take(v, pass int32) bool {
	if w.changed[v] == pass {
		return false
	}
	w.pass = pass
	switch {
	case !w.look(v):
		return false
	case w.borders == 0:
		return w.takeInside(v)
	default:
		return w.takeAlong(v, w.cuts[0], w.cuts[1])
	}
}

// look gathers the star of a vertex and finds where flat regions meet in it. It
// reports whether there is one region, or two.
func (w *flatWork) look(v int32) bool {
	s := w.surface
	first := s.first[v]
	w.borders = 0
	w.star = w.star[:0]
	for h := first; ; {
		if s.region[h/3] == noRegion || len(w.star) == largestStar {
			return false
		}
		w.star = append(w.star, h)
		g := s.turn(h)
		if s.region[g/3] != s.region[h/3] {
			if w.borders == 2 {
				return false
			}
			w.cuts[w.borders] = len(w.star)
			w.borders++
		}
		if h = g; h == first {
			return true
		}
	}
}

// betweenTwoRegions reports whether a vertex lies in one flat region or between
// two.
func (s *simplifier) betweenTwoRegions(v int32) bool {
	first := s.surface.first[v]
	borders := 0
	for h := first; ; {
		region := s.surface.region[h/3]
		if region == noRegion {
			return false
		}
		if h = s.surface.turn(h); s.surface.region[h/3] != region {
			borders++
		}
		if h == first {
			return borders <= 2
		}
	}
}

// takeInside removes a vertex inside a flat region.
func (w *flatWork) takeInside(v int32) bool {
	side := &w.sides[0]
	w.sides[1].vertex = w.sides[1].vertex[:0]
	w.gather(v, side, 0, len(w.star))
	if len(w.star) == 3 && side.outer[0]/3 == side.outer[1]/3 {
		return false // a tetrahedron
	}
	if !w.plan(side) {
		return false
	}
	moved := max(w.mostMoved(v), notLess(2*w.planes[side.region].off))
	used := w.cut(side, 0)
	w.finish(v, used, moved)
	return true
}

// takeAlong removes a vertex on a straight edge between two flat regions, whose
// triangles are star[a:b] and the rest.
func (w *flatWork) takeAlong(v int32, a, b int) bool {
	s := w.surface
	n := len(w.star)
	from, to := s.corner[next(w.star[a])], s.corner[next(w.star[b%n])]
	bend := distanceToSegment(s.position[v], s.position[from], s.position[to])
	if bend > w.flatness || b-a < 2 || n-(b-a) < 2 || s.joined(from, to) {
		return false
	}
	sharp := s.crease[w.star[a]] && s.crease[w.star[b%n]]
	w.gather(v, &w.sides[0], a, b-a)
	w.gather(v, &w.sides[1], b, n-(b-a))
	off := 0.0
	for i := range w.sides {
		side := &w.sides[i]
		w.closeWithChord(v, side, sharp)
		if !w.plan(side) {
			return false
		}
		off = max(off, w.planes[side.region].off)
	}
	moved := notLess(bend + float64(max(w.mostMoved(v), notLess(2*off))))
	if float64(moved) > max(w.tolerance, manyBends*w.flatness) {
		return false
	}
	used := w.cut(&w.sides[0], 0)
	used = w.cut(&w.sides[1], used)
	w.finish(v, used, moved)
	return true
}

// manyBends is how many times the flatness a straight edge may move in all where
// the tolerance is smaller: vertices go in turns, each a little off the line.
const manyBends = 40

// mostMoved returns how far the vertex and its neighbours may have moved.
func (w *flatWork) mostMoved(v int32) float32 {
	s := w.surface
	moved := s.moved[v]
	for _, h := range w.star {
		moved = max(moved, s.moved[s.corner[next(h)]])
	}
	return moved
}

// gather fills the polygon with the far edges of count triangles of the star.
func (w *flatWork) gather(v int32, side *polygon, from, count int) {
	s := w.surface
	*side = polygon{
		vertex: side.vertex[:0], point: side.point[:0], outer: side.outer[:0],
		sharp: side.sharp[:0], left: side.left, quality: side.quality, ears: side.ears[:0],
	}
	for i := range count {
		at := from + i
		if at >= len(w.star) {
			at -= len(w.star)
		}
		far := next(w.star[at])
		side.region = s.region[far/3]
		w.corner(v, side, s.corner[far])
		side.outer = append(side.outer, s.twin[far])
		side.sharp = append(side.sharp, s.crease[far])
	}
}

// corner adds a vertex to the polygon.
func (w *flatWork) corner(v int32, side *polygon, far int32) {
	p := w.surface.position[far].sub(w.surface.position[v])
	in := &w.planes[side.region]
	side.vertex = append(side.vertex, far)
	side.point = append(side.point, flatVector{in.across.dot(p), in.along.dot(p)})
}

// closeWithChord ends one side with the vertex that the last edge leads to.
func (w *flatWork) closeWithChord(v int32, side *polygon, sharp bool) {
	s := w.surface
	last := s.twin[side.outer[len(side.outer)-1]]
	w.corner(v, side, s.corner[next(last)])
	side.outer = append(side.outer, chord)
	side.sharp = append(side.sharp, sharp)
}

// plan chooses ears until a triangle is left, and reports whether all triangles
// are sound: same orientation, not too thin, no edge that exists already.
func (w *flatWork) plan(side *polygon) bool {
	n := len(side.vertex)
	for i, p := range side.point {
		if side.outer[i] != chord && p.cross(side.point[after(i, n)]) <= 0 {
			return false
		}
	}
	if w.cutEars(side, -1) {
		return true
	}
	for i := range n {
		if w.cutEars(side, i) {
			return true
		}
	}
	return false
}

// cutEars plans to cut the ear with the best shape as long as there is one, and
// reports whether that succeeds. It begins with the given ear if that is not
// negative: the best may leave corners that are in line.
func (w *flatWork) cutEars(side *polygon, begin int) bool {
	side.left, side.ears, side.quality = side.left[:0], side.ears[:0], side.quality[:0]
	for i := range side.vertex {
		side.left = append(side.left, int32(i))
	}
	for j := range side.left {
		side.quality = append(side.quality, quality(side.around(j)))
	}
	for len(side.left) > 3 {
		j := begin
		if j < 0 {
			j = w.bestEar(side)
		} else if !w.isEar(side, j) {
			return false
		}
		if j < 0 {
			return false
		}
		begin = -1
		side.ears = append(side.ears, int32(j))
		side.left = append(side.left[:j], side.left[j+1:]...)
		side.quality = append(side.quality[:j], side.quality[j+1:]...)
		n := len(side.left)
		for _, k := range [2]int{before(j, n), after(j-1, n)} {
			side.quality[k] = quality(side.around(k))
		}
	}
	a, b, c := side.point[side.left[0]], side.point[side.left[1]], side.point[side.left[2]]
	return quality(a, b, c) > 0 && altitude(a, b, c) >= w.altitude
}

// around returns the corner at position j of left between those beside it.
func (p *polygon) around(j int) (a, b, c flatVector) {
	n := len(p.left)
	return p.point[p.left[before(j, n)]], p.point[p.left[j]], p.point[p.left[after(j, n)]]
}

// before returns the index that precedes i round a ring of n.
func before(i, n int) int {
	if i > 0 {
		return i - 1
	}
	return n - 1
}

// bestEar returns the position in left of the ear with the best shape, or -1.
func (w *flatWork) bestEar(side *polygon) int {
	var barred [largestStar + 1]bool
	for {
		best, bestQuality := -1, 0.0
		for j, q := range side.quality {
			if q > bestQuality && !barred[j] {
				best, bestQuality = j, q
			}
		}
		if best < 0 || w.isEar(side, best) {
			return best
		}
		barred[best] = true
	}
}

// isEar reports whether the triangle at position j of left can be cut off.
func (w *flatWork) isEar(side *polygon, j int) bool {
	n := len(side.left)
	i, k, l := side.left[before(j, n)], side.left[j], side.left[after(j, n)]
	a, b, c := side.point[i], side.point[k], side.point[l]
	return side.quality[j] > 0 && altitude(a, b, c) >= w.altitude &&
		!side.occupied(a, b, c, i, k, l) && !w.surface.joined(side.vertex[i], side.vertex[l])
}

// occupied reports whether a vertex of the polygon lies in the triangle abc.
func (p *polygon) occupied(a, b, c flatVector, i, k, l int32) bool {
	for _, o := range p.left {
		if o == i || o == k || o == l {
			continue
		}
		q := p.point[o]
		if b.sub(a).cross(q.sub(a)) >= 0 && c.sub(b).cross(q.sub(b)) >= 0 && a.sub(c).cross(q.sub(c)) >= 0 {
			return true
		}
	}
	return false
}

// quality returns twice the area of a triangle over the square of its longest
// edge, negative if it is wound clockwise.
func quality(a, b, c flatVector) float64 {
	twice, longest := shape(a, b, c)
	return twice / longest
}

// altitude returns the least altitude of a triangle.
func altitude(a, b, c flatVector) float64 {
	twice, longest := shape(a, b, c)
	return twice / math.Sqrt(longest)
}

// shape returns twice the area of a triangle and the square of its longest edge.
func shape(a, b, c flatVector) (twice, longest float64) {
	ab, bc, ca := b.sub(a), c.sub(b), a.sub(c)
	return ab.cross(bc), max(ab.dot(ab), bc.dot(bc), ca.dot(ca))
}

// cut carries out the plan, writing the new triangles over the star's from the
// one numbered used, and returns the number of the next.
func (w *flatWork) cut(side *polygon, used int) int {
	side.left = side.left[:0]
	for i := range side.vertex {
		side.left = append(side.left, int32(i))
	}
	for _, j := range side.ears {
		n := len(side.left)
		i, k, l := side.left[before(int(j), n)], side.left[j], side.left[after(int(j), n)]
		h := w.write(side, used, i, k, l)
		w.attach(h, side.outer[i], side.sharp[i])
		w.attach(h+1, side.outer[k], side.sharp[k])
		side.outer[i], side.sharp[i] = h+2, false
		side.left = append(side.left[:j], side.left[j+1:]...)
		used++
	}
	h := w.write(side, used, side.left[0], side.left[1], side.left[2])
	for k, i := range side.left {
		w.attach(h+int32(k), side.outer[i], side.sharp[i])
	}
	return used + 1
}

// write stores a triangle of the polygon in place of one of the star's.
func (w *flatWork) write(side *polygon, used int, i, k, l int32) int32 {
	s := w.surface
	t := w.star[used] / 3
	for n, local := range [3]int32{i, k, l} {
		v := side.vertex[local]
		s.corner[3*t+int32(n)] = v
		s.first[v] = 3*t + int32(n)
		w.changed[v] = w.pass
	}
	s.region[t] = side.region
	return 3 * t
}

// attach makes a new half-edge the twin of an outer one.
func (w *flatWork) attach(h, outer int32, sharp bool) {
	s := w.surface
	s.crease[h] = sharp
	if outer != chord {
		s.couple(h, outer)
		s.crease[outer] = sharp
		return
	}
	if w.chordHalf == removed {
		w.chordHalf = h
		return
	}
	s.couple(h, w.chordHalf)
	w.chordHalf = removed
}

// finish drops the vertex and the triangles that are not needed any more. Its
// neighbours are taken to have moved as far as any of them.
func (w *flatWork) finish(v int32, used int, moved float32) {
	s := w.surface
	s.first[v] = removed
	for _, h := range w.star[used:] {
		s.drop(h)
	}
	for i := range w.sides {
		for _, u := range w.sides[i].vertex {
			s.moved[u] = moved
		}
		w.sides[i].vertex = w.sides[i].vertex[:0]
	}
}

// distanceToSegment returns the distance of p from the segment ab, mm.
func distanceToSegment(p, a, b vector) float64 {
	d := b.sub(a)
	t := 0.0
	if square := d.dot(d); square > 0 {
		t = min(max(p.sub(a).dot(d)/square, 0), 1)
	}
	return p.sub(a.add(d.times(t))).length()
}
