package field

import (
	"errors"
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// A Region is a planar set bounded by closed rings, with the exact signed
// distance to its boundary: negative inside, zero on it, positive outside.
//
// The sign comes from the nearest boundary feature (at a corner from the sum of
// both edge normals: Bærentzen and Aanæs, "Signed distance computation using
// the angle weighted pseudonormal", 2005, in the plane), so it is exact for
// rings that neither cross nor overlap. A query walks a bounding-volume tree;
// its cost grows with the logarithm of the number of edges.
type Region struct {
	edges []regionEdge
	nodes []regionNode
	lo    mgl64.Vec2
	hi    mgl64.Vec2
}

// regionEdge is one boundary edge; the outward normals are those of the edge
// and, unnormalised, of its two ends.
type regionEdge struct {
	start, along           mgl64.Vec2
	inverseSquare          float64
	normal, atStart, atEnd mgl64.Vec2
}

// regionNode is a tree node. A leaf holds edges [first, first+count); an inner
// node (count 0) has its children at first and first+1.
type regionNode struct {
	middle, half mgl64.Vec2 // of its box: centre and half its sides
	first, count int32
}

// leafEdges is how many edges a leaf holds at the most: scanning four edges
// costs about as much as testing two more boxes.
const leafEdges = 4

// NewRegion returns the region bounded by the rings: counter-clockwise ones
// enclose, clockwise ones are holes. A ring's last point joins its first.
// Repeated points are dropped; a ring that has fewer than three points left, or
// a coordinate that is not finite, is an error; so are rings that together enclose
// no area.
func NewRegion(rings ...[]mgl64.Vec2) (*Region, error) {
	if len(rings) == 0 {
		return nil, errors.New("field: a region needs at least one ring")
	}
	region := &Region{
		lo: mgl64.Vec2{math.Inf(1), math.Inf(1)},
		hi: mgl64.Vec2{math.Inf(-1), math.Inf(-1)},
	}
	for i, ring := range rings {
		if err := region.addRing(ring); err != nil {
			return nil, fmt.Errorf("field: ring %d: %w", i, err)
		}
	}
	if area := enclosed(region.edges); !(area > 0) {
		return nil, fmt.Errorf("field: the rings enclose %g mm²; an outer ring runs counter-clockwise, a hole "+
			"clockwise", area)
	}
	region.nodes = make([]regionNode, 1, len(region.edges))
	region.split(0, 0, len(region.edges))
	return region, nil
}

// enclosed returns the signed area within the edges.
func enclosed(edges []regionEdge) float64 {
	twice := 0.0
	for i := range edges {
		twice += edges[i].start[0]*edges[i].along[1] - edges[i].start[1]*edges[i].along[0]
	}
	return twice / 2
}

func (r *Region) addRing(ring []mgl64.Vec2) error {
	points := make([]mgl64.Vec2, 0, len(ring))
	for _, p := range ring {
		if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0], 0) || math.IsInf(p[1], 0) {
			return fmt.Errorf("coordinate (%g, %g) is not finite", p[0], p[1])
		}
		if len(points) == 0 || p != points[len(points)-1] {
			points = append(points, p)
		}
	}
	for len(points) > 1 && points[len(points)-1] == points[0] {
		points = points[:len(points)-1]
	}
	n := len(points)
	if n < 3 {
		return fmt.Errorf("%d distinct points, at least 3 needed", n)
	}
	first := len(r.edges)
	for i, p := range points {
		along := points[(i+1)%n].Sub(p)
		square := along.LenSqr()
		length := math.Sqrt(square)
		r.edges = append(r.edges, regionEdge{
			start: p, along: along, inverseSquare: 1 / square,
			normal: mgl64.Vec2{along[1] / length, -along[0] / length},
		})
		for k := range p {
			r.lo[k] = math.Min(r.lo[k], p[k])
			r.hi[k] = math.Max(r.hi[k], p[k])
		}
	}
	edges := r.edges[first:]
	for i := range edges {
		before, after := &edges[(i+n-1)%n], &edges[(i+1)%n]
		edges[i].atStart = before.normal.Add(edges[i].normal)
		edges[i].atEnd = edges[i].normal.Add(after.normal)
	}
	return nil
}

// Bounds returns the lowest and highest coordinates of the region in mm.
func (r *Region) Bounds() (lo, hi mgl64.Vec2) { return r.lo, r.hi }

// Distance returns the signed distance from p to the boundary in mm.
func (r *Region) Distance(p mgl64.Vec2) float64 {
	d, _ := r.Nearest(p)
	return d
}

// Nearest returns the signed distance from p and the nearest boundary point.
func (r *Region) Nearest(p mgl64.Vec2) (distance float64, nearest mgl64.Vec2) {
	f, square := r.nearest(p, 0)
	distance, nearest, _ = r.signed(p, f, square)
	return distance, nearest
}

// Gradient returns the signed distance from p and its gradient, a unit vector
// that points outward.
func (r *Region) Gradient(p mgl64.Vec2) (distance float64, gradient mgl64.Vec2) {
	w := walker{region: r}
	return w.gradient(p)
}

// A walker asks a region about one point after another, each near the last: it
// starts from the last one's nearest edge.
type walker struct {
	region *Region
	edge   int
}

func (w *walker) distance(p mgl64.Vec2) float64 {
	f, square := w.region.nearest(p, w.edge)
	w.edge = f.edge
	d, _, _ := w.region.signed(p, f, square)
	return d
}

func (w *walker) gradient(p mgl64.Vec2) (distance float64, gradient mgl64.Vec2) {
	f, square := w.region.nearest(p, w.edge)
	w.edge = f.edge
	d, q, normal := w.region.signed(p, f, square)
	if math.Abs(d) < onBoundary {
		return d, normal
	}
	return d, p.Sub(q).Mul(1 / d)
}

// onBoundary is the distance in mm below which the direction from the boundary
// is lost to rounding (coordinates of 100 mm carry 1e-14 mm), so that the
// edge's own normal is the better gradient.
const onBoundary = 1e-9
