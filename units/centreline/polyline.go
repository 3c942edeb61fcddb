package centreline

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// LengthOf returns the length of a line in mm, closed or open.
func LengthOf(points []mgl64.Vec2, closed bool) float64 {
	length := 0.0
	for i := 1; i < len(points); i++ {
		length += points[i].Sub(points[i-1]).Len()
	}
	if closed {
		length += points[0].Sub(points[len(points)-1]).Len()
	}
	return length
}

func backward(points []mgl64.Vec2) []mgl64.Vec2 {
	turned := slices.Clone(points)
	slices.Reverse(turned)
	return turned
}

// toSegment returns where along the segment from a to b the point nearest to p
// lies, 0 to 1, and the squared distance.
func toSegment(p, a, b mgl64.Vec2) (t, square float64) {
	x, y := b[0]-a[0], b[1]-a[1]
	px, py := p[0]-a[0], p[1]-a[1]
	if length := x*x + y*y; length > 0 {
		t = min(max((px*x+py*y)/length, 0), 1)
	}
	dx, dy := px-t*x, py-t*y
	return t, dx*dx + dy*dy
}

// longestEdge returns the length of an open line's longest edge.
func longestEdge(points []mgl64.Vec2) float64 {
	longest := 0.0
	for i := 1; i < len(points); i++ {
		longest = math.Max(longest, points[i].Sub(points[i-1]).Len())
	}
	return longest
}

// nearestEdge returns the edge of an open line that comes nearest to p, by its last
// point, from begin to before end, where along it that is, 0 to 1, and the squared
// distance; the first of several equally near ones. No edge is longer than longest:
// those that cannot come nearer, than the guessed one either, are passed over.
func nearestEdge(
	p mgl64.Vec2, points []mgl64.Vec2, longest float64, begin, end, guess int,
) (at int, along, square float64) {
	// Rounding must not pass over an edge that is as near: a billionth is far more
	// than it is, and far less than any step saves.
	const slack = 1 + 1e-9
	_, s := toSegment(p, points[guess-1], points[guess])
	best, nearest := math.Inf(1), math.Sqrt(s)*slack
	at = begin
	for i := begin; i < end; {
		if t, s := toSegment(p, points[i-1], points[i]); s < best {
			best, along, at = s, t, i
			nearest = math.Sqrt(s) * slack
		}
		// The next k edges lie within k edges' length of the point that this one
		// ends at.
		if away := math.Sqrt(p.Sub(points[i]).LenSqr()); away > nearest && longest > 0 {
			i += int((away - nearest) / longest)
		}
		i++
	}
	return at, along, best
}

// resample returns n points evenly spaced along an open line.
func resample(points []mgl64.Vec2, n int) []mgl64.Vec2 {
	step := LengthOf(points, false) / float64(n-1)
	even := make([]mgl64.Vec2, 0, n)
	even = append(even, points[0])
	walked := 0.0
	for i := 1; i < len(points); i++ {
		edge := points[i].Sub(points[i-1]).Len()
		for len(even) < n-1 && walked+edge >= step*float64(len(even)) {
			t := (step*float64(len(even)) - walked) / edge
			even = append(even, points[i-1].Add(points[i].Sub(points[i-1]).Mul(t)))
		}
		walked += edge
	}
	for len(even) < n {
		even = append(even, points[len(points)-1])
	}
	return even
}

// subdivide returns the ring with points added so that none is farther than
// spacing from the next.
func subdivide(ring []mgl64.Vec2, spacing float64) []mgl64.Vec2 {
	var fine []mgl64.Vec2
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		pieces := max(1, int(math.Ceil(b.Sub(a).Len()/spacing)))
		for k := range pieces {
			fine = append(fine, a.Add(b.Sub(a).Mul(float64(k)/float64(pieces))))
		}
	}
	return fine
}

// insertPoint returns the ring with a point added to its nearest edge, and the
// point's index.
func insertPoint(ring []mgl64.Vec2, p mgl64.Vec2) ([]mgl64.Vec2, int) {
	best, at := math.Inf(1), 0
	for i, a := range ring {
		if _, square := toSegment(p, a, ring[(i+1)%len(ring)]); square < best {
			best, at = square, i+1
		}
	}
	return slices.Insert(slices.Clone(ring), at, p), at
}
