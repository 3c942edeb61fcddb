package field

import (
	"errors"
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Recess describes what a carver takes out of a unit's top: a groove with an
// outline at the top surface, a depth, and walls that slope inward.
type Recess struct {
	Region *Region // outline of the groove at the top surface, mm
	Top    Surface // the surface it is carved into, mm
	Depth  float64 // mm below the top, positive
	Wall   float64 // slope of the walls from the vertical, radians, 0 to below π/2
}

type recess struct {
	Recess
	cos, tan  float64
	bounds    Box
	lipschitz float64
}

// NewRecess returns the material that the recess takes away, to be given to
// Difference. Above the top it goes on straight up for one depth more, so that
// no skin is left on the unit. Narrow grooves end where their walls meet.
//
// It is an error if region or top is missing, the depth is not positive or the
// wall's slope is out of range.
func NewRecess(r Recess) (Field, error) {
	if r.Region == nil || r.Top == nil {
		return nil, errors.New("field: a recess needs a region and a top surface")
	}
	if !(r.Depth > 0) || math.IsInf(r.Depth, 0) {
		return nil, fmt.Errorf("field: recess depth %g mm, a positive one needed", r.Depth)
	}
	if !(r.Wall >= 0 && r.Wall <= steepestWall) {
		return nil, fmt.Errorf("field: recess wall slope %g rad, between 0 and %g needed", r.Wall, steepestWall)
	}
	lo, hi := r.Region.Bounds()
	low, high := r.Top.Span(lo, hi)
	sin, cos := math.Sincos(r.Wall)
	steep := r.Top.Steepest()
	return &recess{
		Recess: r, cos: cos, tan: sin / cos,
		bounds: Box{mgl64.Vec3{lo[0], lo[1], low - r.Depth}, mgl64.Vec3{hi[0], hi[1], high + r.Depth}},
		// The wall's gradient is cos(n + tan ∇δ), where δ is the depth below the top.
		lipschitz: max(math.Hypot(cos+sin*steep, sin), math.Hypot(1, steep)),
	}, nil
}

// steepestWall keeps the tangent of a wall's slope below 12: flatter walls
// would be a floor.
const steepestWall = 85 * math.Pi / 180

func (r *recess) Bounds() Box        { return r.bounds }
func (r *recess) Lipschitz() float64 { return r.lipschitz }

func (r *recess) Range(box Box) (lo, hi float64) {
	low2, high2 := box.Min.Vec2(), box.Max.Vec2()
	d, reach := planarRange(r.Region, low2, high2)
	topLow, topHigh := r.Top.Span(low2, high2)
	return r.value(d-reach, topLow-box.Max[2], topLow-box.Max[2], topHigh-box.Min[2]),
		r.value(d+reach, topHigh-box.Min[2], topHigh-box.Min[2], topLow-box.Max[2])
}

// value combines wall, floor and ceiling from the planar distance and the depth
// below the top as each of the three sees it.
func (r *recess) value(lateral, wallDepth, floorDepth, ceilingDepth float64) float64 {
	wall := (lateral + max(wallDepth, 0)*r.tan) * r.cos
	return max(wall, max(floorDepth-r.Depth, -ceilingDepth-r.Depth))
}

func (r *recess) Distances(points []mgl64.Vec3, out []float64) {
	var lateral, top float64
	planar := walker{region: r.Region}
	for i, q := range points {
		if i == 0 || q[0] != points[i-1][0] || q[1] != points[i-1][1] {
			lateral = planar.distance(q.Vec2())
			top, _, _ = r.Top.Height(q[0], q[1])
		}
		depth := top - q[2]
		out[i] = r.value(lateral, depth, depth, depth)
	}
}

func (r *recess) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	planar := walker{region: r.Region}
	for i, q := range points {
		lateral, normal := planar.gradient(q.Vec2())
		top, slopeX, slopeY := r.Top.Height(q[0], q[1])
		depth := top - q[2]
		down := mgl64.Vec3{slopeX, slopeY, -1}
		out[i] = r.value(lateral, depth, depth, depth)
		switch {
		case out[i] == depth-r.Depth:
			gradient[i] = down
		case out[i] == -depth-r.Depth:
			gradient[i] = down.Mul(-1)
		default:
			wall := mgl64.Vec3{normal[0], normal[1], 0}
			if depth > 0 {
				wall = wall.Add(down.Mul(r.tan))
			}
			gradient[i] = wall.Mul(r.cos)
		}
	}
}

// Levels returns the height of a level floor.
func (r *recess) Levels() []float64 {
	if top, ok := r.Top.(Level); ok {
		return []float64{float64(top) - r.Depth}
	}
	return nil
}
