package report

import (
	"errors"
	"fmt"
	"image/color"
	"math"

	"earframe/pocket"
)

// curve is one line of a panel; a value that is no number is a break.
type curve struct {
	label  string
	color  color.RGBA
	values []float64
}

// PocketVariation draws, one above the other, how peak depth, skin demand and
// relief change with the value that was varied: the picture "pocket-vary".
// It is an error if no value gave a result.
func PocketVariation(v *pocket.Variation) (Picture, error) {
	at := make([]float64, len(v.Rows))
	depth := []curve{{label: "Deep surface", color: ink}, {label: "Skin's outside", color: skinGrey}}
	demand := []curve{{label: "Skin demand", color: ink}, {label: "Stretch, sliding", color: vermilion}}
	var relief []curve
	for n, name := range v.Names() {
		relief = append(relief, curve{label: name, color: curveColours()[n%len(curveColours())]})
	}
	found, extra := false, false
	for i, row := range v.Rows {
		at[i] = row.Value
		values := []float64{row.Peak, row.Outside, row.Demand, row.Sliding}
		for k, c := range []*curve{&depth[0], &depth[1], &demand[0], &demand[1]} {
			c.values = append(c.values, orBreak(values[k], row.Problem == ""))
		}
		for k := range relief {
			kept, ok := row.KeptOf(relief[k].label)
			relief[k].values = append(relief[k].values, orBreak(100*kept, ok))
		}
		found = found || row.Problem == ""
		extra = extra || row.Sliding != row.Demand
	}
	if !extra { // without skin from flaps both are the same
		demand = demand[:1]
	}
	if !found {
		return Picture{}, errors.New("report: no value of " + v.Path + " gave a result to draw")
	}
	fonts, err := newTypefaces()
	if err != nil {
		return Picture{}, err
	}
	page := newPage(pageWidth, pageHeight, fonts)
	subject := v.Path
	if v.Unit != "" {
		subject += " (" + v.Unit + ")"
	}
	page.panel(panelPlace{0, at, "Height over the bed (mm)"}, depth)
	page.panel(panelPlace{1, at, "Times"}, demand)
	page.panel(panelPlace{2, at, "Relief kept (%)"}, relief)
	page.text((frameLeft+frameRight)/2, footHead-14, page.fit(subject, style{size: 17, bold: true}, frameRight-frameLeft),
		style{size: 17, bold: true}, ink, 0.5)
	page.head(v.Case, fmt.Sprintf("%s: what changes with %s", ear(v.Side), v.Path))
	page.foot(membraneCaution)
	picture := Picture{Name: "pocket-vary", Image: page.image}
	return picture, picture.encode()
}

// curveColours are the Okabe-Ito palette's dark colours.
func curveColours() []color.RGBA {
	return []color.RGBA{
		{R: 0, G: 114, B: 178, A: 255}, {R: 230, G: 159, B: 0, A: 255}, {R: 0, G: 158, B: 115, A: 255},
		{R: 204, G: 121, B: 167, A: 255}, {R: 86, G: 180, B: 233, A: 255}, vermilion, ink,
	}
}

func orBreak(value float64, ok bool) float64 {
	if ok {
		return value
	}
	return math.NaN()
}

// panelPlace is one of the three panels of a variation.
type panelPlace struct {
	index int
	at    []float64 // the varied value
	title string
}

const (
	panelsTop  = headFoot + 34
	panelTall  = 196
	panelPitch = 256
)

// panel draws the curves over the varied value, with a legend beside them.
func (p *page) panel(place panelPlace, curves []curve) {
	top := float64(panelsTop + place.index*panelPitch)
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range curves {
		for _, v := range c.values {
			if !math.IsNaN(v) {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	if !(low <= high) { // nothing was measured
		low, high = 0, 1
	}
	room := max((high-low)*0.08, math.Abs(high)*0.01, 1e-6)
	low, high = low-room, high+room
	first, last := ends(place.at)
	x := func(v float64) float64 { return frameLeft + 20 + (v-first)/(last-first)*(frameRight-frameLeft-40) }
	y := func(v float64) float64 { return top + panelTall - (v-low)/(high-low)*panelTall }
	p.text(frameLeft, top-10, place.title, style{size: 17, bold: true}, ink, 0)
	p.stroke([]point{{frameLeft, top}, {frameRight, top}, {frameRight, top + panelTall}, {frameLeft, top + panelTall}},
		true, 1, hairline)
	small := style{size: 15}
	step := niceStep(high-low, 6)
	for _, v := range ticks(low, high, step) {
		p.rectangle(frameLeft, int(y(v)), frameRight, int(y(v))+1, hairline)
		p.text(frameLeft-11, y(v)+5, label(v, step), small, softInk, 1)
	}
	step = niceStep(last-first, 10)
	for _, v := range ticks(first, last, step) {
		p.rectangle(int(x(v)), int(top+panelTall), int(x(v))+1, int(top+panelTall)+6, softInk)
		p.text(x(v), top+panelTall+21, label(v, step), small, softInk, 0.5)
	}
	for n, c := range curves {
		p.curve(c, place.at, x, y)
		at := top + 14 + 30*float64(n)
		p.stroke([]point{{columnLeft, at}, {columnLeft + 24, at}}, false, 3, c.color)
		p.text(columnLeft+36, at+6, p.fit(c.label, style{size: 18}, columnRight-columnLeft-36), style{size: 18}, ink, 0)
	}
}

// curve draws the values with a dot at each, broken where one is missing.
func (p *page) curve(c curve, at []float64, x, y func(float64) float64) {
	var run []point
	for i, v := range c.values {
		if math.IsNaN(v) {
			p.stroke(run, false, 2.4, c.color)
			run = nil
			continue
		}
		place := point{x(at[i]), y(v)}
		run = append(run, place)
		p.fill([][]point{disc(place, 4.5)}, c.color)
	}
	p.stroke(run, false, 2.4, c.color)
}

// ends returns the least and the greatest value, apart.
func ends(values []float64) (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		first, last = min(first, v), max(last, v)
	}
	if first == last {
		first, last = first-0.5, last+0.5
	}
	return first, last
}
