package kit

import (
	"context"
	"math"
	"slices"

	"earframe/internal/hull"
	"earframe/internal/workers"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// directions is how many directions the outermost vertices are looked for in:
// about four degrees apart.
const directions = 1000

// extremes returns the vertices that lie farthest out in any of many evenly
// spread directions (a Fibonacci lattice on the sphere), in the mesh's order.
func extremes(ctx context.Context, m *mesh.Mesh) ([]mgl64.Vec3, error) {
	golden := math.Pi * (3 - math.Sqrt(5))
	var outward []mgl64.Vec3
	for i := range directions {
		z := 1 - (2*float64(i)+1)/directions
		sin, cos := math.Sincos(float64(i) * golden)
		r := math.Sqrt(1 - z*z)
		outward = append(outward, mgl64.Vec3{r * cos, r * sin, z})
	}
	// Around nearly level faces: their border, whatever single vertex stands out of
	// them by the contour's error.
	const lean = 2e-3
	for i := range 180 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 90)
		outward = append(outward, mgl64.Vec3{lean * cos, lean * sin, -1}, mgl64.Vec3{lean * cos, lean * sin, 1})
	}
	found := make([]int, len(outward))
	err := workers.Bands(ctx, "outermost points", len(outward), directionsABand, func(from, to int) error {
		for i := from; i < to; i++ {
			farthest := math.Inf(-1)
			for k, v := range m.Vertices {
				if along := v.Dot(outward[i]); along > farthest {
					found[i], farthest = k, along
				}
			}
		}
		return nil
	})
	slices.Sort(found)
	found = slices.Compact(found)
	points := make([]mgl64.Vec3, len(found))
	for i, k := range found {
		points[i] = m.Vertices[k]
	}
	return points, err
}

// directionsABand is how many directions one core looks in at a time.
const directionsABand = 50

// hullFace is a triangle of a convex hull.
type hullFace struct {
	corner [3]int
	normal mgl64.Vec3 // outward
	offset float64
}

func (f *hullFace) over(p mgl64.Vec3) float64 { return f.normal.Dot(p) - f.offset }

// hullFlat is the distance in mm below which points count as one place, or as
// lying on one line or plane, when the hull is begun.
const hullFlat = 1e-6

// joggle moves points by up to this many mm, so that no four of those in a level
// face are left in one plane by rounding alone: more than rounding by far, and
// less by far than what a bed is flat to.
const joggle = 1e-4

// joggled moves every point a little, the same way each time.
func joggled(points []mgl64.Vec3) []mgl64.Vec3 {
	to := make([]mgl64.Vec3, len(points))
	state := uint32(1)
	for i, p := range points {
		for k := range p {
			// A linear congruential generator (Numerical Recipes, 1992, 7.1).
			state = state*1664525 + 1013904223
			to[i][k] = p[k] + joggle*(float64(state)/(1<<31)-1)
		}
	}
	return to
}

// hullOf returns the faces of the points' convex hull, to within joggle: each
// point in turn takes away the faces that it sees, and the border of what it
// sees is joined to it (the incremental method; O'Rourke, Computational Geometry
// in C, 1998, ch. 4). It is empty if the points lie in one plane, or should
// rounding after all make a face of none.
func hullOf(points []mgl64.Vec3) []hullFace {
	points = joggled(points)
	faces := firstFaces(points)
	for i, p := range points {
		if len(faces) == 0 || len(faces) > 2*len(points) {
			return nil // no hull has more faces than twice its points
		}
		border := map[[2]int]bool{}
		var order [][2]int
		kept := faces[:0:0]
		for _, f := range faces {
			if f.corner[0] == i || f.corner[1] == i || f.corner[2] == i || f.over(p) <= 0 {
				kept = append(kept, f)
				continue
			}
			for k := range 3 {
				e := [2]int{f.corner[k], f.corner[(k+1)%3]}
				if back := [2]int{e[1], e[0]}; border[back] {
					delete(border, back)
				} else {
					border[e] = true
					order = append(order, e)
				}
			}
		}
		for _, e := range order {
			if border[e] {
				f, ok := newFace(points, e[0], e[1], i)
				if !ok {
					return nil
				}
				kept = append(kept, f)
			}
		}
		faces = kept
	}
	return faces
}

func newFace(points []mgl64.Vec3, a, b, c int) (hullFace, bool) {
	n := points[b].Sub(points[a]).Cross(points[c].Sub(points[a]))
	l := n.Len()
	if l == 0 {
		return hullFace{}, false
	}
	n = n.Mul(1 / l)
	return hullFace{[3]int{a, b, c}, n, n.Dot(points[a])}, true
}

// firstFaces returns the faces of a tetrahedron of points far apart.
func firstFaces(points []mgl64.Vec3) []hullFace {
	farthest := func(of func(p mgl64.Vec3) float64) int {
		best, most := -1, hullFlat
		for i, p := range points {
			if d := of(p); d > most {
				best, most = i, d
			}
		}
		return best
	}
	if len(points) < 4 {
		return nil
	}
	a := 0
	b := farthest(func(p mgl64.Vec3) float64 { return p.Sub(points[a]).Len() })
	if b < 0 {
		return nil
	}
	along := points[b].Sub(points[a]).Normalize()
	c := farthest(func(p mgl64.Vec3) float64 { return p.Sub(points[a]).Cross(along).Len() })
	if c < 0 {
		return nil
	}
	f, _ := newFace(points, a, b, c)
	d := farthest(func(p mgl64.Vec3) float64 { return math.Abs(f.over(p)) })
	if d < 0 {
		return nil
	}
	if f.over(points[d]) > 0 {
		b, c = c, b
	}
	var faces []hullFace
	for _, t := range [][3]int{{a, b, c}, {a, d, b}, {b, d, c}, {c, d, a}} {
		if f, ok := newFace(points, t[0], t[1], t[2]); ok {
			faces = append(faces, f)
		}
	}
	return faces
}

// restFlat is how near to a face's plane, mm, a point must be to lie on the bed
// with it: a tenth of a layer.
const restFlat = 0.02

// standing returns the area of the hull's face, with all that lies in its plane,
// mm², if what is above it does not tip over its border; else 0.
func standing(points []mgl64.Vec3, middle mgl64.Vec3, f hullFace) float64 {
	x := f.normal.Cross(mgl64.Vec3{0, 1, 0})
	if x.Len() < 0.5 {
		x = f.normal.Cross(mgl64.Vec3{1, 0, 0})
	}
	x = x.Normalize()
	y := f.normal.Cross(x)
	flat := func(p mgl64.Vec3) mgl64.Vec2 { return mgl64.Vec2{p.Dot(x), p.Dot(y)} }
	var on []mgl64.Vec2
	for _, p := range points {
		if f.over(p) > -restFlat {
			on = append(on, flat(p))
		}
	}
	ring := hull.Of(on)
	twice := 0.0
	foot := flat(middle)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		edge := q.Sub(p)
		twice += p[0]*q[1] - p[1]*q[0]
		to := foot.Sub(p)
		if edge[0]*to[1]-edge[1]*to[0] < standMargin*edge.Len() {
			return 0
		}
	}
	return twice / 2
}
