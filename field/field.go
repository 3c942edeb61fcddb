package field

import "github.com/go-gl/mathgl/mgl64"

// A Field is a solid given by signed distance in millimetres, negative inside.
// Implementations are immutable and safe for concurrent use.
type Field interface {
	// Bounds returns a box that holds the whole solid.
	Bounds() Box

	// Lipschitz returns a bound on |f(p) - f(q)| / |p - q|, at least 1.
	Lipschitz() float64

	// Range returns lo and hi with lo <= f(p) <= hi for every p in the box.
	// It is conservative: the interval may be wider than the values taken.
	Range(box Box) (lo, hi float64)

	// Distances writes f(points[i]) to out[i]. Points that share x and y are
	// cheapest when they follow one another, since planar distance is then
	// computed once for the whole column.
	Distances(points []mgl64.Vec3, out []float64)

	// Gradients writes f(points[i]) to out[i] and its gradient there to
	// gradient[i]; on a crease it is the gradient of one of the sides.
	Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3)

	// Levels returns the heights z, in mm, of the level faces that the field
	// knows of, in any order, in a slice that is the caller's; nil for none. A contour keeps its sampling planes
	// off them, so that no face falls between two samples by rounding alone. A
	// field made of others has at least theirs, where they have gone.
	Levels() []float64
}

// Box is an axis-aligned box in millimetres.
type Box struct{ Min, Max mgl64.Vec3 }
