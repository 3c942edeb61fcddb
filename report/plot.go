package report

import (
	"fmt"
	"image/color"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
)

// Line is a line of a map or section, such as an outline, in millimetres.
type Line struct {
	Points []mgl64.Vec2
	Closed bool       // the last point joins the first
	Color  color.RGBA // the zero value is the page's dark ink
	Label  string     // for the legend; lines of one label are one entry; empty for none
}

// Marker is a named place on a map.
type Marker struct {
	At    mgl64.Vec2 // mm
	Label string
}

func (l Line) color() color.RGBA {
	if l.Color == (color.RGBA{}) {
		return ink
	}
	return color.RGBA{R: l.Color.R, G: l.Color.G, B: l.Color.B, A: 255}
}

// extent is a rectangle in millimetres that grows with what it is shown.
type extent struct{ lo, hi mgl64.Vec2 }

func noExtent() extent {
	return extent{lo: mgl64.Vec2{math.Inf(1), math.Inf(1)}, hi: mgl64.Vec2{math.Inf(-1), math.Inf(-1)}}
}

// include grows the extent over points; it is an error if one is no number or
// absurdly far off. The name says in the error whose points they are.
func (e *extent) include(name string, points ...mgl64.Vec2) error {
	for i, p := range points {
		for k := range p {
			if !(math.Abs(p[k]) <= render.MaxCoordinate) {
				return fmt.Errorf("%s: point %d is at %v; coordinates must be numbers within %g "+
					"mm", name, i, p, float64(render.MaxCoordinate))
			}
			e.lo[k], e.hi[k] = min(e.lo[k], p[k]), max(e.hi[k], p[k])
		}
	}
	return nil
}

func (e *extent) size() mgl64.Vec2 { return e.hi.Sub(e.lo) }

// sheetScale is the map from millimetres, y upward, to pixels, y downward.
type sheetScale struct {
	origin point // where (0, 0) falls
	scale  float64
}

func (s sheetScale) place(p mgl64.Vec2) point {
	return point{s.origin[0] + s.scale*p[0], s.origin[1] - s.scale*p[1]}
}

func (s sheetScale) placeAll(points []mgl64.Vec2) []point {
	placed := make([]point, len(points))
	for i, p := range points {
		placed[i] = s.place(p)
	}
	return placed
}

// tenths rounds a scale down to tenths of a pixel per millimetre where that
// keeps it, so that 10 mm are a whole number of pixels.
func tenths(scale float64) float64 {
	if rounded := math.Floor(scale*10) / 10; rounded >= 1 {
		return rounded
	}
	return scale
}

// niceStep returns a step of the 1-2-5 series that cuts a range into at most
// the given number of pieces.
func niceStep(span float64, pieces int) float64 {
	if !(span > 0) {
		return 1
	}
	step := math.Pow(10, math.Floor(math.Log10(span/float64(pieces))))
	for _, factor := range []float64{1, 2, 5} {
		if span/(step*factor) <= float64(pieces)*(1+1e-9) {
			return step * factor
		}
	}
	return step * 10
}

// ticks returns the multiples of step from low to high.
func ticks(low, high, step float64) []float64 {
	const slack = 1e-6 // of a step: a range's ends count as reached
	var at []float64
	for k := math.Ceil(low/step - slack); k <= high/step+slack && len(at) < 100; k++ {
		at = append(at, k*step)
	}
	return at
}

// decimals is how many digits after the point multiples of step need.
func decimals(step float64) int {
	return max(0, min(9, int(-math.Floor(math.Log10(step)+1e-9))))
}

// label writes a multiple of step with the digits it needs and a true minus.
func label(value, step float64) string {
	text := fmt.Sprintf("%.*f", decimals(step), math.Abs(value))
	if value < -step/2 {
		return "−" + text
	}
	return text
}

// lightest is the luminance above which a line needs a dark ground to be seen
// in the legend: below it its contrast with the paper is over 1.5 to 1.
const lightest = 0.6

// lineLegend sets the entries of labelled lines in the right column.
func (p *page) lineLegend(y float64, lines []Line) float64 {
	seen := map[string]bool{}
	for _, line := range lines {
		if line.Label == "" || seen[line.Label] || y > 640 {
			continue
		}
		seen[line.Label] = true
		if render.Luminance(line.color()) > lightest {
			p.fill([][]point{roundedBox(columnLeft-4, y-15, columnLeft+28, y+3, 3)}, softInk)
		}
		p.stroke([]point{{columnLeft, y - 6}, {columnLeft + 24, y - 6}}, false, 2.4, line.color())
		p.text(columnLeft+36, y, p.fit(line.Label, style{size: 18}, columnRight-columnLeft-36), style{size: 18}, ink, 0)
		y += 30
	}
	return y
}

// translucent is a colour at a share of its opacity.
func translucent(c color.RGBA, share float64) color.RGBA {
	dim := func(v uint8) uint8 { return uint8(math.Round(float64(v) * share)) }
	return color.RGBA{R: dim(c.R), G: dim(c.G), B: dim(c.B), A: dim(255)}
}
