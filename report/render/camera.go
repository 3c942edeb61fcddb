package render

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Directions of the frame of reference that both ears share.
var (
	Superior = mgl64.Vec3{0, 1, 0}
	Lateral  = mgl64.Vec3{0, 0, 1}
)

// Camera looks at the scene from infinitely far: three orthonormal directions,
// right and up on the page and toward the viewer.
type Camera struct {
	right, up, toward mgl64.Vec3
}

// CameraFrom looks from the given direction with superior upward on the page.
func CameraFrom(from mgl64.Vec3) Camera {
	toward := from.Normalize()
	right := Superior.Cross(toward).Normalize()
	return Camera{right: right, up: toward.Cross(right), toward: toward}
}

// See returns a point or direction in the camera's own axes: right, up, and
// height toward the viewer, all in millimetres.
func (c Camera) See(p mgl64.Vec3) mgl64.Vec3 {
	return mgl64.Vec3{c.right.Dot(p), c.up.Dot(p), c.toward.Dot(p)}
}

// Extent returns the lowest and highest camera coordinates of the scene, with
// every object moved by its shift.
func (c Camera) Extent(s *Scene, shifts []mgl64.Vec3) (lo, hi mgl64.Vec3) {
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for i, part := range s.spans {
		l, h := c.spanExtent(s, part)
		shift := c.See(shifts[i])
		for k := range lo {
			lo[k] = math.Min(lo[k], l[k]+shift[k])
			hi[k] = math.Max(hi[k], h[k]+shift[k])
		}
	}
	return lo, hi
}

func (c Camera) spanExtent(s *Scene, part span) (lo, hi mgl64.Vec3) {
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, p := range s.points[part.first:part.last] {
		seen := c.See(p)
		for k := range lo {
			lo[k] = math.Min(lo[k], seen[k])
			hi[k] = math.Max(hi[k], seen[k])
		}
	}
	return lo, hi
}
