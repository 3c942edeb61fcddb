package render

import (
	"math"

	"earframe/mesh/meshfile"

	"github.com/go-gl/mathgl/mgl64"
)

// creaseAngle is the dihedral angle, in radians, beyond which an edge is shown
// sharp; below it the shading runs smoothly across.
const creaseAngle = 30 * math.Pi / 180

// Scene is all objects in one list of points and faces, with the normals that
// shade them.
type Scene struct {
	points  []mgl64.Vec3
	faces   [][3]int32
	owners  []uint8         // per face: index of its object
	flat    []mgl64.Vec3    // per face: its unit normal, zero if it has no area
	corners [][3]mgl64.Vec3 // per face and corner: the shading normal
	spans   []span          // per object
	sound   []bool          // per object: it was judged to be a solid
}

// span is an object's share of the scene's points, and its bounds.
type span struct {
	first, last int
	lo, hi      mgl64.Vec3
}

// NewScene makes a scene of objects. Objects that are empty, or have coordinates
// that are no numbers, are refused with an error that names the object.
func NewScene(objects []meshfile.Object) (*Scene, error) {
	if err := checkObjects(objects); err != nil {
		return nil, err
	}
	s := &Scene{}
	for i, object := range objects {
		base := int32(len(s.points))
		for _, v := range object.Mesh.Vertices {
			s.points = append(s.points, v.Add(object.Offset))
		}
		for _, t := range object.Mesh.Triangles {
			s.faces = append(s.faces, [3]int32{t[0] + base, t[1] + base, t[2] + base})
			s.owners = append(s.owners, uint8(i))
		}
		lo, hi := object.Mesh.Bounds()
		s.sound = append(s.sound, object.Verdict != nil && object.Verdict.Sound())
		s.spans = append(s.spans, span{first: int(base), last: len(s.points),
			lo: lo.Add(object.Offset), hi: hi.Add(object.Offset)})
	}
	s.addNormals()
	return s, nil
}

// hides reports whether a face is hidden by the solid that it belongs to: it looks away.
func (s *Scene) hides(face int32, c Camera) bool {
	return s.sound[s.owners[face]] && c.toward.Dot(s.flat[face]) < 0
}

// wideFace is twice the area, mm², from which a face counts for more than its corner
// angles: beside a rounding it stays evenly shaded, instead of in rays.
const wideFace = 10

// addNormals gives every corner the mean normal, weighted by corner angle, of
// those faces round its vertex that lie within the crease angle of its own
// face. Angle weights (Thürmer, Wüthrich 1998) do not depend on how a flat area
// happens to be cut into triangles.
func (s *Scene) addNormals() {
	s.flat = make([]mgl64.Vec3, len(s.faces))
	weights := make([][3]float64, len(s.faces))
	start := make([]int32, len(s.points)+1)
	for f, face := range s.faces {
		s.flat[f], weights[f] = s.faceNormal(face)
		for _, v := range face {
			start[v+1]++
		}
	}
	for v := range s.points {
		start[v+1] += start[v]
	}
	around := make([]int32, 3*len(s.faces)) // 3*face + corner, grouped by vertex
	filled := make([]int32, len(s.points))
	for f, face := range s.faces {
		for c, v := range face {
			around[start[v]+filled[v]] = int32(3*f + c)
			filled[v]++
		}
	}
	cosine := math.Cos(creaseAngle)
	s.corners = make([][3]mgl64.Vec3, len(s.faces))
	for f, face := range s.faces {
		own := s.flat[f]
		for c, v := range face {
			var sum mgl64.Vec3
			for _, other := range around[start[v]:start[v+1]] {
				normal := s.flat[other/3]
				if own.Dot(normal) >= cosine {
					sum = sum.Add(normal.Mul(weights[other/3][other%3]))
				}
			}
			if length := sum.Len(); length > 0 {
				s.corners[f][c] = sum.Mul(1 / length)
			} else {
				s.corners[f][c] = own
			}
		}
	}
}

// faceNormal returns a face's unit normal and its corners' weights; zeros for a
// face without area.
func (s *Scene) faceNormal(face [3]int32) (mgl64.Vec3, [3]float64) {
	a, b, c := s.points[face[0]], s.points[face[1]], s.points[face[2]]
	ab, bc, ca := b.Sub(a), c.Sub(b), a.Sub(c)
	normal := ab.Cross(ca.Mul(-1))
	twice := normal.Len()
	if twice == 0 {
		return mgl64.Vec3{}, [3]float64{}
	}
	weight := 1 + twice/wideFace
	return normal.Mul(1 / twice), [3]float64{
		weight * math.Atan2(twice, -ab.Dot(ca)),
		weight * math.Atan2(twice, -bc.Dot(ab)),
		weight * math.Atan2(twice, -ca.Dot(bc)),
	}
}
