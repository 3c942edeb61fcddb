package contour

import (
	"context"
	"errors"
	"fmt"
	"math"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// How a field becomes a mesh, and why the mesh is sound.
//
// The field is sampled on a lattice of nodes, in blocks of 8 × 8 × 8, and only
// where its Range says that the surface may pass. Its planes are a step apart,
// along z closer in places (crevices.go). What follows is dual
// contouring (Ju, Losasso, Schaefer and Warren, "Dual contouring of Hermite
// data", 2002): a vertex in each cell the surface crosses, placed by a quadratic
// error function so that edges and corners stay sharp, and a quad around each
// lattice edge whose ends have different signs. By itself that is no guarantee.
// Three rules make it one:
//
//  1. One sheet a cell. Where the signs of a cell allow two sheets (a face with
//     diagonal signs, or two opposite corners), a node just outside is counted
//     as inside, until no such cell is left (well-composed sets: Latecki,
//     Eckhardt and Rosenfeld, 1995). Each cell then has one vertex with one fan,
//     each cell face at most one dual edge: the mesh is closed and manifold.
//  2. Everything in its place. A cell's vertex lies strictly inside the cell, a
//     face's strictly inside the face, an edge's strictly inside the edge. Then
//     the tetrahedra (lattice edge, face vertex, cell vertex) fill space without
//     overlap, and the fan of eight triangles (edge, face, cell vertex) around an
//     edge never leaves its own tetrahedra (Ju and Udeshi, "Intersection-free
//     contouring on an octree grid", 2006).
//     A cell whose edge or corner points into an empty neighbour is lent that
//     neighbour, no cell to two: both together are a box again, and all of this
//     holds for it.
//  3. Fewer triangles only where proved. A face vertex is left out where the
//     line between the two cell vertices crosses the face itself; the edge
//     vertex, where one of the two diagonals of the quad stays inside the
//     tetrahedra. So the usual quad is two triangles and no triangle crosses
//     another.
//
// Lattice coordinates and vertices are numbers that a float32 holds, so that
// what was proved is what a file stores.

// Options says how finely a field is sampled.
type Options struct {
	Step float64 // between samples at the most, mm
}

// DefaultStep is the sampling step in mm when none is asked for.
const DefaultStep = 0.2

// maxBlocks bounds the lattice, not the surface: 2^27 blocks of 512 nodes are
// 512 MB of block index.
const maxBlocks = 1 << 27

// Of returns the surface of the field as a closed, manifold mesh without
// self-intersections, wound outwards. A field that is nowhere negative on the
// lattice gives an empty mesh. The result is the same on any number of cores.
//
// It is an error if the step is not positive, the bounds are not finite, or the
// lattice would be too large, or the memory that it takes (TooFine); ctx ends the work early with its error.
func Of(ctx context.Context, f field.Field, options Options) (*mesh.Mesh, error) {
	grid, err := newLattice(ctx, f, options.Step)
	if err != nil {
		return nil, err
	}
	if err := grid.sample(ctx); err != nil {
		return nil, err
	}
	if err := grid.repairSigns(ctx); err != nil {
		return nil, err
	}
	for _, phase := range []struct {
		stage string
		do    func(*block)
	}{
		{"crossed edges", grid.findCrossings},
		{"vertices of cells", grid.placeVertices},
		{"cells lent", grid.lendCells},
		{"vertices of faces", grid.placeFaceVertices},
	} {
		if err := grid.eachBlock(ctx, phase.stage, phase.do); err != nil {
			return nil, err
		}
	}
	grid.numberVertices()
	if err := grid.eachBlock(ctx, "triangles", grid.emit); err != nil {
		return nil, err
	}
	return grid.collect(ctx)
}

// newLattice lays the lattice around the field's bounds.
func newLattice(ctx context.Context, f field.Field, step float64) (*lattice, error) {
	if !(step > 0) || math.IsInf(step, 0) {
		return nil, fmt.Errorf("contour: sampling step %g mm, a positive one needed", step)
	}
	bounds := f.Bounds()
	for k := range 3 {
		if size := bounds.Max[k] - bounds.Min[k]; !(size >= 0) || math.IsInf(size, 0) {
			return nil, errors.New("contour: the field to contour has no finite bounds")
		}
	}
	size := bounds.Max.Sub(bounds.Min)
	total := 1.0
	for k := range 3 {
		total *= math.Ceil((size[k]/step + 2*borderSteps + 2) / blockSide)
	}
	if total > maxBlocks {
		return nil, fmt.Errorf("contour: a step of %g mm over %.0f × %.0f × %.0f mm is too fine; choose a larger step",
			step, size[0], size[1], size[2])
	}
	if largest := math.Max(bounds.Max.Len(), bounds.Min.Len()); largest > step*farthestSteps {
		return nil, fmt.Errorf("contour: the solid reaches %.0f mm from the origin, too far for a step of %g mm in single "+
			"precision", largest, step)
	}
	if err := Affordable(step, f); err != nil {
		return nil, err
	}
	grid := &lattice{field: f, step: step, margin: step * insideMargin}
	for k := range 3 {
		first := bounds.Min[k] - borderSteps*step
		if k == 2 {
			first -= clearOfLevels(first, step, f.Levels())
		}
		grid.coordinate[k] = evenPlanes(first, bounds.Max[k]+borderSteps*step, step)
	}
	if err := grid.refineCrevices(ctx); err != nil {
		return nil, err
	}
	for k := range 3 {
		grid.coordinate[k] = wholeBlocks(grid.coordinate[k], step)
		grid.blocks[k] = len(grid.coordinate[k]) / blockSide
	}
	return grid, nil
}

const (
	// borderSteps keeps the outermost nodes outside the solid; the fraction
	// keeps walls at round coordinates off the sampling planes.
	borderSteps = 2.381966

	// insideMargin is how far, in steps, a vertex keeps from the border of its
	// cell, face or edge.
	insideMargin = 1e-3

	// farthestSteps bounds coordinates so that float32 rounding, 2^-24 of the
	// coordinate, is at most half the margin.
	farthestSteps = 1 << 13
)

// collect joins the blocks' vertices and triangles in block order: all cell
// vertices, all face vertices, then all edge vertices.
func (g *lattice) collect(ctx context.Context) (*mesh.Mesh, error) {
	var cells, faces, edges, triangles int
	firstEdge, firstTriangle := make([]int, len(g.active)), make([]int, len(g.active))
	for i, b := range g.active {
		firstEdge[i], firstTriangle[i] = edges, triangles
		cells += len(b.vertices)
		faces += len(b.faceVertices)
		edges += len(b.edgeVertices)
		triangles += len(b.triangles)
	}
	m := &mesh.Mesh{
		Vertices:  make([]mgl64.Vec3, cells+faces+edges),
		Triangles: make([][3]int32, triangles),
	}
	err := workers.Each(ctx, "mesh put together", len(g.active), func(i int) error {
		b := g.active[i]
		copy(m.Vertices[b.firstVertex:], b.vertices)
		copy(m.Vertices[b.firstFaceVertex:], b.faceVertices)
		first := cells + faces + firstEdge[i]
		copy(m.Vertices[first:], b.edgeVertices)
		for k, t := range b.triangles {
			for j, id := range t {
				if id < 0 { // an edge vertex of this block
					t[j] = int32(first) - id - 1
				}
			}
			m.Triangles[firstTriangle[i]+k] = t
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return m, nil
}
