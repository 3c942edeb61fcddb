package report

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
	"earframe/units"
)

// MapOptions says what a map shows and tells.
type MapOptions struct {
	Name     string  // file name without extension, such as "pocket-depth"
	CaseID   string  // the title
	Subtitle string  // what is shown, such as "Left ear, depth of the pocket"
	Quantity string  // what the colours stand for, such as "Depth"
	Unit     string  // such as "mm"; empty for a pure number
	Low      float64 // value at the ramp's low end; with High equal, the values' own range is taken
	High     float64 // value at the ramp's high end
	Step     float64 // between level lines and ticks; 0 chooses one
	Ramp     Ramp    // colours; the zero value takes Viridis
	// Within limits what is coloured to these rings (even-odd, mm), such as the
	// pocket's edge, with a smooth border; empty colours every cell that has a value.
	Within  [][]mgl64.Vec2
	Lines   []Line     // drawn over the map
	Markers []Marker   // named places
	Side    units.Side // for the directions of the body; empty leaves them out
	Note    string     // at the foot
}

// The map's frame on the page, in pixels: room is left for tick labels.
const (
	frameLeft, frameTop         = 92, headFoot + 8
	frameRight, frameBottom     = 904, 888
	frameGap                    = 12 // between the frame and what is in it
	colourBarTop, colourBarTall = headFoot + 46, 300
)

// HeatMap draws a quantity over the plane at true scale: colours by a ramp with
// its legend, level lines, axes in millimetres, outlines and markers. A grid
// without any value, of the wrong size, or with places that are no numbers is
// an error that says which.
func HeatMap(grid Grid, options MapOptions) (Picture, error) {
	picture, err := heatMap(&grid, options)
	if err != nil {
		return Picture{}, fmt.Errorf("report: map %s: %w", options.Name, err)
	}
	return picture, nil
}

func heatMap(grid *Grid, options MapOptions) (Picture, error) {
	shown, err := options.complete(grid)
	if err != nil {
		return Picture{}, err
	}
	bounds := noExtent()
	if err := bounds.include("the grid", grid.Origin, grid.last()); err != nil {
		return Picture{}, err
	}
	for i, ring := range options.Within {
		if err := bounds.include(fmt.Sprintf("limit %d", i+1), ring...); err != nil {
			return Picture{}, err
		}
	}
	for i, line := range options.Lines {
		if err := bounds.include(fmt.Sprintf("line %d (%s)", i+1, line.Label), line.Points...); err != nil {
			return Picture{}, err
		}
	}
	for i, marker := range options.Markers {
		if err := bounds.include(fmt.Sprintf("marker %d (%s)", i+1, marker.Label), marker.At); err != nil {
			return Picture{}, err
		}
	}
	fonts, err := newTypefaces()
	if err != nil {
		return Picture{}, err
	}
	page := newPage(pageWidth, pageHeight, fonts)
	sheet := frameScale(bounds)
	page.colours(grid, shown, sheet)
	for _, line := range options.Lines {
		page.stroke(sheet.placeAll(line.Points), line.Closed, 2, line.color())
	}
	page.axes(sheet)
	for _, marker := range options.Markers {
		page.marker(sheet.place(marker.At), marker.Label)
	}
	page.head(options.CaseID, options.Subtitle)
	page.foot(options.Note)
	page.colourBar(shown)
	page.lineLegend(colourBarTop+colourBarTall+70, options.Lines)
	if options.Side != "" {
		page.compass(point{compassX, compassY}, render.CameraFrom(render.Lateral), options.Side)
	}
	page.scaleBar(columnLeft, 912, sheet.scale, columnRight-columnLeft)
	picture := Picture{Name: options.Name, PixelsPerMillimetre: sheet.scale, Image: page.image}
	return picture, picture.encode()
}

// frameScale fits an extent into the frame, centred.
func frameScale(bounds extent) sheetScale {
	size := bounds.size()
	scale := tenths(min((frameRight-frameLeft-2*frameGap)/max(size[0], render.MinExtent),
		(frameBottom-frameTop-2*frameGap)/max(size[1], render.MinExtent)))
	middle := bounds.lo.Add(bounds.hi).Mul(0.5)
	return sheetScale{scale: scale, origin: point{
		(frameLeft+frameRight)/2 - scale*middle[0],
		(frameTop+frameBottom)/2 + scale*middle[1],
	}}
}

// shownRange is a map's range of values as drawn.
type shownRange struct {
	MapOptions
	below, above bool // some values lie outside the ramp
}

// complete checks the options against the grid and fills in what is left open.
func (o MapOptions) complete(grid *Grid) (shownRange, error) {
	shown := shownRange{MapOptions: o}
	if err := grid.check(); err != nil {
		return shown, err
	}
	if o.Side != "" && o.Side != units.Left && o.Side != units.Right {
		return shown, fmt.Errorf("side %q is not known; give %q, %q or none", o.Side, units.Left, units.Right)
	}
	low, high, found := grid.span()
	if !found {
		return shown, fmt.Errorf("the grid holds no value at all")
	}
	for _, v := range []float64{o.Low, o.High, o.Step} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return shown, fmt.Errorf("range %g to %g in steps of %g; these must be numbers", o.Low, o.High, o.Step)
		}
	}
	if o.High < o.Low || o.Step < 0 {
		return shown, fmt.Errorf("range %g to %g in steps of %g; give low before high and no negative "+
			"step", o.Low, o.High, o.Step)
	}
	if shown.High == shown.Low {
		shown.Low, shown.High = low, high
		if high == low { // one value everywhere: a range round it
			shown.Low, shown.High = low-0.5, high+0.5
		}
	}
	if span := shown.High - shown.Low; shown.Step == 0 || span/shown.Step > 50 {
		shown.Step = niceStep(span, 8)
	}
	if len(shown.Ramp.colors) == 0 {
		shown.Ramp = Viridis()
	}
	const rounding = 1e-9 // of the range; a value at its end is not outside
	slack := rounding * (shown.High - shown.Low)
	shown.below, shown.above = low < shown.Low-slack, high > shown.High+slack
	return shown, nil
}

// colours paints the quantity, pixel by pixel, with thin lines at its levels.
func (p *page) colours(grid *Grid, shown shownRange, sheet sheetScale) {
	layer := image.NewRGBA(p.image.Bounds())
	corner, far := sheet.place(grid.Origin), sheet.place(grid.last())
	for y := max(0, int(far[1])); y <= min(pageHeight-1, int(corner[1])); y++ {
		for x := max(0, int(corner[0])); x <= min(pageWidth-1, int(far[0])); x++ {
			// The pixel's middle, in millimetres.
			place := mgl64.Vec2{(float64(x) + 0.5 - sheet.origin[0]) / sheet.scale,
				(sheet.origin[1] - float64(y) - 0.5) / sheet.scale}
			if value, steepness := grid.at(place); !math.IsNaN(value) {
				layer.SetRGBA(x, y, shown.color(value, steepness/sheet.scale))
			}
		}
	}
	if len(shown.Within) == 0 {
		draw.Draw(p.image, layer.Bounds(), layer, image.Point{}, draw.Over)
		return
	}
	var rings [][]point
	for _, ring := range evenOdd(shown.Within) {
		rings = append(rings, sheet.placeAll(ring))
	}
	limit := image.NewAlpha(p.image.Bounds())
	fill(limit, rings, color.Opaque)
	draw.DrawMask(p.image, layer.Bounds(), layer, image.Point{}, limit, image.Point{}, draw.Over)
}

// color is a value's colour, lightened where a level line runs; perPixel is how
// much the value changes from pixel to pixel.
func (s *shownRange) color(value, perPixel float64) color.RGBA {
	c := s.Ramp.At((value - s.Low) / (s.High - s.Low))
	level := math.Round(value/s.Step) * s.Step
	if perPixel > 0 && level > s.Low && level < s.High {
		near := 1 - math.Abs(value-level)/perPixel // 1 on the line, 0 a pixel off
		c = render.Mix(c, color.RGBA{R: 255, G: 255, B: 255, A: 255}, 0.45*max(0, near))
	}
	return c
}

// axes frames the map, with ticks in millimetres.
func (p *page) axes(sheet sheetScale) {
	p.stroke([]point{{frameLeft + 0.5, frameTop + 0.5}, {frameRight - 0.5, frameTop + 0.5},
		{frameRight - 0.5, frameBottom - 0.5}, {frameLeft + 0.5, frameBottom - 0.5}}, true, 1, hairline)
	across := (frameRight - frameLeft) / sheet.scale
	step := niceStep(across, 9)
	number := style{size: 15}
	for _, x := range ticks((frameLeft-sheet.origin[0])/sheet.scale, (frameRight-sheet.origin[0])/sheet.scale, step) {
		at := math.Round(sheet.place(mgl64.Vec2{x, 0})[0])
		p.rectangle(int(at), frameBottom, int(at)+1, frameBottom+6, softInk)
		p.text(at, frameBottom+23, label(x, step), number, softInk, 0.5)
	}
	for _, y := range ticks((sheet.origin[1]-frameBottom)/sheet.scale, (sheet.origin[1]-frameTop)/sheet.scale, step) {
		at := math.Round(sheet.place(mgl64.Vec2{0, y})[1])
		p.rectangle(frameLeft-6, int(at), frameLeft, int(at)+1, softInk)
		p.text(frameLeft-11, at+5, label(y, step), number, softInk, 1)
	}
	p.text(frameLeft-11, frameBottom+23, "mm", number, softInk, 1)
}

// marker draws a ring at a place with its label beside it on a light ground.
func (p *page) marker(at point, name string) {
	p.fill([][]point{disc(at, 9)}, paper)
	p.fill([][]point{disc(at, 7)}, vermilion)
	p.fill([][]point{disc(at, 3)}, paper)
	set := style{size: 17, bold: true}
	name = p.fit(name, set, 320)
	if name == "" {
		return
	}
	width := p.width(name, set)
	x := at[0] + 18
	if x+width+8 > frameRight {
		x = at[0] - 18 - width
	}
	p.fill([][]point{roundedBox(x-7, at[1]-15, x+width+7, at[1]+13, 5)}, translucent(paper, 0.88))
	p.text(x, at[1]+5, name, set, ink, 0)
}

// colourBar sets the ramp upright in the right column with its ticks.
func (p *page) colourBar(shown shownRange) {
	title := shown.Quantity
	if shown.Unit != "" {
		title += " (" + shown.Unit + ")"
	}
	heading := style{size: 17, bold: true}
	p.text(columnLeft, headFoot+26, p.fit(title, heading, columnRight-columnLeft), heading, ink, 0)
	const breadth = 34
	for y := range colourBarTall {
		share := 1 - (float64(y)+0.5)/colourBarTall
		p.rectangle(columnLeft, colourBarTop+y, columnLeft+breadth, colourBarTop+y+1, shown.Ramp.At(share))
	}
	number := style{size: 17}
	span := shown.High - shown.Low
	at := ticks(shown.Low, shown.High, shown.Step)
	for i, value := range at {
		y := math.Round(colourBarTop + colourBarTall*(1-(value-shown.Low)/span))
		p.rectangle(columnLeft+breadth, int(y), columnLeft+breadth+7, int(y)+1, ink)
		text := label(value, shown.Step)
		const end = 1e-6 // of the range
		if i == len(at)-1 && shown.above && value > shown.High-end*span {
			text = "≥ " + text
		}
		if i == 0 && shown.below && value < shown.Low+end*span {
			text = "≤ " + text
		}
		p.text(columnLeft+breadth+14, y+6, text, number, ink, 0)
	}
}
