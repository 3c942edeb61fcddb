package assemble

import (
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"

	"github.com/go-gl/mathgl/mgl64"
)

// Contact is how two units lie to one another.
type Contact struct {
	A         string
	B         string
	Area      float64 // of A's surface that lies on B
	Volume    float64 // that both claim
	Depth     float64 // how far one reaches into the other
	DepthAt   *mgl64.Vec3
	Gap       float64 // between the nearest points; 0 if they touch
	GapAt     *mgl64.Vec3
	Permitted bool // one is let into the other in a declared notch
}

const (
	// touchReach is how near, in mm, a surface must be to count as touching:
	// above the contour's error at the default step, below what a hand can seat.
	touchReach = 0.05

	// facing is the cosine between surface normals beyond which two surfaces
	// face one another; a wall that merely ends on a surface does not.
	facing = -0.7

	// overlapNoise is the depth, in sampling steps, below which reaching into
	// one another is sampling error: a quarter of a step for each of the two. It
	// never is more than mostNoise, mm, half of what is an error.
	overlapNoise = 0.5
	mostNoise    = deepestOverlap / 2

	// leastOverlap is the volume in mm³ below which an overlap is the sampling
	// error of a feather edge: a cube of a third of a millimetre.
	leastOverlap = 0.04

	// batch is how many triangles are looked at together. They follow one
	// another in the contour's order, so they lie close together.
	batch = 256
)

// solid is one side of a contact.
type solid struct {
	field   field.Field
	surface *mesh.Mesh
}

// bytes is what a contact holds, about.
func (Contact) bytes() int64 { return 256 }

// contactBetween measures how a and b lie to one another; it leaves out what they
// are called.
func contactBetween(ctx context.Context, a, b solid, step float64) (Contact, error) {
	c := Contact{Gap: math.Inf(1)}
	noise := math.Min(overlapNoise*step, mostNoise)
	c.search(a, b, noise)
	c.search(b, a, -1) // the area is A's alone
	if c.Area > 0 || c.Depth > noise {
		c.Gap, c.GapAt = 0, nil
	}
	c.Gap = math.Max(c.Gap, 0)
	if c.Depth <= noise {
		c.Depth, c.DepthAt = 0, nil
		return c, nil
	}
	shared, err := contour.Of(ctx, field.Intersection(a.field, b.field), contour.Options{Step: step})
	if err != nil {
		return c, err
	}
	if c.Volume = shared.Volume(); c.Volume < leastOverlap {
		c.Volume, c.Depth, c.DepthAt = 0, 0, nil
	}
	return c, nil
}

// search goes over the surface of one solid and asks the other's field about
// it, passing over what is farther away than the nearest found so far. Surface
// sunk in by up to noise mm counts as touching; below 0, none is counted.
func (c *Contact) search(of, to solid, noise float64) {
	m := of.surface
	s := seeking{Contact: c, of: m, to: to.field, noise: noise, touching: touch{of: m, to: to.field}, within: math.Inf(1)}
	var some [][3]int32
	for i := 0; i < len(m.Triangles); i += batch {
		some = append(some, m.Triangles[i])
	}
	s.take(some)
	s.ask(0, len(some))
	for _, d := range s.values {
		s.within = min(s.within, d)
	}
	for first := 0; first < len(m.Triangles); first += batch {
		s.take(m.Triangles[first:min(first+batch, len(m.Triangles))])
		s.among(0, len(s.triangles))
		c.Area += s.touching.area()
	}
}

// seeking is one search.
type seeking struct {
	*Contact
	of        *mesh.Mesh
	to        field.Field
	noise     float64
	within    float64 // mm, than which nothing that is farther is the nearest
	touching  touch
	triangles [][3]int32 // of a batch
	centres   []mgl64.Vec3
	values    []float64
}

// fewest is how many triangles are asked about together where not all of a batch
// are near.
const fewest = 32

// take puts triangles up for being looked at.
func (s *seeking) take(triangles [][3]int32) {
	s.triangles, s.centres = triangles, s.centres[:0]
	for _, t := range triangles {
		s.centres = append(s.centres, s.of.Vertices[t[0]].Add(s.of.Vertices[t[1]]).Add(s.of.Vertices[t[2]]).Mul(1.0/3))
	}
}

// among looks at the batch's triangles between two, halves them while they are many,
// and passes over those that can add nothing.
func (s *seeking) among(from, to int) {
	low, _ := s.to.Range(field.BoxOf(s.centres[from:to]))
	touches := s.noise >= 0 && low <= touchReach
	switch middle := (from + to) / 2; {
	case !touches && (low >= s.Gap || low > s.within) && -low <= s.Depth:
	case to-from <= fewest:
		s.look(from, to)
	default:
		s.among(from, middle)
		s.among(middle, to)
	}
}

// ask asks the other's field at the triangles' middles.
func (s *seeking) ask(from, to int) {
	s.values = slices.Grow(s.values[:0], to-from)[:to-from]
	s.to.Distances(s.centres[from:to], s.values)
}

// look takes in what the other's field says at the triangles.
func (s *seeking) look(from, to int) {
	s.ask(from, to)
	for i, d := range s.values {
		at := s.centres[from+i]
		if d < s.Gap {
			s.Gap, s.GapAt = d, &mgl64.Vec3{at[0], at[1], at[2]}
		}
		if -d > s.Depth {
			s.Depth, s.DepthAt = -d, &mgl64.Vec3{at[0], at[1], at[2]}
		}
		if s.noise >= 0 && d <= touchReach && d >= -math.Max(s.noise, touchReach) {
			s.touching.add(s.triangles[from+i], at)
		}
	}
}

// touch collects triangles of one solid that lie near the surface of another: few
// of all, so that only they are asked which way the other's surface faces.
type touch struct {
	of        *mesh.Mesh
	to        field.Field
	triangles [][3]int32
	centres   []mgl64.Vec3
	values    []float64
	gradients []mgl64.Vec3
}

func (t *touch) add(triangle [3]int32, centre mgl64.Vec3) {
	t.triangles, t.centres = append(t.triangles, triangle), append(t.centres, centre)
}

// area returns the area of what was collected that faces the other surface, and
// forgets it.
func (t *touch) area() float64 {
	count := len(t.centres)
	if count == 0 {
		return 0
	}
	if count > len(t.values) {
		t.values, t.gradients = make([]float64, count), make([]mgl64.Vec3, count)
	}
	t.to.Gradients(t.centres, t.values[:count], t.gradients[:count])
	sum := 0.0
	for i, triangle := range t.triangles {
		sum += facingArea(t.of, triangle, t.gradients[i])
	}
	t.triangles, t.centres = t.triangles[:0], t.centres[:0]
	return sum
}

// facingArea returns the triangle's area if it faces the other surface, whose
// field has the gradient there.
func facingArea(m *mesh.Mesh, t [3]int32, gradient mgl64.Vec3) float64 {
	p := m.Vertices[t[0]]
	twice := m.Vertices[t[1]].Sub(p).Cross(m.Vertices[t[2]].Sub(p))
	if twice.Dot(gradient) > facing*twice.Len()*gradient.Len() {
		return 0
	}
	return twice.Len() / 2
}
