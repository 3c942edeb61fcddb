package report

import (
	"fmt"
	"image/color"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
	"earframe/units"
)

// Caution stands at the foot of every picture.
const Caution = "Practice, simulation and explanation only. Not a medical device."

// The page's measures in pixels. What is drawn has the left of the page, what
// explains it the column on the right.
const (
	pageWidth, pageHeight = 1200, 1000
	margin                = 40
	headFoot              = 118 // end of the title block
	footHead              = 944 // start of the caution line
	columnLeft            = 936
	columnRight           = pageWidth - margin
	compassX, compassY    = 1042, 740
)

// head sets the title block: the case in bold, what is shown below it.
func (p *page) head(caseID, subtitle string) {
	title := style{size: 32, bold: true}
	p.text(margin, 62, p.fit(caseID, title, pageWidth-2*margin), title, ink, 0)
	under := style{size: 20}
	p.text(margin, 95, p.fit(subtitle, under, pageWidth-2*margin), under, softInk, 0)
}

// foot sets the caution line, and at its right what else is to be borne in mind.
func (p *page) foot(note string) {
	p.rectangle(margin, footHead, pageWidth-margin, footHead+1, hairline)
	p.text(margin, footHead+32, Caution, style{size: 16, bold: true}, ink, 0)
	p.text(columnRight, footHead+32, note, style{size: 16}, ink, 1)
}

// heading sets a small heading in the right column and returns the next line's
// baseline.
func (p *page) heading(y float64, text string) float64 {
	p.text(columnLeft, y, text, style{size: 15, bold: true}, softInk, 0)
	return y + 30
}

// entry is one line of a legend.
type entry struct {
	label string
	color color.RGBA
	mark  string // set in the swatch, such as a number; may be empty
}

// legend sets swatches and labels in the right column from a baseline y, and
// returns the baseline after them. What does not fit above limit is counted.
func (p *page) legend(y, limit float64, title string, entries []entry) float64 {
	y = p.heading(y, title)
	label := style{size: 18}
	for i, e := range entries {
		if y > limit && i+1 < len(entries) {
			p.text(columnLeft, y, fmt.Sprintf("and %d more", len(entries)-i), label, softInk, 0)
			return y + 32
		}
		x0, y0 := columnLeft, int(y)-17
		p.fill([][]point{roundedBox(float64(x0), float64(y0), float64(x0+24), float64(y0+22), 4)}, e.color)
		if e.mark != "" {
			p.text(float64(x0)+12, y, e.mark, style{size: 15, bold: true}, contrast(e.color), 0.5)
		}
		p.text(columnLeft+36, y, p.fit(e.label, label, columnRight-columnLeft-36), label, ink, 0)
		y += 34
	}
	return y
}

// contrast is the ink that reads on a colour: dark or white. 0.18 is the
// luminance at which both contrast alike.
func contrast(c color.RGBA) color.RGBA {
	if render.Luminance(c) > 0.18 {
		return ink
	}
	return color.RGBA{R: 255, G: 255, B: 255, A: 255}
}

// roundedBox is a box with its corners rounded, as a ring.
func roundedBox(x0, y0, x1, y1, radius float64) []point {
	var ring []point
	corner := func(cx, cy, from float64) {
		for k := range 5 {
			sin, cos := math.Sincos(from + math.Pi/8*float64(k))
			ring = append(ring, point{cx + radius*cos, cy + radius*sin})
		}
	}
	corner(x1-radius, y1-radius, 0)
	corner(x0+radius, y1-radius, math.Pi/2)
	corner(x0+radius, y0+radius, math.Pi)
	corner(x1-radius, y0+radius, 3*math.Pi/2)
	return ring
}

// barLength chooses how many millimetres a scale bar stands for: 10 where that
// fits, else the longest of the 1-2-5 series that does.
func barLength(pixelsPerMillimetre, widest float64) float64 {
	if bar := 10 * pixelsPerMillimetre; bar <= widest && bar >= 30 {
		return 10
	}
	length := math.Pow(10, math.Floor(math.Log10(widest/pixelsPerMillimetre)))
	for _, factor := range []float64{5, 2} {
		if length*factor*pixelsPerMillimetre <= widest {
			return length * factor
		}
	}
	return length
}

// scaleBar draws a bar of whole pixels, dark from its first to its last, with
// its length above it, at (x, y) of its lower left corner.
func (p *page) scaleBar(x, y int, pixelsPerMillimetre, widest float64) {
	length := barLength(pixelsPerMillimetre, widest)
	pixels := int(math.Round(length * pixelsPerMillimetre))
	p.text(float64(x), float64(y)-22, fmt.Sprintf("%g mm", length), style{size: 18, bold: true}, ink, 0)
	p.rectangle(x, y-9, x+pixels, y, ink)
	for k := 1; k < 5; k += 2 { // five steps, every other one light
		x0 := x + int(math.Round(float64(pixels*k)/5))
		x1 := x + int(math.Round(float64(pixels*(k+1))/5))
		p.rectangle(x0, y-7, x1, y-2, paper)
	}
}

// compass draws where the directions of the body point in the picture, round a
// centre. Directions nearly along the line of sight are left out; an oblique
// view shows only the three toward the viewer.
func (p *page) compass(centre point, c render.Camera, side units.Side) {
	const arm = 40.0
	forward := anterior(side)
	directions := []struct {
		name      string
		direction mgl64.Vec3
	}{
		{"Superior", render.Superior}, {"Anterior", forward}, {"Posterior", forward.Mul(-1)},
		{"Lateral", render.Lateral}, {"Medial", render.Lateral.Mul(-1)},
	}
	label := style{size: 16}
	for _, d := range directions {
		seen := c.See(d.direction)
		onPage := math.Hypot(seen[0], seen[1])
		if onPage < 0.2 || seen[2] < -0.15 {
			continue
		}
		tip := point{centre[0] + arm*seen[0], centre[1] - arm*seen[1]}
		p.arrow(centre, tip)
		ux, uy := seen[0]/onPage, -seen[1]/onPage
		x, y := tip[0]+9*ux, tip[1]+5+9*uy
		lean := 0.5 - 0.5*ux
		if math.Abs(ux) < 0.5 { // above or below the arrow's tip
			y = tip[1] + 5 + 13*uy
			lean = 0.5
		}
		p.text(x, y, d.name, label, ink, lean)
	}
	p.fill([][]point{disc(centre, 3.5)}, ink)
}

func (p *page) arrow(from, to point) {
	length := math.Hypot(to[0]-from[0], to[1]-from[1])
	ux, uy := (to[0]-from[0])/length, (to[1]-from[1])/length
	neck := point{to[0] - 9*ux, to[1] - 9*uy}
	p.stroke([]point{from, neck}, false, 1.8, ink)
	p.fill([][]point{{to, {neck[0] - 4.5*uy, neck[1] + 4.5*ux}, {neck[0] + 4.5*uy, neck[1] - 4.5*ux}}}, ink)
}
