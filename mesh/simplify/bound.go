package simplify

import (
	"math"
	"slices"
)

// How far a collapse moves the surface, as a bound that holds.
//
// A collapse replaces a patch of triangles, those round the two ends of an
// edge, by a fan with the same border. If all triangles of both are seen from
// the front along one direction, and the fan goes once round its centre, then
// both patches are graphs of a height over the same star-shaped polygon, and
// points above one another are a map from one onto the other, one to one, that
// leaves the border where it is. The difference of two heights that are linear
// on triangles is linear on the pieces of both triangulations laid over one
// another, so it is greatest at a vertex of one or where two edges cross.
// Cohen, Manocha and Olano ("Simplifying polygonal models using successive
// mappings", 1997) bound simplification in this way.
//
// Maps one after the other move a point by no more than the sum of what each
// moves it. The sum is kept at the vertices: at any point of the surface, linear
// interpolation of the values at the corners of its triangle bounds how far the
// point has come from the input. A collapse leaves the border's values alone and
// gives the new vertex the least value with which the fan's interpolation is, at
// each vertex and crossing, at least the patch's plus the shift there; between
// them both are linear and the shift is convex. The map goes both ways: it
// bounds the distance of the input from the result and of the result from the
// input.

// patch is what a collapse replaces: the triangles round both ends of an edge.
// Points are relative to the middle of the edge.
type patch struct {
	edge       int32 // from keep to gone
	keep, gone int32
	ends       [2]vector  // keep, gone
	ring       []int32    // border vertices, counter-clockwise
	fromKeep   int        // ring edges from here on belong to triangles at keep, those before to gone
	spoke      []int32    // half-edge to ring[i] from the end its triangle belongs to
	tip        []vector   // ring points
	area       []vector   // area vectors of the triangles, twice the area long, then of the edge's own two
	size       []float64  // their lengths
	moved      []float64  // how far the ring points may have moved
	endMoved   [2]float64 // the same for the ends
	direction  vector     // from which all are seen from the front

	// For one new vertex, from there: points across the direction and along it.
	flat      []flatVector
	high      []float64
	endFlat   [2]flatVector
	endHigh   [2]float64
	endBeside [2][]float64 // cross products of ring points with the ends
}

// gather collects the patch round the half-edge and reports whether the edge
// may be collapsed without changing what the mesh is: its ends have no
// neighbours in common but the two vertices opposite (link condition: Dey,
// Edelsbrunner, Guha and Nekhayev, 1999).
func (p *patch) gather(s *surface, edge int32) bool {
	back := s.twin[edge]
	p.edge, p.keep, p.gone = edge, s.corner[edge], s.corner[back]
	p.ring, p.spoke = p.ring[:0], p.spoke[:0]
	for g := s.turn(back); g != next(edge); g = s.turn(g) {
		if len(p.ring) == largestStar {
			return false
		}
		p.ring, p.spoke = append(p.ring, s.corner[next(g)]), append(p.spoke, g)
	}
	p.fromKeep = len(p.ring)
	for g := s.turn(edge); g != next(back); g = s.turn(g) {
		if len(p.ring) == largestStar {
			return false
		}
		p.ring, p.spoke = append(p.ring, s.corner[next(g)]), append(p.spoke, g)
	}
	if len(p.ring) < 3 {
		return false
	}
	for _, v := range p.ring[:p.fromKeep] {
		if slices.Contains(p.ring[p.fromKeep:], v) {
			return false
		}
	}
	return true
}

// measure computes the points and area vectors.
func (p *patch) measure(s *surface) {
	middle := s.position[p.keep].add(s.position[p.gone]).times(0.5)
	p.ends[0], p.ends[1] = s.position[p.keep].sub(middle), s.position[p.gone].sub(middle)
	p.endMoved = [2]float64{float64(s.moved[p.keep]), float64(s.moved[p.gone])}
	p.tip, p.area, p.size, p.moved = p.tip[:0], p.area[:0], p.size[:0], p.moved[:0]
	for _, v := range p.ring {
		p.tip = append(p.tip, s.position[v].sub(middle))
		p.moved = append(p.moved, float64(s.moved[v]))
	}
	for i, a := range p.tip {
		b, end := p.tip[after(i, len(p.tip))], p.ends[p.endOf(i)]
		p.area = append(p.area, a.sub(end).cross(b.sub(end)))
	}
	along := p.ends[1].sub(p.ends[0])
	p.area = append(p.area,
		along.cross(p.tip[p.fromKeep].sub(p.ends[0])),
		p.tip[0].sub(p.ends[0]).cross(along))
	for _, a := range p.area {
		p.size = append(p.size, a.length())
	}
}

// after returns the index that follows i round a ring of n.
func after(i, n int) int {
	if i++; i < n {
		return i
	}
	return 0
}

// endOf returns which end the triangle on ring edge i belongs to.
func (p *patch) endOf(i int) int {
	if i < p.fromKeep {
		return 1
	}
	return 0
}

const (
	// leastFacing is the cosine of the steepest view of a triangle, 78°, that
	// still counts as from the front.
	leastFacing = 0.2

	// facingRounds is how often the direction is drawn towards the steepest
	// triangle, the way of the smallest ball round points (Badoiu and Clarkson,
	// 2003).
	facingRounds = 6
)

// findDirection looks for a direction from which all triangles are seen from the
// front, and reports whether it found one.
func (p *patch) findDirection() bool {
	var d vector
	for i, a := range p.area {
		if p.size[i] == 0 {
			return false
		}
		d = d.add(a.times(1 / p.size[i]))
	}
	d = d.times(1 / float64(len(p.area)))
	for round := range facingRounds {
		steepest, least := -1, 1.0
		for i, a := range p.area {
			if facing := a.dot(d) / p.size[i]; facing < least {
				steepest, least = i, facing
			}
		}
		length := d.length()
		if length == 0 {
			return false
		}
		if least > 0.5*length || round == facingRounds-1 {
			p.direction = d.times(1 / length)
			return least > leastFacing*length
		}
		step := 1 / float64(round+2)
		d = d.times(1 - step).add(p.area[steepest].times(step / p.size[steepest]))
	}
	return false
}

// project puts the patch into the frame of the direction, from the new vertex
// at x.
func (p *patch) project(x vector) {
	across, along := frame(p.direction)
	p.flat, p.high = p.flat[:0], p.high[:0]
	p.endBeside[0], p.endBeside[1] = p.endBeside[0][:0], p.endBeside[1][:0]
	for k, end := range p.ends {
		q := end.sub(x)
		p.endFlat[k], p.endHigh[k] = flatVector{across.dot(q), along.dot(q)}, p.direction.dot(q)
	}
	for _, tip := range p.tip {
		q := tip.sub(x)
		flat := flatVector{across.dot(q), along.dot(q)}
		p.flat, p.high = append(p.flat, flat), append(p.high, p.direction.dot(q))
		for k := range p.ends {
			p.endBeside[k] = append(p.endBeside[k], flat.cross(p.endFlat[k]))
		}
	}
}

// leastTurn is the cosine of the turn, 45°, that a triangle may make in one
// collapse.
const leastTurn = 0.7

// fits reports whether the fan from the new vertex at x is seen from the front,
// goes round once, and has no triangle that turns far or is thinner than
// altitude mm while the patch had none so thin.
func (p *patch) fits(x vector, altitude float64) bool {
	rounds := 0
	n := len(p.flat)
	for i, a := range p.flat {
		j := after(i, n)
		b := p.flat[j]
		if a.y < 0 && b.y >= 0 {
			rounds++
		}
		seen := a.cross(b)
		if seen <= 0 {
			return false
		}
		u, v := p.tip[i].sub(x), p.tip[j].sub(x)
		area := u.cross(v)
		size := area.length()
		w := v.sub(u)
		longest := math.Sqrt(max(u.dot(u), v.dot(v), w.dot(w)))
		if seen < leastFacing*size || size < altitude*longest {
			return false
		}
		if area.dot(p.area[i]) < leastTurn*size*p.size[i] {
			return false
		}
	}
	return rounds == 1
}

// bound returns how far the new vertex must be taken to have moved, mm, given how
// far for the ends' sake; it stops at more than enough.
func (p *patch) bound(atEnds, enough float64) float64 {
	most := max(atEnds, p.atCentre())
	if most > enough {
		return most
	}
	for i, a := range p.flat {
		k := p.endOf(i)
		from := patchPoint{a, p.high[i], p.moved[i]}
		most = max(most, p.across(i, from, k))
		if i == p.fromKeep || i == 0 { // the vertices opposite the edge are joined to both ends
			most = max(most, p.across(i, from, 1-k))
		}
		if most > enough {
			return most
		}
	}
	for j := range p.flat { // the edge itself
		from := patchPoint{p.endFlat[0], p.endHigh[0], p.endMoved[0]}
		most = max(most, p.crossing(j, from, 1, p.endBeside[0][j]))
	}
	return most
}

// across returns the largest bound where the patch's edge from ring point i to
// end k crosses the fan's edges: those that lie between the two round the new vertex.
func (p *patch) across(i int, from patchPoint, k int) float64 {
	most := 0.0
	n := len(p.flat)
	step := after
	ahead := p.endBeside[k][i] >= 0 // the end lies counter-clockwise from the ring point
	if !ahead {
		step = before
	}
	for j := step(i, n); j != i; j = step(j, n) {
		side := p.flat[j].cross(from.flat)
		if ahead != (side < 0) || ahead == (p.endBeside[k][j] < 0) {
			break
		}
		most = max(most, p.crossing(j, from, k, side))
	}
	return most
}

// patchPoint is a vertex of a patch, projected.
type patchPoint struct {
	flat  flatVector
	high  float64
	moved float64
}

// crossing returns the bound where the patch's edge from a corner to end k
// crosses the fan's edge to ring point j, which has the corner on the given
// side.
func (p *patch) crossing(j int, from patchPoint, k int, side float64) float64 {
	endSide := p.endBeside[k][j]
	if (side < 0) == (endSide < 0) {
		return 0
	}
	t := side / (side - endSide)
	tip := p.flat[j]
	at := from.flat.add(p.endFlat[k].sub(from.flat).times(t))
	along := at.dot(tip) / tip.dot(tip)
	if along < 0 || along >= 1 {
		return 0
	}
	high := from.high + t*(p.endHigh[k]-from.high)
	moved := from.moved + t*(p.endMoved[k]-from.moved)
	return (moved + math.Abs(high-along*p.high[j]) - along*p.moved[j]) / (1 - along)
}

// atEnds returns the bound at the ends of the edge, if the fan fits; it stops at
// more than enough.
func (p *patch) atEnds(enough float64) float64 {
	most := max(0, p.atEnd(0))
	if most > enough {
		return most
	}
	return max(most, p.atEnd(1))
}

// atEnd returns the bound at an end of the edge.
func (p *patch) atEnd(k int) float64 {
	if p.endFlat[k] == (flatVector{}) {
		return p.endMoved[k] + math.Abs(p.endHigh[k])
	}
	for i, a := range p.flat {
		j := after(i, len(p.flat))
		atI, atJ := -p.endBeside[k][j], p.endBeside[k][i]
		if atI < 0 || atJ < 0 {
			continue
		}
		whole := a.cross(p.flat[j])
		atI, atJ = atI/whole, atJ/whole
		if atI+atJ >= 1 {
			return math.Inf(1)
		}
		shift := math.Abs(p.endHigh[k] - atI*p.high[i] - atJ*p.high[j])
		return (p.endMoved[k] + shift - atI*p.moved[i] - atJ*p.moved[j]) / (1 - atI - atJ)
	}
	return math.Inf(1)
}

// atCentre returns the bound at the new vertex.
func (p *patch) atCentre() float64 {
	ends := [2]patchPoint{
		{p.endFlat[0], p.endHigh[0], p.endMoved[0]},
		{p.endFlat[1], p.endHigh[1], p.endMoved[1]},
	}
	ring := func(i int) patchPoint { return patchPoint{p.flat[i], p.high[i], p.moved[i]} }
	for i := range p.flat {
		if b, ok := atOrigin(ends[p.endOf(i)], ring(i), ring(after(i, len(p.flat)))); ok {
			return b
		}
	}
	if b, ok := atOrigin(ends[0], ends[1], ring(p.fromKeep)); ok {
		return b
	}
	if b, ok := atOrigin(ends[1], ends[0], ring(0)); ok {
		return b
	}
	return math.Inf(1)
}

// atOrigin returns the bound at the origin, and whether it lies in the triangle.
func atOrigin(a, b, c patchPoint) (bound float64, ok bool) {
	atA, atB, atC := b.flat.cross(c.flat), c.flat.cross(a.flat), a.flat.cross(b.flat)
	whole := atA + atB + atC
	if atA < 0 || atB < 0 || atC < 0 || whole <= 0 {
		return 0, false
	}
	high := atA*a.high + atB*b.high + atC*c.high
	moved := atA*a.moved + atB*b.moved + atC*c.moved
	return (math.Abs(high) + moved) / whole, true
}
