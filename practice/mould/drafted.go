package mould

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// drafted is a part that narrows with the depth d under its mould's parting
// surface, to both sides of it, by d · tan(draft) on every wall:
//
//	g(x, y, z) = f(x, y, z') + d · tan(draft),  z' = parting ± d · (1 - tan(draft))
//
// A wall of f that stands upright then leans by the draft exactly. A level floor
// at depth D stays where it is: there f = -(D - d'), and -(D - d') + d tan = 0
// at d = D, whatever D is.
type drafted struct {
	part    field.Field
	parting field.Surface
	tan     float64
}

func (f *drafted) Bounds() field.Box { return f.part.Bounds() }

// Lipschitz: z' moves by 1 - tan along z and by tan · slope across; d by 1 and
// by the slope.
func (f *drafted) Lipschitz() float64 {
	steep := f.parting.Steepest()
	return f.part.Lipschitz()*(1+f.tan*steep) + f.tan*math.Hypot(1, steep)
}

func (f *drafted) Range(box field.Box) (lo, hi float64) {
	low, high := f.parting.Span(box.Min.Vec2(), box.Max.Vec2())
	inside := box // z' grows with z and with the parting's height
	inside.Min[2] = box.Min[2]*(1-f.tan) + low*f.tan
	inside.Max[2] = box.Max[2]*(1-f.tan) + high*f.tan
	lo, hi = f.part.Range(inside)
	nearest := math.Max(math.Max(box.Min[2]-high, low-box.Max[2]), 0)
	farthest := math.Max(box.Max[2]-low, high-box.Min[2])
	return lo + nearest*f.tan, hi + farthest*f.tan
}

func (f *drafted) Distances(points []mgl64.Vec3, out []float64) {
	moved := make([]mgl64.Vec3, len(points))
	depth := make([]float64, len(points))
	for i, p := range points {
		h, _, _ := f.parting.Height(p[0], p[1])
		moved[i] = mgl64.Vec3{p[0], p[1], p[2] - (p[2]-h)*f.tan}
		depth[i] = math.Abs(p[2] - h)
	}
	f.part.Distances(moved, out)
	for i, d := range depth {
		out[i] += d * f.tan
	}
}

func (f *drafted) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	moved := make([]mgl64.Vec3, len(points))
	for i, p := range points {
		h, _, _ := f.parting.Height(p[0], p[1])
		moved[i] = mgl64.Vec3{p[0], p[1], p[2] - (p[2]-h)*f.tan}
	}
	f.part.Gradients(moved, out, gradient)
	for i, p := range points {
		h, sx, sy := f.parting.Height(p[0], p[1])
		side := 1.0
		if p[2] < h {
			side = -1
		}
		g, t := gradient[i], f.tan
		out[i] += side * (p[2] - h) * t
		gradient[i] = mgl64.Vec3{
			g[0] + g[2]*t*sx - side*t*sx,
			g[1] + g[2]*t*sy - side*t*sy,
			g[2]*(1-t) + side*t,
		}
	}
}

// Levels returns those of the part, since floors stay where they are, and the
// parting surface's if it is level.
func (f *drafted) Levels() []float64 {
	levels := f.part.Levels()
	if h, ok := f.parting.(field.Level); ok {
		levels = append(levels, float64(h))
	}
	return levels
}

// opened is a solid whose section just beneath a level goes on upwards for ever,
// so that a mould up to that level is open and no film is left on it.
type opened struct {
	part  field.Field
	level float64 // mm, of the section
}

func (f *opened) Lipschitz() float64 { return f.part.Lipschitz() }

// Bounds returns a box without an end upwards.
func (f *opened) Bounds() field.Box {
	box := f.part.Bounds()
	box.Max[2] = math.Inf(1)
	return box
}

func (f *opened) Range(box field.Box) (lo, hi float64) {
	box.Min[2] = math.Min(box.Min[2], f.level)
	box.Max[2] = math.Min(box.Max[2], f.level)
	return f.part.Range(box)
}

func (f *opened) beneath(points []mgl64.Vec3) []mgl64.Vec3 {
	moved := make([]mgl64.Vec3, len(points))
	for i, p := range points {
		p[2] = math.Min(p[2], f.level)
		moved[i] = p
	}
	return moved
}

func (f *opened) Distances(points []mgl64.Vec3, out []float64) {
	f.part.Distances(f.beneath(points), out)
}

func (f *opened) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	f.part.Gradients(f.beneath(points), out, gradient)
	for i, p := range points {
		if p[2] > f.level {
			gradient[i][2] = 0
		}
	}
}

func (f *opened) Levels() []float64 { return append(f.part.Levels(), f.level) }
