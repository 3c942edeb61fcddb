package contour

import (
	"math"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// cellEdges lists a cell's twelve edges: axis, and the corner each starts from.
var cellEdges = [12]struct{ axis, corner uint8 }{
	{0, 0}, {0, 1}, {0, 2}, {0, 3},
	{1, 0}, {1, 1}, {1, 4}, {1, 5},
	{2, 0}, {2, 2}, {2, 4}, {2, 6},
}

// placeVertices gives each cell that the surface crosses its vertex.
func (g *lattice) placeVertices(b *block) {
	b.value = nil
	var signs nodeSigns
	g.signs(b, &signs)
	var s sheet
	signs.eachMixed(func(local int, _ uint8) {
		b.vertex[local] = int16(len(b.vertices))
		v, free, ok := g.cellVertex(b, local, &s)
		b.vertices = append(b.vertices, v)
		if !ok {
			g.requestNeighbour(b, local, free)
		}
	})
	g.dropRequestsOffSurface(b)
}

// sheet is the piece of surface in one cell, as its edges see it.
type sheet struct {
	points  [12]mgl64.Vec3
	normals [12]mgl64.Vec3
	count   int
	forced  bool
}

// gather takes the crossings of the edges of the block's cell into the sheet.
func (g *lattice) gather(b *block, local int, s *sheet) {
	s.count, s.forced = 0, false
	cell := b.node(local)
	onSide := local>>6 == blockSide-1 || local>>3&(blockSide-1) == blockSide-1 || local&(blockSide-1) == blockSide-1
	for _, e := range &cellEdges {
		owner, at := b, local+int(cornerStride[e.corner])
		if onSide {
			n := cell.corner(int(e.corner))
			if owner = g.blockOf(n); owner == nil {
				continue
			}
			at = int(n.local())
		}
		i := owner.crossing[e.axis][at]
		if i < 0 {
			continue
		}
		c := &owner.crossings[i]
		p := g.position(cell.corner(int(e.corner)))
		p[e.axis] = c.at
		s.add(p, c.normal, c.forced)
	}
}

// cornerStride holds how far a cell's corners are from it in the order of a
// block's nodes.
var cornerStride = func() (stride [8]int16) {
	for c := range stride {
		stride[c] = int16((c>>2&1*blockSide+c>>1&1)*blockSide + c&1)
	}
	return stride
}()

// cellVertex returns the vertex of the block's cell, strictly inside it; ok is
// false if the planes meet at a point outside, free, to which the vertex is the
// nearest.
func (g *lattice) cellVertex(b *block, local int, s *sheet) (v, free mgl64.Vec3, ok bool) {
	low, high := g.inside(b.node(local))
	g.gather(b, local, s)
	return s.vertex(low, high)
}

// inside returns the box of the cell less the margin.
func (g *lattice) inside(cell node) (low, high mgl64.Vec3) {
	low, high = g.position(cell), g.position(cell.corner(7))
	for k := range low {
		low[k] += g.margin
		high[k] -= g.margin
	}
	return low, high
}

// add takes in one crossing.
func (s *sheet) add(point, normal mgl64.Vec3, forced bool) {
	s.points[s.count], s.normals[s.count] = point, normal
	s.count++
	s.forced = s.forced || forced
}

// vertex returns the point of the box from low to high that stands for the
// sheet; ok is false if it would lie outside, at free.
func (s *sheet) vertex(low, high mgl64.Vec3) (v, free mgl64.Vec3, ok bool) {
	var x, y, z float64
	for i := range s.points[:s.count] {
		p := &s.points[i]
		x, y, z = x+p[0], y+p[1], z+p[2]
	}
	share := 1 / float64(s.count)
	mean := mgl64.Vec3{x * share, y * share, z * share}
	v, free, ok = mean, mean, true
	if !s.forced {
		v, free, ok = s.feature(mean, low, high)
	}
	for k := range v {
		v[k] = mesh.Representable(min(max(v[k], low[k]), high[k]))
	}
	return v, free, ok
}

const (
	// rankShare is the share of the largest eigenvalue of the normals' matrix
	// above which a direction counts as a feature. Two planes that turn by θ and
	// are crossed equally often give tan²(θ/2): 0.04 keeps edges that turn by
	// more than 23° sharp and takes gentler ones for a smooth surface.
	rankShare = 0.04

	// smoothShare is how far a smooth sheet's vertex goes from the mean of the
	// crossings to the mean tangent plane. On a surface of curvature κ the mean
	// lies κh²/8 beneath the surface and the plane as far above it, while flat
	// facets cut off κh²/12 on average: 5/6 of the way keeps the volume.
	smoothShare = 5.0 / 6
)

// feature returns the point that fits the tangent planes best: a corner if
// three independent planes meet, the nearest point of an edge if two do, else a
// point near the mean plane. If that, free, lies outside the cell, ok is false
// and v is the best point inside.
func (s *sheet) feature(mean, low, high mgl64.Vec3) (v, free mgl64.Vec3, ok bool) {
	if v, ok := s.smooth(mean); ok {
		return v, v, true
	}
	q := s.quadratic(mean)
	values, vectors := eigen(q.matrix)
	v = mean
	rank := 0
	for rank < 3 && values[rank] > rankShare*values[0] {
		direction := vectors[rank]
		v = v.Add(direction.Mul(direction.Dot(q.right) / values[rank]))
		rank++
	}
	switch {
	case rank == 0: // in a face that the surface lies along
		return mean, mean, true
	case rank == 1:
		v = mean.Add(v.Sub(mean).Mul(smoothShare))
		return v, v, true
	case within(v, low, high):
		return v, v, true
	default:
		return q.held(mean, low, high), v, false
	}
}

// gentleTurn is the cosine between the normals of a sheet within which it is
// smooth beyond doubt: at 11° the share of turn is 0.01.
const gentleTurn = 0.98

// smooth returns the vertex of a sheet whose normals all but agree, and whether
// they do. It spares most cells, on flat faces and walls, the eigenvectors.
func (s *sheet) smooth(mean mgl64.Vec3) (mgl64.Vec3, bool) {
	firstX, firstY, firstZ := s.normals[0][0], s.normals[0][1], s.normals[0][2]
	var x, y, z, rise float64 // sums of the normals, and of heights over the mean
	for i := range s.normals[:s.count] {
		n, p := &s.normals[i], &s.points[i]
		if firstX*n[0]+firstY*n[1]+firstZ*n[2] < gentleTurn {
			return mgl64.Vec3{}, false
		}
		x, y, z = x+n[0], y+n[1], z+n[2]
		rise += n[0]*(p[0]-mean[0]) + n[1]*(p[1]-mean[1]) + n[2]*(p[2]-mean[2])
	}
	by := rise / float64(s.count) * smoothShare / math.Sqrt(x*x+y*y+z*z)
	return mgl64.Vec3{mean[0] + by*x, mean[1] + by*y, mean[2] + by*z}, true
}

// quadratic is the sum of squared distances from the tangent planes: its matrix
// (xx xy xz yy yz zz) and right side about the mean point.
type quadratic struct {
	matrix [6]float64
	right  mgl64.Vec3
}

func (s *sheet) quadratic(mean mgl64.Vec3) (q quadratic) {
	for i := range s.count {
		n := s.normals[i]
		q.matrix[0] += n[0] * n[0]
		q.matrix[1] += n[0] * n[1]
		q.matrix[2] += n[0] * n[2]
		q.matrix[3] += n[1] * n[1]
		q.matrix[4] += n[1] * n[2]
		q.matrix[5] += n[2] * n[2]
		q.right = q.right.Add(n.Mul(n.Dot(s.points[i].Sub(mean))))
	}
	return q
}

const (
	// heldRounds is how often the search for the best point inside a cell goes
	// round the three axes; each round is a step of projected Gauss-Seidel.
	heldRounds = 100

	// heldPull draws that search towards the mean where the planes leave a
	// direction open.
	heldPull = 1e-6
)

// held returns the point of the cell with the least sum of squared distances.
func (q *quadratic) held(mean, low, high mgl64.Vec3) mgl64.Vec3 {
	m := q.matrix
	rows := [3]mgl64.Vec3{{m[0], m[1], m[2]}, {m[1], m[3], m[4]}, {m[2], m[4], m[5]}}
	var x mgl64.Vec3 // from the mean
	for range heldRounds {
		for k := range 3 {
			rest := q.right[k] - rows[k].Dot(x) + rows[k][k]*x[k]
			x[k] = rest / (rows[k][k] + heldPull)
			x[k] = math.Min(math.Max(x[k], low[k]-mean[k]), high[k]-mean[k])
		}
	}
	return mean.Add(x)
}

func within(v, low, high mgl64.Vec3) bool {
	for k := range v {
		if v[k] < low[k] || v[k] > high[k] {
			return false
		}
	}
	return true
}

// jacobiSweeps is enough for a 3 × 3 matrix to converge to rounding (the method
// converges quadratically; five sweeps are the usual bound).
const jacobiSweeps = 6

// eigen returns eigenvalues, largest first, and unit eigenvectors of the
// symmetric matrix (xx xy xz yy yz zz), by Jacobi rotations (Golub and Van Loan,
// Matrix Computations, section 8.5).
func eigen(m [6]float64) (values [3]float64, vectors [3]mgl64.Vec3) {
	a := [3][3]float64{{m[0], m[1], m[2]}, {m[1], m[3], m[4]}, {m[2], m[4], m[5]}}
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range jacobiSweeps {
		if a[0][1]*a[0][1]+a[0][2]*a[0][2]+a[1][2]*a[1][2] == 0 {
			break
		}
		rotate(&a, &v, 0, 1)
		rotate(&a, &v, 0, 2)
		rotate(&a, &v, 1, 2)
	}
	order := [3]int{0, 1, 2}
	for i := range 2 {
		for j := i + 1; j < 3; j++ {
			if a[order[j]][order[j]] > a[order[i]][order[i]] {
				order[i], order[j] = order[j], order[i]
			}
		}
	}
	for i, k := range order {
		values[i] = a[k][k]
		vectors[i] = mgl64.Vec3{v[0][k], v[1][k], v[2][k]}
	}
	return values, vectors
}

// rotate makes a[p][q] zero.
func rotate(a, v *[3][3]float64, p, q int) {
	if a[p][q] == 0 {
		return
	}
	theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := math.Copysign(1, theta) / (math.Abs(theta) + math.Sqrt(theta*theta+1))
	c := 1 / math.Sqrt(t*t+1)
	s := t * c
	for k := range 3 {
		a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
	}
	for k := range 3 {
		a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
		v[k][p], v[k][q] = c*v[k][p]-s*v[k][q], s*v[k][p]+c*v[k][q]
	}
	a[p][q], a[q][p] = 0, 0
}
