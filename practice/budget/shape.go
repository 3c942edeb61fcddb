package budget

import (
	"fmt"
	"math"
	"sync"

	"earframe/field"
	"earframe/internal/hull"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// shape is an outline made ready to be laid: everything is about its centre, so
// that a turn moves no point farther than its reach allows.
type shape struct {
	outline template.Outline
	centre  mgl64.Vec2 // in the outline's own frame; within its convex hull
	region  *field.Region
	edges   []edge  // of all rings
	outer   int     // how many of them are of the outer ring: the first
	reach   float64 // from the centre to the farthest point, mm
	axis    float64 // direction of the narrowest strip that holds it, radians
	breadth float64 // of that strip, mm
	round   float64 // see roundest
	rounded sync.Once
}

// roundPlaces is how many places across a shape its roundness is looked for at.
const roundPlaces = 24

// roundest returns the diameter of a large circle in the shape, mm: not less than
// the largest by more than the spacing of the places where it was looked for.
func (s *shape) roundest() float64 {
	s.rounded.Do(func() {
		lo, hi := s.region.Bounds()
		step := math.Max(hi[0]-lo[0], hi[1]-lo[1]) / roundPlaces
		for x := lo[0] + step/2; x < hi[0]; x += step {
			for y := lo[1] + step/2; y < hi[1]; y += step {
				s.round = math.Max(s.round, -2*s.region.Distance(mgl64.Vec2{x, y}))
			}
		}
	})
	return s.round
}

// edge is one straight piece of a shape's boundary, about its centre.
type edge struct {
	from, to mgl64.Vec2
	length   float64
	away     float64 // of from, from the centre
	next     int     // the edge that begins at to
	coarse   bool    // one of those about coarseReach apart
}

// longestEdge is how long in mm the pieces are that long sides are looked at in.
const longestEdge = 4.0

// newShape prepares an outline. It is an error if it encloses no area or a
// coordinate is not finite.
func newShape(o template.Outline) (*shape, error) {
	if _, err := template.Region(o); err != nil {
		return nil, err
	}
	s := &shape{outline: o, centre: middle(o.Outer)}
	var rings [][]mgl64.Vec2
	for i, ring := range o.Rings() {
		about := make([]mgl64.Vec2, len(ring))
		for k, p := range ring {
			about[k] = p.Sub(s.centre)
			s.reach = math.Max(s.reach, about[k].Len())
		}
		rings = append(rings, about)
		s.addEdges(about)
		if i == 0 {
			s.outer = len(s.edges)
		}
	}
	var err error
	if s.region, err = field.NewRegion(rings...); err != nil {
		return nil, fmt.Errorf("outline %s: %w", o.ID, err)
	}
	s.axis, s.breadth = narrowest(rings[0])
	return s, nil
}

func (s *shape) addEdges(ring []mgl64.Vec2) {
	first, since := len(s.edges), coarseReach
	for i, a := range ring {
		along := ring[(i+1)%len(ring)].Sub(a)
		n := math.Ceil(along.Len() / longestEdge)
		for k := 0.0; k < n; k++ {
			from, to := a.Add(along.Mul(k/n)), a.Add(along.Mul((k+1)/n))
			e := edge{from, to, along.Len() / n, from.Len(), len(s.edges) + 1, since >= coarseReach}
			if e.coarse {
				since = 0
			}
			since += e.length
			s.edges = append(s.edges, e)
		}
	}
	s.edges[len(s.edges)-1].next = first
}

// centreRounds brings the middle within about one part in centreRounds of the
// centre of the least circle: near enough, since every middle serves.
const centreRounds = 100

// middle returns a point within the convex hull, near the centre of the least
// circle about the points (Bădoiu and Clarkson, "Smaller core-sets for balls",
// 2003).
func middle(points []mgl64.Vec2) mgl64.Vec2 {
	c := points[0]
	for i := 1; i <= centreRounds; i++ {
		far := points[0]
		for _, p := range points {
			if p.Sub(c).LenSqr() > far.Sub(c).LenSqr() {
				far = p
			}
		}
		c = c.Add(far.Sub(c).Mul(1 / float64(i+1)))
	}
	return c
}

// narrowest returns the direction, radians in [-π/2, π/2), and the breadth in mm
// of the narrowest strip that holds the points. One side of it holds an edge of
// their convex hull (Houle and Toussaint, "Computing the width of a set", 1988).
func narrowest(points []mgl64.Vec2) (direction, breadth float64) {
	corners := hull.Of(points)
	breadth = math.Inf(1)
	for i, a := range corners {
		along := corners[(i+1)%len(corners)].Sub(a)
		if along.Len() == 0 {
			continue
		}
		normal := mgl64.Vec2{-along[1], along[0]}.Mul(1 / along.Len())
		across := 0.0
		for _, p := range corners {
			across = math.Max(across, p.Sub(a).Dot(normal))
		}
		if across < breadth-roundingLength {
			breadth, direction = across, math.Atan2(along[1], along[0])
		}
	}
	return math.Mod(direction+2.5*math.Pi, math.Pi) - math.Pi/2, breadth
}

// roundingLength is the length in mm below which two lengths are the same up to
// rounding: coordinates of 100 mm carry 1e-14 mm, sums of them a thousandfold.
const roundingLength = 1e-9

// laid returns the outline as it lies at the pose.
func (s *shape) laid(at pose) template.Outline {
	o := template.Outline{ID: s.outline.ID, Part: s.outline.Part}
	sin, cos := math.Sincos(at.turn)
	place := func(ring template.Ring) template.Ring {
		to := make(template.Ring, len(ring))
		for i, p := range ring {
			to[i] = at.move(p.Sub(s.centre), sin, cos)
		}
		return to
	}
	o.Outer = place(s.outline.Outer)
	for _, hole := range s.outline.Holes {
		o.Holes = append(o.Holes, place(hole))
	}
	return o
}

// pose is where a shape's centre lies, mm, and how it is turned, radians.
type pose struct{ x, y, turn float64 }

// move returns where a point about the centre comes to lie; sin and cos are of
// the turn.
func (at pose) move(p mgl64.Vec2, sin, cos float64) mgl64.Vec2 {
	return mgl64.Vec2{cos*p[0] - sin*p[1] + at.x, sin*p[0] + cos*p[1] + at.y}
}

// back returns the point about the centre that comes to lie at q.
func (at pose) back(q mgl64.Vec2, sin, cos float64) mgl64.Vec2 {
	x, y := q[0]-at.x, q[1]-at.y
	return mgl64.Vec2{cos*x + sin*y, cos*y - sin*x}
}
