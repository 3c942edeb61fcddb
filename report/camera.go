package report

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/units"
)

// anterior is the direction of the face in the frame of reference: −x at a left
// ear, +x at a right one, whose data is the mirror image.
func anterior(side units.Side) mgl64.Vec3 {
	if side == units.Right {
		return mgl64.Vec3{1, 0, 0}
	}
	return mgl64.Vec3{-1, 0, 0}
}

var (
	superior = mgl64.Vec3{0, 1, 0}
	lateral  = mgl64.Vec3{0, 0, 1}
)

// camera looks at the scene from infinitely far: three orthonormal directions,
// right and up on the page and toward the viewer.
type camera struct {
	right, up, toward mgl64.Vec3
}

// cameraAt looks from the given direction with superior upward on the page.
func cameraAt(from mgl64.Vec3) camera {
	toward := from.Normalize()
	right := superior.Cross(toward).Normalize()
	return camera{right: right, up: toward.Cross(right), toward: toward}
}

// see returns a point or direction in the camera's own axes: right, up, and
// height toward the viewer, all in millimetres.
func (c camera) see(p mgl64.Vec3) mgl64.Vec3 {
	return mgl64.Vec3{c.right.Dot(p), c.up.Dot(p), c.toward.Dot(p)}
}

// extent returns the lowest and highest camera coordinates of the scene, with
// every object moved by its shift.
func (c camera) extent(s *scene, shifts []mgl64.Vec3) (lo, hi mgl64.Vec3) {
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for i, part := range s.spans {
		l, h := c.spanExtent(s, part)
		shift := c.see(shifts[i])
		for k := range lo {
			lo[k] = math.Min(lo[k], l[k]+shift[k])
			hi[k] = math.Max(hi[k], h[k]+shift[k])
		}
	}
	return lo, hi
}

func (c camera) spanExtent(s *scene, part span) (lo, hi mgl64.Vec3) {
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, p := range s.points[part.first:part.last] {
		seen := c.see(p)
		for k := range lo {
			lo[k] = math.Min(lo[k], seen[k])
			hi[k] = math.Max(hi[k], seen[k])
		}
	}
	return lo, hi
}
