package report

import (
	"context"
	"encoding/hex"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/workers"
	"earframe/membrane"
	"earframe/pocket"
	"earframe/units"
)

// skinGrey is the skin's colour, neutral among the units' colours.
var skinGrey = color.RGBA{R: 150, G: 150, B: 150, A: 255}

// rollColour is that of bolsters, as of gauze.
var rollColour = color.RGBA{R: 235, G: 228, B: 205, A: 255}

// PocketPictures draws the pocket check: "pocket-depth", "pocket-stretch",
// "pocket-gap" and "pocket-section". ctx ends the work early with its error.
func PocketPictures(ctx context.Context, r *pocket.Result) ([]Picture, error) {
	draw := []func(*pocket.Result) (Picture, error){pocketDepth, pocketStretch, pocketGap, pocketSection}
	pictures := make([]Picture, len(draw))
	err := workers.Each(ctx, "pocket pictures", len(draw), func(n int) (err error) {
		pictures[n], err = draw[n](r)
		return err
	})
	if err != nil {
		return nil, err
	}
	return pictures, nil
}

// membraneCaution is the short form of pocket.Caution, which goes with every
// result.
const membraneCaution = "The skin is an idealised membrane: it does not decide whether an operation is safe."

// pocketMap is a map over the drape's grid, with its lines drawn over it and the
// pocket's edge; values outside the pocket are not shown.
func pocketMap(r *pocket.Result, values []float64, options MapOptions) (Picture, error) {
	g := r.Drape.Grid
	grid := Grid{Origin: g.Origin, Spacing: g.Step, Columns: g.Columns, Rows: g.Rows, Values: values}
	options.CaseID, options.Side, options.Note = r.Plan.ID, r.Plan.Side, membraneCaution
	options.Within = [][]mgl64.Vec2{r.Outline.Outer}
	options.Lines = append(options.Lines, Line{Points: r.Outline.Outer, Closed: true})
	return HeatMap(grid, options)
}

// unitLines are the outlines of the units that the skin lies on: all but the
// conchal vault beneath. They are in their colours with their labels, or plain.
func unitLines(r *pocket.Result, plain bool) []Line {
	var lines []Line
	for _, u := range r.Plan.Units {
		if u.Part == units.Concha {
			continue
		}
		for _, o := range u.Outlines {
			for _, ring := range o.Rings() {
				line := Line{Points: ring, Closed: true}
				if !plain {
					line.Color, line.Label = UnitColour(u), u.Label
				}
				lines = append(lines, line)
			}
		}
	}
	return lines
}

// UnitColour is a unit's colour as it is drawn.
func UnitColour(u *units.Unit) color.RGBA {
	rgb, err := hex.DecodeString(strings.TrimPrefix(u.Part.Colour(), "#"))
	if err != nil || len(rgb) != 3 {
		panic("report: a part's colour is not #RRGGBB: " + u.Part.Colour())
	}
	return color.RGBA{R: rgb[0], G: rgb[1], B: rgb[2], A: 255}
}

func pocketDepth(r *pocket.Result) (Picture, error) {
	peak := r.Measures.Depth.Peak
	return pocketMap(r, r.Drape.Heights, MapOptions{
		Name: "pocket-depth", Quantity: "Height", Unit: "mm",
		Subtitle: fmt.Sprintf("%s: height of the skin's deep surface over the bed", ear(r.Plan.Side)),
		Low:      0, High: max(math.Ceil(peak.Height), 1),
		Lines:   unitLines(r, false),
		Markers: []Marker{{At: peak.At, Label: fmt.Sprintf("Highest: %.1f mm, %s", peak.Height, peak.Name)}},
	})
}

func ear(side units.Side) string {
	if side == units.Right {
		return "Right ear"
	}
	return "Left ear"
}

func pocketStretch(r *pocket.Result) (Picture, error) {
	stretches := r.Drape.Stretches()
	values := make([]float64, len(stretches))
	for k, s := range stretches {
		values[k] = s.Area
	}
	const low, high = 1, 1.7
	lines := append(unitLines(r, true), strokes(r, stretches)...)
	for n, band := range membrane.Bands() { // lines without points stand in the legend alone
		lines = append(lines, Line{Color: bandColours()[n], Label: fmt.Sprintf("%.2f %s", band.From, band.Name)})
	}
	return pocketMap(r, values, MapOptions{
		Name: "pocket-stretch", Quantity: "Area stretch, times",
		Subtitle: fmt.Sprintf("%s: stretch of skin that does not slide, strokes along it; sliding freely: %.2f times (%s)",
			ear(r.Plan.Side), r.Measures.Demand.Sliding, r.Measures.Demand.Band),
		Low: low, High: high, Step: 0.1, Ramp: stretchRamp(low, high), Lines: lines,
	})
}

// strokes show the principal direction of stretch, the longer the more, where it
// is above the fine band.
func strokes(r *pocket.Result, stretches []membrane.Stretch) []Line {
	const apart, longest, per = 2.0, 1.8, 3.0 // mm from stroke to stroke, mm, mm for twice the length
	g := r.Drape.Grid
	every := max(1, int(math.Round(apart/g.Step)))
	var lines []Line
	for j := 0; j < g.Rows; j += every {
		for i := 0; i < g.Columns; i += every {
			k := j*g.Columns + i
			s := stretches[k]
			if !r.Drape.Inside[k] || s.Along < membrane.Bands()[1].From {
				continue
			}
			half := s.Direction.Mul(min(longest, per*(s.Along-1)) / 2)
			lines = append(lines, Line{Points: []mgl64.Vec2{g.Place(k).Sub(half), g.Place(k).Add(half)}, Color: softInk})
		}
	}
	return lines
}

// bandColours are the bands' colours, from calm to alarming, of the Okabe-Ito
// palette.
func bandColours() []color.RGBA {
	return []color.RGBA{
		{R: 226, G: 236, B: 240, A: 255}, {R: 86, G: 180, B: 233, A: 255},
		{R: 230, G: 159, B: 0, A: 255}, vermilion,
	}
}

// stretchRamp gives each band of stretch one colour.
func stretchRamp(low, high float64) Ramp {
	const steps = 1000
	ramp := Ramp{colors: make([]color.RGBA, steps+1)}
	for k := range ramp.colors {
		stretch := low + (high-low)*float64(k)/steps
		for n, band := range membrane.Bands() {
			if stretch >= band.From {
				ramp.colors[k] = bandColours()[n]
			}
		}
	}
	return ramp
}

func pocketGap(r *pocket.Result) (Picture, error) {
	gaps := r.Drape.Gaps()
	return pocketMap(r, gaps, MapOptions{
		Name: "pocket-gap", Quantity: "Gap", Unit: "mm",
		Subtitle: fmt.Sprintf("%s: dead space under the skin, %.2f ml in all", ear(r.Plan.Side), r.Measures.Dead.Volume/1000),
		Low:      0, High: gapRange(gaps, r.Measures.Dead.Least), Lines: unitLines(r, false),
		Markers: gapMarkers(r.Measures.Dead.ByPlace),
	})
}

// gapRange returns the top of the ramp: what all but the narrowest fiftieth of
// the dead space stays under, which is beside steep walls.
func gapRange(gaps []float64, least float64) float64 {
	var dead []float64
	for _, gap := range gaps {
		if gap > least {
			dead = append(dead, gap)
		}
	}
	if len(dead) == 0 {
		return 1
	}
	slices.Sort(dead)
	const shown = 0.98
	return max(math.Ceil(dead[int(shown*float64(len(dead)-1))]), 1)
}

// gapMarkers names the places with the most dead space, as far as their labels
// keep clear of one another.
func gapMarkers(gaps []pocket.PlaceGap) []Marker {
	const most, least, apart = 6, 1.0, 4.0 // labels, mm of gap, mm from label to label
	var markers []Marker
	for _, gap := range gaps {
		clear := gap.Deepest >= least && len(markers) < most
		for _, m := range markers {
			clear = clear && math.Abs(m.At[1]-gap.At[1]) > apart
		}
		if clear {
			markers = append(markers, Marker{At: gap.At, Label: fmt.Sprintf("%.1f mm: %s", gap.Deepest, gap.Place)})
		}
	}
	return markers
}

// sectionShares are where the three sections are cut, as shares of the frame's
// length from its superior end: through scapha and fossa, concha, and lobule.
var sectionShares = []float64{0.2, 0.5, 0.78}

func pocketSection(r *pocket.Result) (Picture, error) {
	var sections []Section
	for _, cut := range r.Sections(sectionShares...) {
		section := Section{Label: cut.Label}
		section.Shapes = append(section.Shapes, Shape{Label: "Skin", Color: skinGrey, Rings: [][]mgl64.Vec2{between(cut.Outside, cut.Deep)}})
		for _, u := range cut.Units {
			section.Shapes = append(section.Shapes, Shape{Label: u.Unit.Label, Color: UnitColour(u.Unit), Rings: u.Rings})
		}
		if len(cut.Rolls) > 0 {
			section.Shapes = append(section.Shapes, Shape{Label: "Bolster", Color: rollColour, Rings: cut.Rolls})
		}
		sections = append(sections, section)
	}
	return Sections(sections, SectionOptions{
		Name: "pocket-section", CaseID: r.Plan.ID, Note: membraneCaution, Ground: true,
		Subtitle: fmt.Sprintf("%s: frame on the bed under the skin, %s", ear(r.Plan.Side), sideways(r.Plan.Side)),
	})
}

func sideways(side units.Side) string {
	if side == units.Right {
		return "posterior to the left, lateral upward"
	}
	return "anterior to the left, lateral upward"
}

// between closes two lines that run the same way into a ring.
func between(upper, lower []mgl64.Vec2) []mgl64.Vec2 {
	ring := append([]mgl64.Vec2{}, lower...)
	for k := len(upper) - 1; k >= 0; k-- {
		ring = append(ring, upper[k])
	}
	return ring
}
