package report

import (
	"math"
	"strconv"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
)

// place returns where on the page a point of the scene falls.
func (v view) place(f render.Framing, p mgl64.Vec3) point {
	x, y := f.Pixel(v.camera.See(p))
	return point{viewLeft + x, viewTop + y}
}

// guide draws a path along which units come together, dashed and with a dot at
// its end, as far as it is seen.
func (p *page) guide(v view, f render.Framing, drawn *render.Framebuffer, path render.Path) {
	const dash, period = 7.0, 12.0 // pixels
	tint := render.Mix(softInk, ink, 0.3)
	a, b := v.place(f, path.From), v.place(f, path.To)
	length := math.Hypot(b[0]-a[0], b[1]-a[1])
	for start := 0.0; start < length; start += period {
		end := min(length, start+dash)
		along := func(d float64) mgl64.Vec3 { return path.From.Add(path.To.Sub(path.From).Mul(d / length)) }
		if drawn.Sees(f, v.camera.See(along((start+end)/2))) {
			p.stroke([]point{v.place(f, along(start)), v.place(f, along(end))}, false, 1.4, tint)
		}
	}
	if drawn.Sees(f, v.camera.See(path.To)) {
		p.fill([][]point{disc(b, 3.2)}, tint)
	}
}

// numbers sets each unit's number, as in the legend, above it.
func (p *page) numbers(shot *render.Shot, v view) {
	for i, c := range shot.Colors {
		top := v.place(shot.Framing, shot.Scene.Top(i).Add(v.shifts[i]))
		centre := point{top[0], top[1] - 22}
		p.fill([][]point{disc(centre, 13)}, render.Lighten(c))
		p.text(centre[0], centre[1]+5.5, strconv.Itoa(i+1), style{size: 15, bold: true}, contrast(render.Lighten(c)), 0.5)
	}
}
