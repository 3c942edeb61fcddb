package render

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/mesh"
	"earframe/mesh/meshfile"
)

const (
	// An object's index must fit the 8 bits a face keeps for it; far more than
	// a legend can hold.
	maxObjects = 256
	// MaxCoordinate is how far from the origin, in millimetres, anything may be:
	// larger than any ear by orders; beyond it float32 depths, about 7 digits,
	// no longer tell grooves apart.
	MaxCoordinate = 1e5
	// MinExtent is the smallest extent that can be drawn to scale, in millimetres.
	MinExtent = 1e-3
)

// checkObjects reports the first thing in the objects that cannot be drawn.
func checkObjects(objects []meshfile.Object) error {
	if len(objects) == 0 {
		return fmt.Errorf("render: no objects to draw; give at least one unit with a mesh")
	}
	if len(objects) > maxObjects {
		return fmt.Errorf("render: %d objects to draw, at most %d can be told apart; join some of them",
			len(objects), maxObjects)
	}
	for i, object := range objects {
		if err := checkMesh(object.Mesh, object.Offset); err != nil {
			return fmt.Errorf("render: object %d (%s): %w", i+1, object.Name, err)
		}
	}
	return nil
}

func checkMesh(m *mesh.Mesh, offset mgl64.Vec3) error {
	if m == nil || len(m.Triangles) == 0 || len(m.Vertices) == 0 {
		return fmt.Errorf("the mesh is empty; contour the unit before drawing it")
	}
	for i, vertex := range m.Vertices {
		vertex = vertex.Add(offset)
		for _, coordinate := range vertex {
			if !(math.Abs(coordinate) <= MaxCoordinate) {
				return fmt.Errorf("vertex %d is at %v; coordinates must be numbers within %g mm", i, vertex, float64(MaxCoordinate))
			}
		}
	}
	for i, triangle := range m.Triangles {
		for _, corner := range triangle {
			if corner < 0 || int(corner) >= len(m.Vertices) {
				return fmt.Errorf("triangle %d names vertex %d; the mesh has %d vertices", i, corner, len(m.Vertices))
			}
		}
	}
	lo, hi := m.Bounds()
	if hi.Sub(lo).Len() < MinExtent {
		return fmt.Errorf("the mesh is %.2g mm across; nothing of it could be seen", hi.Sub(lo).Len())
	}
	return nil
}
