package simplify

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"

	"earframe/internal/workers"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// surface is a closed triangle mesh that can be changed in place. Half-edge
// 3t+k starts at corner k of triangle t and runs to the triangle's next corner:
//
//	           c = corner[3t+2]
//	          / \
//	3t+2 (c→a)   3t+1 (b→c)
//	        /     \
//	       a ----- b
//	 corner[3t]  3t (a→b)
//
// Counter-clockwise round vertex a, half-edge 3t (a→b) is followed by the twin
// of 3t+2 (a→c).
type surface struct {
	position  []vector
	low, high mgl64.Vec3 // of the input
	corner    []int32    // vertex a half-edge starts from; removed where the triangle is gone
	twin      []int32    // the same edge seen from the other triangle
	first     []int32    // a half-edge that starts at the vertex; removed where it is gone
	crease    []bool     // whether the half-edge lies on a sharp edge of the input

	// moved bounds, by linear interpolation between vertices, how far in mm the
	// map from the input onto the surface moves a point (see bound.go).
	moved  []float32
	region []int32 // flat region of each triangle, or noRegion
}

const removed = -1

// next and previous go round the triangle, without a branch: a processor guesses
// one time in three wrong which way it goes.
func next(h int32) int32 { return h + 1 - 3*(h%3>>1) }

func previous(h int32) int32 { return h - 1 + 3&((h%3-1)>>31) }

// turn returns the next half-edge counter-clockwise round the start of h.
func (s *surface) turn(h int32) int32 { return s.twin[previous(h)] }

// triangleCorners returns the positions of a triangle's corners.
func (s *surface) triangleCorners(t int32) (a, b, c vector) {
	return s.position[s.corner[3*t]], s.position[s.corner[3*t+1]], s.position[s.corner[3*t+2]]
}

// newSurface makes the mesh ready for changes, with coordinates that a float32
// holds. It is an error if an edge does not join exactly two triangles that run
// along it in opposite directions, or if the triangles at a vertex are not one
// fan; ctx ends the work early with its error.
func newSurface(ctx context.Context, m *mesh.Mesh) (*surface, error) {
	s := &surface{
		position: make([]vector, len(m.Vertices)),
		corner:   make([]int32, 3*len(m.Triangles)),
		twin:     make([]int32, 3*len(m.Triangles)),
		first:    make([]int32, len(m.Vertices)),
		crease:   make([]bool, 3*len(m.Triangles)),
		moved:    make([]float32, len(m.Vertices)),
		region:   make([]int32, len(m.Triangles)),
	}
	s.low, s.high = m.Bounds()
	err := workers.Bands(ctx, "corners", max(len(m.Vertices), len(m.Triangles)), verticesABand, func(from, to int) error {
		for i := from; i < min(to, len(m.Vertices)); i++ {
			for _, x := range m.Vertices[i] {
				if math.IsNaN(x) || math.Abs(x) > math.MaxFloat32 {
					return fmt.Errorf("simplify: vertex %d has the coordinate %g, a number of mm needed", i, x)
				}
			}
			s.position[i] = vectorOf(m.Vertices[i]).rounded()
		}
		for t := from; t < min(to, len(m.Triangles)); t++ {
			for k, v := range m.Triangles[t] {
				if v < 0 || int(v) >= len(m.Vertices) {
					return fmt.Errorf("simplify: triangle %d names vertex %d of %d", t, v, len(m.Vertices))
				}
				s.corner[3*t+k] = v
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return s, s.pair(ctx)
}

// verticesABand is how many vertices or triangles one core takes at a time.
const verticesABand = 1 << 13

// pair finds each half-edge's twin and the first half-edge of each vertex.
func (s *surface) pair(ctx context.Context) error {
	// The half-edges that leave a vertex hang on a chain, in whichever order the
	// cores put them there: nothing below depends on it.
	last := make([]atomic.Int32, len(s.position)) // 1 + the half-edge put there last
	before := make([]int32, len(s.corner))        // 1 + the one put there before it
	err := workers.Bands(ctx, "half-edges", len(s.corner), 3*verticesABand, func(from, to int) error {
		for h := from; h < to; h++ {
			before[h] = last[s.corner[h]].Swap(int32(h) + 1)
		}
		return nil
	})
	if err != nil {
		return err
	}
	err = workers.Bands(ctx, "half-edges", len(s.corner), 3*verticesABand, func(from, to int) error {
		for h := int32(from); h < int32(to); h++ {
			if err := s.findTwin(h, last[s.corner[next(h)]].Load(), before); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return workers.Bands(ctx, "fans", len(s.first), verticesABand, func(from, to int) error {
		for v := int32(from); v < int32(to); v++ {
			count := int32(0)
			s.first[v] = removed
			for h := last[v].Load(); h != 0; h = before[h-1] {
				count++
				if s.first[v] == removed || h-1 < s.first[v] {
					s.first[v] = h - 1
				}
			}
			if err := s.requireFan(v, count); err != nil {
				return err
			}
		}
		return nil
	})
}

// findTwin finds the twin of a half-edge on the chain of those that leave its end.
func (s *surface) findTwin(h, chain int32, before []int32) error {
	from, to := s.corner[h], s.corner[next(h)]
	s.twin[h] = removed
	for ; chain != 0; chain = before[chain-1] {
		g := chain - 1
		if s.corner[next(g)] != from {
			continue
		}
		if s.twin[h] != removed {
			return s.notManifold(from, to)
		}
		s.twin[h] = g
	}
	if s.twin[h] == removed || from == to {
		return s.notManifold(from, to)
	}
	return nil
}

func (s *surface) notManifold(from, to int32) error {
	p := s.position[from]
	return fmt.Errorf("simplify: the edge from vertex %d to %d at (%.3f, %.3f, %.3f) mm does not join exactly two "+
		"triangles; only a closed manifold mesh can be simplified",
		from, to, p.x, p.y, p.z)
}

// requireFan reports an error if a vertex's triangles, so many, are more than one
// fan.
func (s *surface) requireFan(v, left int32) error {
	first := s.first[v]
	if first == removed {
		return nil
	}
	h := first
	for left--; s.turn(h) != first; left-- {
		h = s.turn(h)
	}
	if left != 0 {
		p := s.position[v]
		return fmt.Errorf("simplify: surfaces meet in the single vertex %d at (%.3f, %.3f, %.3f) mm; "+
			"only a manifold mesh can be simplified",
			v, p.x, p.y, p.z)
	}
	return nil
}

// joined reports whether the mesh has an edge between the two vertices.
func (s *surface) joined(a, b int32) bool {
	first := s.first[a]
	for h := first; ; {
		if s.corner[next(h)] == b {
			return true
		}
		if h = s.turn(h); h == first {
			return false
		}
	}
}

// couple makes two half-edges twins.
func (s *surface) couple(g, h int32) {
	s.twin[g], s.twin[h] = h, g
}

// drop takes the triangle of a half-edge out of the mesh.
func (s *surface) drop(h int32) {
	t := h / 3
	s.corner[3*t], s.corner[3*t+1], s.corner[3*t+2] = removed, removed, removed
}

// collapse draws the half-edge's end into its start, which moves to p. The caller
// has made sure of the link condition.
func (s *surface) collapse(h int32, p vector) {
	keep, gone := s.corner[h], s.corner[next(h)]
	for g := s.turn(next(h)); g != next(h); g = s.turn(g) {
		s.corner[g] = keep
	}
	s.position[keep] = p
	s.first[gone] = removed
	right := s.twin[h]
	s.seal(h)
	s.seal(right)
}

// seal closes the gap that the triangle of a collapsed half-edge leaves.
func (s *surface) seal(h int32) {
	in, out := s.twin[next(h)], s.twin[previous(h)]
	sharp := s.crease[in] || s.crease[out]
	s.crease[in], s.crease[out] = sharp, sharp
	s.first[s.corner[in]], s.first[s.corner[out]] = in, out
	s.couple(in, out)
	s.drop(h)
}

// packed returns the surface of what is left alone: the given vertices, which are all
// of them, and the triangles, both in their first order.
func (s *surface) packed(vertices []int32) *surface {
	number := make([]int32, len(s.region)) // of each triangle that is left
	triangles := int32(0)
	for t := range number {
		if s.corner[3*t] != removed {
			number[t] = triangles
			triangles++
		}
	}
	half := func(h int32) int32 { return 3*number[h/3] + h%3 }
	p := &surface{
		position: make([]vector, len(vertices)), low: s.low, high: s.high,
		corner: make([]int32, 3*triangles), twin: make([]int32, 3*triangles),
		first:  make([]int32, len(vertices)),
		crease: make([]bool, 3*triangles),
		moved:  make([]float32, len(vertices)), region: make([]int32, triangles),
	}
	place := make([]int32, len(s.first)) // of each vertex that is left
	for i, v := range vertices {
		place[v] = int32(i)
		p.position[i], p.moved[i], p.first[i] = s.position[v], s.moved[v], half(s.first[v])
	}
	for t := range s.region {
		if s.corner[3*t] == removed {
			continue
		}
		p.region[number[t]] = s.region[t]
		for h := 3 * int32(t); h < 3*int32(t)+3; h++ {
			g := half(h)
			p.corner[g], p.twin[g], p.crease[g] = place[s.corner[h]], half(s.twin[h]), s.crease[h]
		}
	}
	return p
}

// mesh returns what is left, vertices and triangles in their first order.
func (s *surface) mesh() *mesh.Mesh {
	var vertices, triangles int
	for _, h := range s.first {
		if h != removed {
			vertices++
		}
	}
	for t := range s.region {
		if s.corner[3*t] != removed {
			triangles++
		}
	}
	m := &mesh.Mesh{Vertices: make([]mgl64.Vec3, 0, vertices), Triangles: make([][3]int32, 0, triangles)}
	number := make([]int32, len(s.first))
	for v, h := range s.first {
		if h != removed {
			number[v] = int32(len(m.Vertices))
			m.Vertices = append(m.Vertices, s.position[v].vec3())
		}
	}
	for t := range s.region {
		if s.corner[3*t] != removed {
			m.Triangles = append(m.Triangles, [3]int32{
				number[s.corner[3*t]], number[s.corner[3*t+1]], number[s.corner[3*t+2]],
			})
		}
	}
	return m
}

// askedEvery is how many vertices or triangles a loop handles before it asks its
// context again: some milliseconds' work.
const askedEvery = 1 << 14

// ended returns the context's error where a loop's turn i is one to ask it in.
func ended(ctx context.Context, i int) error {
	if i%askedEvery != 0 {
		return nil
	}
	return ctx.Err()
}
