package simplify

import (
	"context"
	"math"
	"slices"
	"sync/atomic"

	"earframe/internal/workers"
)

// plane is a flat region's plane: normal·p = offset.
type plane struct {
	normal vector
	offset float64

	// across, along and normal are a right-handed orthonormal frame.
	across, along vector

	// off is how far, at most, the region's vertices lie from the plane, mm.
	off float64

	// held says that no vertex of the region may leave the plane, whatever the
	// tolerance.
	held bool
}

func (p *plane) height(v vector) float64 { return p.normal.dot(v) - p.offset }

// noRegion marks a triangle that shares its plane with no neighbour.
const noRegion = -1

// roundings is how many units of float32 rounding of the largest coordinate
// vertices may lie off a plane and still count as on it: each coordinate is half
// a unit off, so a point up to 0.87, and the plane fitted to such points by as
// much again.
const roundings = 2

// floatRounding is the distance between neighbouring float32 numbers near 1.
const floatRounding = 1.0 / (1 << 23)

// findRegions numbers the flat regions: sets of triangles joined edge to edge
// whose corners lie in one plane within flatness mm. ctx ends the work early with
// its error.
func (s *surface) findRegions(ctx context.Context, flatness float64) ([]plane, error) {
	for t := range s.region {
		s.region[t] = noRegion
	}
	seeds, err := s.regionSeeds(ctx, flatness)
	if err != nil {
		return nil, err
	}
	var planes []plane
	var queue []int32
	grown := regionGrowth{surface: s, flatness: flatness}
	for i, t := range seeds {
		if err := ended(ctx, i); err != nil {
			return nil, err
		}
		if s.region[t] != noRegion || !grown.start(t) {
			continue
		}
		queue = append(queue[:0], t)
		s.region[t] = int32(len(planes))
		for i := 0; i < len(queue); i++ {
			if err := ended(ctx, i+1); err != nil {
				return nil, err
			}
			for k := range int32(3) {
				other := s.twin[3*queue[i]+k] / 3
				if s.region[other] == noRegion && grown.take(s.twin[3*queue[i]+k]) {
					s.region[other] = int32(len(planes))
					queue = append(queue, other)
				}
			}
		}
		p, ok := grown.plane(queue)
		if !ok {
			for _, member := range queue {
				s.region[member] = noRegion
			}
			continue
		}
		planes = append(planes, p)
	}
	return planes, s.holdBroad(ctx, planes)
}

// regionSeeds returns the triangles that lie in one plane with a neighbour: those
// that a region can begin with.
func (s *surface) regionSeeds(ctx context.Context, flatness float64) ([]int32, error) {
	found := make([][]int32, (len(s.region)+trianglesABand-1)/trianglesABand)
	err := workers.Bands(ctx, "flat neighbours", len(s.region), trianglesABand, func(from, to int) error {
		grown := regionGrowth{surface: s, flatness: flatness}
		list := make([]int32, 0, to-from)
		for t := int32(from); t < int32(to); t++ {
			if grown.start(t) && (grown.fits(s.twin[3*t]) || grown.fits(s.twin[3*t+1]) || grown.fits(s.twin[3*t+2])) {
				list = append(list, t)
			}
		}
		found[from/trianglesABand] = list
		return nil
	})
	return slices.Concat(found...), err
}

// regionGrowth fits a plane to a growing region. Its normal is the sum of the
// triangles' area vectors, which depends on the region's border alone: vertices
// off by e tilt a region of breadth b by about e/b, so that the border stays
// within a few e of the plane however small the triangle it began with.
type regionGrowth struct {
	surface  *surface
	flatness float64
	area     vector  // sum of area vectors
	unit     vector  // its direction
	moment   vector  // sum of area × centroid
	weight   float64 // sum of areas
	fitted   float64 // weight when unit was last computed
	offset   float64
}

// start begins a region with one triangle, and reports whether it has an area
// to speak of.
func (g *regionGrowth) start(t int32) bool {
	a, b, c := g.surface.triangleCorners(t)
	g.area, g.moment, g.weight = vector{}, vector{}, 0
	return g.add(a, b, c) && g.fit()
}

func (g *regionGrowth) add(a, b, c vector) bool {
	n := b.sub(a).cross(c.sub(a))
	size := n.length()
	g.area = g.area.add(n)
	g.moment = g.moment.add(a.add(b).add(c).times(size / 3))
	g.weight += size
	return size > 0
}

func (g *regionGrowth) fit() bool {
	length := g.area.length()
	g.unit = g.area.times(1 / length)
	g.offset = g.unit.dot(g.moment) / g.weight
	g.fitted = g.weight
	return length > 0 && g.weight > 0
}

// refit is by how much a region grows before its plane is fitted anew.
const refit = 1.1

// fits reports whether the far corner of a half-edge's triangle lies in the plane
// and the triangle does not fold back over the region.
func (g *regionGrowth) fits(h int32) bool {
	s := g.surface
	far := s.position[s.corner[previous(h)]]
	if math.Abs(g.unit.dot(far)-g.offset) > g.flatness {
		return false
	}
	a, b := s.position[s.corner[h]], s.position[s.corner[next(h)]]
	n := b.sub(a).cross(far.sub(a))
	return n.dot(g.unit) > 0.5*n.length()
}

// take adds the triangle of a half-edge if it fits.
func (g *regionGrowth) take(h int32) bool {
	if !g.fits(h) {
		return false
	}
	s := g.surface
	g.add(s.position[s.corner[h]], s.position[s.corner[next(h)]], s.position[s.corner[previous(h)]])
	if g.weight > refit*g.fitted {
		g.fit()
	}
	return true
}

// plane returns the region's plane, and whether it is a region: at least two
// triangles with all corners within twice the flatness.
func (g *regionGrowth) plane(members []int32) (plane, bool) {
	if len(members) < 2 {
		return plane{}, false
	}
	g.fit()
	p := plane{normal: g.unit, offset: g.offset}
	p.across, p.along = frame(p.normal)
	for _, t := range members {
		for k := range int32(3) {
			p.off = math.Max(p.off, math.Abs(p.height(g.surface.position[g.surface.corner[3*t+k]])))
		}
	}
	return p, p.off <= 2*g.flatness
}

// frame returns two unit vectors that make a right-handed orthonormal frame with
// the unit vector n.
func frame(n vector) (across, along vector) {
	across = vector{0, -n.z, n.y} // square to n and x
	if math.Abs(n.x) > 0.9 {
		across = vector{n.z, 0, -n.x}
	}
	across = across.times(1 / across.length())
	return across, n.cross(across)
}

// holdBroad marks the regions whose vertices must stay in their plane: those
// with at least as many vertices inside as on the border. Narrower ones are the
// facets of a curved wall, which may be merged within the tolerance.
func (s *surface) holdBroad(ctx context.Context, planes []plane) error {
	surplus := make([]atomic.Int32, len(planes)) // vertices inside less those on the border
	err := workers.Bands(ctx, "broad faces", len(s.first), verticesABand, func(from, to int) error {
		for _, first := range s.first[from:to] {
			if first == removed {
				continue
			}
			r, inside := s.region[first/3], int32(1)
			for h := s.turn(first); h != first; h = s.turn(h) {
				if other := s.region[h/3]; other != r {
					inside = -1
					if other != noRegion {
						surplus[other].Add(-1)
					}
				}
			}
			if r != noRegion {
				surplus[r].Add(inside)
			}
		}
		return nil
	})
	for r := range planes {
		planes[r].held = surplus[r].Load() >= 0
	}
	return err
}

// sharpCosine is the cosine of the turn between faces, 50°, from which an edge
// counts as sharp. A rounded edge of 0.3 mm radius sampled each 0.2 mm turns by
// 38°.
const sharpCosine = 0.64

// findCreases marks the sharp edges. ctx ends the work early with its error.
func (s *surface) findCreases(ctx context.Context) error {
	normal := make([]vector, len(s.region))
	err := workers.Bands(ctx, "sharp edges", len(normal), verticesABand, func(from, to int) error {
		for t := from; t < to; t++ {
			a, b, c := s.triangleCorners(int32(t))
			normal[t] = b.sub(a).cross(c.sub(a))
			if size := normal[t].length(); size > 0 {
				normal[t] = normal[t].times(1 / size)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return workers.Bands(ctx, "sharp edges", len(s.twin), 3*verticesABand, func(from, to int) error {
		for h := from; h < to; h++ {
			s.crease[h] = normal[h/3].dot(normal[s.twin[h]/3]) < sharpCosine
		}
		return nil
	})
}
