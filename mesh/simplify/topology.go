package simplify

import (
	"context"
	"fmt"
	"math"

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
	position []mgl64.Vec3
	corner   []int32 // vertex a half-edge starts from; removed where the triangle is gone
	twin     []int32 // the same edge seen from the other triangle
	first    []int32 // a half-edge that starts at the vertex; removed where it is gone
	crease   []bool  // whether the half-edge lies on a sharp edge of the input

	// moved bounds, by linear interpolation between vertices, how far in mm the
	// map from the input onto the surface moves a point (see bound.go).
	moved  []float32
	region []int32 // flat region of each triangle, or noRegion
}

const removed = -1

func next(h int32) int32 {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

func previous(h int32) int32 {
	if h%3 == 0 {
		return h + 2
	}
	return h - 1
}

// turn returns the next half-edge counter-clockwise round the start of h.
func (s *surface) turn(h int32) int32 { return s.twin[previous(h)] }

// triangleCorners returns the positions of a triangle's corners.
func (s *surface) triangleCorners(t int32) (a, b, c mgl64.Vec3) {
	return s.position[s.corner[3*t]], s.position[s.corner[3*t+1]], s.position[s.corner[3*t+2]]
}

// newSurface makes the mesh ready for changes, with coordinates that a float32
// holds. It is an error if an edge does not join exactly two triangles that run
// along it in opposite directions, or if the triangles at a vertex are not one
// fan; ctx ends the work early with its error.
func newSurface(ctx context.Context, m *mesh.Mesh) (*surface, error) {
	s := &surface{
		position: make([]mgl64.Vec3, len(m.Vertices)),
		corner:   make([]int32, 3*len(m.Triangles)),
		twin:     make([]int32, 3*len(m.Triangles)),
		first:    make([]int32, len(m.Vertices)),
		crease:   make([]bool, 3*len(m.Triangles)),
		moved:    make([]float32, len(m.Vertices)),
		region:   make([]int32, len(m.Triangles)),
	}
	for i, v := range m.Vertices {
		if err := ended(ctx, i); err != nil {
			return nil, err
		}
		for k := range v {
			if math.IsNaN(v[k]) || math.Abs(v[k]) > math.MaxFloat32 {
				return nil, fmt.Errorf("simplify: vertex %d has the coordinate %g, a number of mm needed", i, v[k])
			}
			s.position[i][k] = mesh.Representable(v[k])
		}
	}
	for t, triangle := range m.Triangles {
		for k, v := range triangle {
			if v < 0 || int(v) >= len(m.Vertices) {
				return nil, fmt.Errorf("simplify: triangle %d names vertex %d of %d", t, v, len(m.Vertices))
			}
			s.corner[3*t+k] = v
		}
	}
	for _, pass := range []func() error{s.pair, ctx.Err, s.requireFans, ctx.Err} {
		if err := pass(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// pair finds each half-edge's twin and a first half-edge for each vertex.
func (s *surface) pair() error {
	start := make([]int32, len(s.position)+1)
	for _, v := range s.corner {
		start[v+1]++
	}
	for v := range s.position {
		start[v+1] += start[v]
	}
	leaving := make([]int32, len(s.corner)) // half-edges in order of the vertex they leave
	filled := s.first
	copy(filled, start)
	for h, v := range s.corner {
		leaving[filled[v]] = int32(h)
		filled[v]++
	}
	for v := range s.first {
		s.first[v] = removed
		if start[v] < start[v+1] {
			s.first[v] = leaving[start[v]]
		}
	}
	for h := range s.corner {
		from, to := s.corner[h], s.corner[next(int32(h))]
		s.twin[h] = removed
		for _, g := range leaving[start[to]:start[to+1]] {
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
	}
	return nil
}

func (s *surface) notManifold(from, to int32) error {
	p := s.position[from]
	return fmt.Errorf("simplify: the edge from vertex %d to %d at (%.3f, %.3f, %.3f) mm does not join exactly two triangles; only a closed manifold mesh can be simplified",
		from, to, p[0], p[1], p[2])
}

// requireFans reports the first vertex whose triangles are more than one fan.
func (s *surface) requireFans() error {
	left := make([]int32, len(s.first))
	for _, v := range s.corner {
		left[v]++
	}
	for v, first := range s.first {
		if first == removed {
			continue
		}
		h := first
		for left[v]--; s.turn(h) != first; left[v]-- {
			h = s.turn(h)
		}
		if left[v] != 0 {
			p := s.position[v]
			return fmt.Errorf("simplify: surfaces meet in the single vertex %d at (%.3f, %.3f, %.3f) mm; only a manifold mesh can be simplified",
				v, p[0], p[1], p[2])
		}
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
func (s *surface) collapse(h int32, p mgl64.Vec3) {
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
			m.Vertices = append(m.Vertices, s.position[v])
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
