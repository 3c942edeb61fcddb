package report

import (
	"errors"
	"fmt"
	"image/color"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
	"earframe/template"
)

// Shape is a filled area of a section, by the even-odd rule over its rings.
type Shape struct {
	Label string // for the legend; shapes of one label are one entry
	Color color.RGBA
	Rings [][]mgl64.Vec2 // mm; the last point of each joins the first
}

// Section is one cut with what is seen in it: first coordinate to the right,
// second upward, in millimetres.
type Section struct {
	Label  string // what is cut where, such as "8 mm below the superior end"
	Shapes []Shape
	Lines  []Line // drawn over the shapes, such as the skin
}

// SectionOptions says what a picture of sections tells.
type SectionOptions struct {
	Name     string // file name without extension
	CaseID   string // the title
	Subtitle string
	Note     string // at the foot
	Ground   bool   // draw the level of the second coordinate's zero, such as the bed
}

const (
	panelHead = 34 // pixels above a section for its label
	panelGap  = 28 // between sections
)

// Sections draws cuts at one true scale, side by side and in rows, whichever
// shows them largest, with a common legend and scale bar. It is an error if
// there is nothing to draw or a coordinate is no number.
func Sections(sections []Section, options SectionOptions) (Picture, error) {
	picture, err := drawSections(sections, options)
	if err != nil {
		return Picture{}, fmt.Errorf("report: sections %s: %w", options.Name, err)
	}
	return picture, nil
}

func drawSections(sections []Section, options SectionOptions) (Picture, error) {
	if len(sections) == 0 {
		return Picture{}, errors.New("no sections to draw; give at least one")
	}
	bounds := make([]extent, len(sections))
	var largest mgl64.Vec2
	for i, section := range sections {
		var err error
		if bounds[i], err = section.extent(options.Ground); err != nil {
			return Picture{}, fmt.Errorf("section %d (%s): %w", i+1, section.Label, err)
		}
		size := bounds[i].size()
		largest = mgl64.Vec2{max(largest[0], size[0]), max(largest[1], size[1])}
	}
	columns, scale := panelLayout(len(sections), largest)
	if scale <= 0 {
		return Picture{}, fmt.Errorf("%d sections do not fit on one page; draw fewer at a time", len(sections))
	}
	fonts, err := newTypefaces()
	if err != nil {
		return Picture{}, err
	}
	page := newPage(pageWidth, pageHeight, fonts)
	rows := (len(sections) + columns - 1) / columns
	width, height := panelSize(columns, rows)
	for i, section := range sections {
		left := viewLeft + viewBorder + float64(i%columns)*(width+panelGap)
		top := viewTop + float64(i/columns)*(height+panelGap)
		middle := bounds[i].lo.Add(bounds[i].hi).Mul(0.5)
		sheet := sheetScale{scale: scale, origin: point{
			left + width/2 - scale*middle[0],
			top + (height+panelHead)/2 + scale*middle[1],
		}}
		// The label stands close above its own section, however low that is.
		baseline := sheet.place(bounds[i].hi)[1] - 16
		page.section(section, sheet, point{left, baseline}, width, options.Ground)
	}
	page.head(options.CaseID, options.Subtitle)
	page.foot(options.Note)
	lines, entries := legendOf(sections)
	y := page.legend(headFoot+30, 560, "In section", entries)
	page.lineLegend(y+4, lines)
	page.scaleBar(columnLeft, 912, scale, columnRight-columnLeft)
	picture := Picture{Name: options.Name, PixelsPerMillimetre: scale, Image: page.image}
	return picture, picture.encode()
}

func (s Section) extent(ground bool) (extent, error) {
	bounds := noExtent()
	for _, shape := range s.Shapes {
		for _, ring := range shape.Rings {
			if err := bounds.include(shape.Label, ring...); err != nil {
				return bounds, err
			}
		}
	}
	for _, line := range s.Lines {
		if err := bounds.include(line.Label, line.Points...); err != nil {
			return bounds, err
		}
	}
	if !(bounds.lo[0] <= bounds.hi[0]) {
		return bounds, errors.New("there is nothing in it")
	}
	if ground {
		bounds.lo[1], bounds.hi[1] = min(bounds.lo[1], 0), max(bounds.hi[1], 0)
	}
	return bounds, nil
}

// panelSize is the place of one section in pixels, its label included.
func panelSize(columns, rows int) (width, height float64) {
	width = (viewWidth - 2*viewBorder - float64(columns-1)*panelGap) / float64(columns)
	height = (viewHeight - panelGap - float64(rows-1)*panelGap) / float64(rows)
	return width, height
}

// panelLayout chooses in how many columns sections of at most the given size
// (mm) are shown largest, and the scale in pixels per millimetre.
func panelLayout(count int, size mgl64.Vec2) (columns int, scale float64) {
	for tried := 1; tried <= count; tried++ {
		width, height := panelSize(tried, (count+tried-1)/tried)
		fits := min(width/max(size[0], render.MinExtent), (height-panelHead)/max(size[1], render.MinExtent))
		if fits > scale {
			columns, scale = tried, fits
		}
	}
	return columns, tenths(scale)
}

func (p *page) section(section Section, sheet sheetScale, corner point, width float64, ground bool) {
	set := style{size: 17, bold: true}
	p.text(corner[0], corner[1], p.fit(section.Label, set, width), set, ink, 0)
	if ground {
		y := sheet.origin[1]
		p.stroke([]point{{corner[0], y}, {corner[0] + width, y}}, false, 1.2, hairline)
	}
	for _, shape := range section.Shapes {
		var rings [][]point
		for _, ring := range evenOdd(shape.Rings) {
			rings = append(rings, sheet.placeAll(ring))
		}
		p.fill(rings, render.Lighten(shape.Color))
		for _, ring := range rings {
			p.stroke(ring, true, 1.6, render.Mix(shape.Color, ink, 0.7))
		}
	}
	for _, line := range section.Lines {
		p.stroke(sheet.placeAll(line.Points), line.Closed, 2.2, line.color())
	}
}

// evenOdd winds rings so that the non-zero rule fills what the even-odd rule
// would, for rings that do not cross: outer ones one way, holes the other.
func evenOdd(rings [][]mgl64.Vec2) [][]mgl64.Vec2 {
	wound := make([][]mgl64.Vec2, 0, len(rings))
	for i, ring := range rings {
		if len(ring) < 3 {
			continue
		}
		hole := false
		for j, other := range rings {
			if i != j && template.Ring(other).Contains(ring[0]) {
				hole = !hole
			}
		}
		turned := ring
		if (template.Ring(ring).Area() < 0) != hole {
			turned = make([]mgl64.Vec2, len(ring))
			for k, q := range ring {
				turned[len(ring)-1-k] = q
			}
		}
		wound = append(wound, turned)
	}
	return wound
}

// legendOf collects the labelled lines and shapes of all sections, each label once.
func legendOf(sections []Section) (lines []Line, entries []entry) {
	seen := map[string]bool{}
	for _, section := range sections {
		lines = append(lines, section.Lines...)
		for _, shape := range section.Shapes {
			if shape.Label != "" && !seen[shape.Label] {
				seen[shape.Label] = true
				entries = append(entries, entry{label: shape.Label, color: render.Lighten(shape.Color)})
			}
		}
	}
	return lines, entries
}
