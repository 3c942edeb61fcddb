package field

import (
	"errors"
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Prism describes a carved unit: a planar region made solid between an
// underside that may rise and fall and a top one thickness above it, its edges
// rounded.
type Prism struct {
	Region     *Region // the outline, mm
	Underside  Surface // height of the underside, mm
	Thickness  Surface // measured along z, mm, positive over the outline's bounds
	EdgeTop    float64 // radius of the rounded upper edge, mm, at most half the thickness
	EdgeBottom float64 // radius of the rounded lower edge, mm, at most half the thickness
}

type prism struct {
	Prism
	bounds    Box
	lipschitz float64
}

// NewPrism returns the solid of p. With a level underside and thickness it is
// the exact distance to the prism with rounded edges, as long as the region is
// wide enough to hold the radius; with a rise it is that field sheared along z,
// exact at the surface. Beyond the outline's bounds the thickness goes on as it
// is at their border: what it may be out there does not count.
//
// It is an error if a surface is missing, the thickness is not positive, or a
// radius is negative or more than half the thickness.
func NewPrism(p Prism) (Field, error) {
	if p.Region == nil || p.Underside == nil || p.Thickness == nil {
		return nil, errors.New("field: a prism needs a region, an underside and a thickness")
	}
	lo, hi := p.Region.Bounds()
	thin, _ := p.Thickness.Span(lo, hi)
	if !(thin > 0) {
		return nil, fmt.Errorf("field: prism thickness %g mm, a positive one needed", thin)
	}
	for _, radius := range []float64{p.EdgeTop, p.EdgeBottom} {
		if !(radius >= 0 && radius <= thin/2) {
			return nil, fmt.Errorf("field: edge radius %g mm, between 0 and half the thickness (%g mm) needed", radius, thin/2)
		}
	}
	if _, level := p.Thickness.(Level); !level {
		p.Thickness = &bounded{p.Thickness, lo, hi}
	}
	low, _ := p.Underside.Span(lo, hi)
	_, high := Stack(p.Underside, p.Thickness).Span(lo, hi)
	steep := p.Underside.Steepest() + p.Thickness.Steepest()
	return &prism{
		Prism:     p,
		bounds:    Box{mgl64.Vec3{lo[0], lo[1], low}, mgl64.Vec3{hi[0], hi[1], high}},
		lipschitz: shearNorm(steep),
	}, nil
}

// shearNorm returns the largest stretch of the shear z += steep · x, which
// bounds the gradient of a distance whose z has been sheared by that slope.
func shearNorm(steep float64) float64 {
	return (steep + math.Sqrt(steep*steep+4)) / 2
}

func (p *prism) Bounds() Box        { return p.bounds }
func (p *prism) Lipschitz() float64 { return p.lipschitz }

// Range combines the planar distance's interval with that of the vertical one;
// rounding lifts the larger of both by at most (√2 - 1) radius.
func (p *prism) Range(box Box) (lo, hi float64) {
	low2, high2 := box.Min.Vec2(), box.Max.Vec2()
	d, reach := planarRange(p.Region, low2, high2)
	underLow, underHigh := p.Underside.Span(low2, high2)
	thinLow, thinHigh := p.Thickness.Span(low2, high2)
	verticalLow := max(box.Min[2]-underHigh-thinHigh, underLow-box.Max[2])
	verticalLow = max(verticalLow, -thinHigh/2)
	verticalHigh := max(box.Max[2]-underLow-thinLow, underHigh-box.Min[2])
	lo = max(d-reach, verticalLow)
	hi = roundedCorner(d+reach, verticalHigh, max(p.EdgeTop, p.EdgeBottom))
	return lo, hi
}

// planarRange returns the distance at the middle of the rectangle and half its
// diagonal: planar distance has slope 1 at the most.
func planarRange(region *Region, lo, hi mgl64.Vec2) (middle, reach float64) {
	return region.Distance(lo.Add(hi).Mul(0.5)), hi.Sub(lo).Len() / 2
}

// roundedCorner returns the distance to the corner where a lateral and a
// vertical face meet, rounded with the radius.
func roundedCorner(lateral, vertical, radius float64) float64 {
	a, b := lateral+radius, vertical+radius
	if a > 0 && b > 0 {
		return math.Sqrt(a*a+b*b) - radius
	}
	return max(lateral, vertical)
}

// column is what a prism knows of all points above one (x, y).
type column struct {
	lateral                  float64
	under, thick             float64
	normal                   mgl64.Vec2 // gradient of the lateral distance
	slopeX, slopeY           float64    // of the underside
	thickSlopeX, thickSlopeY float64
}

func (p *prism) Distances(points []mgl64.Vec3, out []float64) {
	var c column
	planar := walker{region: p.Region}
	for i, q := range points {
		if i == 0 || q[0] != points[i-1][0] || q[1] != points[i-1][1] {
			c.lateral = planar.distance(q.Vec2())
			c.under, _, _ = p.Underside.Height(q[0], q[1])
			c.thick, _, _ = p.Thickness.Height(q[0], q[1])
		}
		above := q[2] - c.under
		vertical, radius := max(above-c.thick, -above), p.EdgeBottom
		if above > c.thick/2 {
			radius = p.EdgeTop
		}
		out[i] = roundedCorner(c.lateral, vertical, radius)
	}
}

func (p *prism) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	var c column
	planar := walker{region: p.Region}
	for i, q := range points {
		if i == 0 || q[0] != points[i-1][0] || q[1] != points[i-1][1] {
			c.lateral, c.normal = planar.gradient(q.Vec2())
			c.under, c.slopeX, c.slopeY = p.Underside.Height(q[0], q[1])
			c.thick, c.thickSlopeX, c.thickSlopeY = p.Thickness.Height(q[0], q[1])
		}
		out[i], gradient[i] = p.at(&c, q[2])
	}
}

// at returns distance and gradient at height z in the column.
func (p *prism) at(c *column, z float64) (float64, mgl64.Vec3) {
	above := z - c.under
	vertical, radius := -above, p.EdgeBottom
	up := mgl64.Vec3{c.slopeX, c.slopeY, -1}
	if above > c.thick/2 {
		vertical, radius = above-c.thick, p.EdgeTop
		up = mgl64.Vec3{-c.slopeX - c.thickSlopeX, -c.slopeY - c.thickSlopeY, 1}
	}
	side := mgl64.Vec3{c.normal[0], c.normal[1], 0}
	a, b := c.lateral+radius, vertical+radius
	switch {
	case a > 0 && b > 0:
		length := math.Sqrt(a*a + b*b)
		return length - radius, side.Mul(a / length).Add(up.Mul(b / length))
	case c.lateral > vertical:
		return c.lateral, side
	default:
		return vertical, up
	}
}

// Levels returns the heights of the level faces.
func (p *prism) Levels() []float64 {
	under, ok := p.Underside.(Level)
	if !ok {
		return nil
	}
	if thick, ok := p.Thickness.(Level); ok {
		return []float64{float64(under), float64(under + thick)}
	}
	return []float64{float64(under)}
}
