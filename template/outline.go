package template

import "github.com/go-gl/mathgl/mgl64"

// Ring is a closed planar curve as a polygon in millimetres; the last point
// joins the first and is not repeated.
type Ring []mgl64.Vec2

// Outline is one closed shape of the template: an outer ring, counter-clockwise,
// and any holes, clockwise.
type Outline struct {
	ID    string // the drawing's own id, or the name given to it
	Part  string // the part it belongs to: one of the known part or mark names
	Outer Ring
	Holes []Ring
}

// Area returns the enclosed area in mm², holes taken off.
func (o Outline) Area() float64 {
	area := o.Outer.Area()
	for _, hole := range o.Holes {
		area += hole.Area()
	}
	return area
}

// Area returns the signed area in mm²: positive counter-clockwise.
func (r Ring) Area() float64 {
	twice := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		twice += p[0]*q[1] - p[1]*q[0]
	}
	return twice / 2
}
