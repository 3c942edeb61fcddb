package kit

import (
	"context"
	"math"

	"earframe/field"
	"earframe/internal/tree"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// around is a solid grown by a clearance as a ball grows it: all points whose
// distance from its mesh is less than that.
//
// A field's own offset would not do: where a unit follows a rise its field is
// sheared, and beside a notch it only bounds the distance, so that the gap would
// differ from what was asked by the slope (measured on the demo: see the tests).
// The sign is the field's. Farther from the surface than reach the value is that
// of the reach, which keeps it continuous and the search for it short.
type around struct {
	solid field.Field
	tree  *tree.Tree // of the mesh
	grown float64    // mm
	reach float64    // mm from the mesh, more than grown
}

// reachSteps is how many sampling steps beyond the clearance distances are worked
// out: a contour asks how far no other places are than the ends of lattice edges
// that the surface crosses, which are a step long at the most; of all others the
// sign is enough.
const reachSteps = 1.25

func newAround(ctx context.Context, solid field.Field, surface *mesh.Mesh, grown, step float64) (*around, error) {
	all := func(int) bool { return true }
	byPlace, err := tree.New(ctx, surface.Vertices, surface.Triangles, all)
	return &around{solid, byPlace, grown, grown + reachSteps*step}, err
}

// Bounds returns the mesh's box, grown.
func (a *around) Bounds() field.Box {
	var box field.Box
	around := a.tree.Bounds()
	for k := range 3 {
		box.Min[k], box.Max[k] = float64(around.Low[k]), float64(around.High[k])
	}
	return box.Grow(a.grown)
}

// Lipschitz returns 1: it is a distance.
func (a *around) Lipschitz() float64 { return 1 }

// signSlack, mm, allows for a sign that field and mesh place differently: the
// contour's error and the simplification's.
const signSlack = 0.12

// Range is what the distance at the box's middle allows.
func (a *around) Range(box field.Box) (lo, hi float64) {
	low, high := a.solid.Range(box)
	stretch := a.solid.Lipschitz()
	if low >= a.reach*stretch {
		return a.reach - a.grown, a.reach - a.grown
	}
	if high <= -a.reach*stretch {
		return -a.reach - a.grown, -a.reach - a.grown
	}
	half := box.HalfDiagonal()
	_, distance, _ := a.tree.Nearest(box.Centre(), a.reach+half)
	if low > 0 {
		lo = math.Max(distance-half, 0)
	} else {
		lo = -math.Min(distance+half, a.reach) - signSlack
	}
	if high < 0 {
		hi = -math.Max(distance-half, 0)
	} else {
		hi = distance + half + signSlack
	}
	return math.Max(lo, -a.reach) - a.grown, math.Min(hi, a.reach) - a.grown
}

// Distances writes the distances from the grown surface.
func (a *around) Distances(points []mgl64.Vec3, out []float64) {
	a.solid.Distances(points, out)
	for i, p := range points {
		_, out[i], _ = a.at(p, out[i])
	}
}

// at returns the nearest point of the mesh and the signed distance from the
// grown surface, given the solid's own value; ok is false beyond the reach.
func (a *around) at(p mgl64.Vec3, own float64) (foot mgl64.Vec3, distance float64, ok bool) {
	sign := math.Copysign(1, own)
	if math.Abs(own) >= a.reach*a.solid.Lipschitz() {
		return foot, sign*a.reach - a.grown, false
	}
	foot, distance, ok = a.tree.Nearest(p, a.reach)
	return foot, sign*distance - a.grown, ok
}

// Gradients writes the distances and their gradients.
func (a *around) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	a.solid.Gradients(points, out, gradient)
	for i, p := range points {
		sign := math.Copysign(1, out[i])
		foot, distance, ok := a.at(p, out[i])
		away := p.Sub(foot)
		// On the surface itself, and beyond the reach, the solid's own direction is
		// as good as any.
		if length := away.Len(); ok && length > 0 {
			gradient[i] = away.Mul(sign / length)
		} else if length := gradient[i].Len(); length > 1 {
			gradient[i] = gradient[i].Mul(1 / length)
		}
		out[i] = distance
	}
}

// Levels returns where level faces may have moved.
func (a *around) Levels() []float64 { return field.Offset(a.solid, a.grown).Levels() }
