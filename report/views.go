package report

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
	"golang.org/x/sync/errgroup"

	"earframe/units"
)

// ViewOptions says what the views' titles tell and which ear it is.
type ViewOptions struct {
	CaseID string     // shown as the title
	Side   units.Side // which ear; a right one is seen mirrored
	Only   []string   // names of the views to draw; empty draws all five
}

// The drawing's place on the page, in pixels, and its clear border.
const (
	viewLeft, viewTop     = 24, headFoot
	viewWidth, viewHeight = 896, 816
	viewBorder            = 22
)

// view is one way of looking at the objects.
type view struct {
	name, title string
	legend      string // what the objects are called
	camera      camera
	shifts      []mgl64.Vec3
	exploded    bool // guides show where what was moved belongs
	numbered    bool
	scale       float64 // pixels per millimetre
}

// Views draws the pictures "lateral", "anterior", "posterior", "oblique" and
// "exploded", in this order, or those of them that the options choose. The first four share one scale. Objects that
// are empty, or have coordinates that are no numbers, are refused with an error
// that names the object; a cancelled context ends the work with its error.
func Views(ctx context.Context, objects []Object, options ViewOptions) ([]Picture, error) {
	if err := checkObjects(objects); err != nil {
		return nil, err
	}
	if options.Side != units.Left && options.Side != units.Right {
		return nil, fmt.Errorf("report: side %q is not known; give %q or %q", options.Side, units.Left, units.Right)
	}
	s := newScene(objects)
	views, err := chosen(s.views(options.Side), options.Only)
	if err != nil {
		return nil, err
	}
	for i := range views {
		views[i].title = options.sideName() + " ear, " + views[i].title
		views[i].legend = "Units"
	}
	return drawViews(ctx, views, s, objects, options)
}

// drawViews draws the views of a scene, one after another.
func drawViews(ctx context.Context, views []view, s *scene, objects []Object, options ViewOptions) ([]Picture, error) {
	fonts, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	pictures := make([]Picture, len(views))
	sheet := newPlate(viewWidth*samples, viewHeight*samples)
	depthCue := newCue(sheet)
	var encoders errgroup.Group // compressing overlaps the drawing of the next
	encoders.SetLimit(2)
	for i, v := range views {
		page := newPage(pageWidth, pageHeight, fonts)
		if err := v.draw(ctx, page, s, sheet, depthCue, objects, options); err != nil {
			encoders.Wait()
			return nil, fmt.Errorf("report: %s view: %w", v.name, err)
		}
		pictures[i] = Picture{Name: v.name, PixelsPerMillimetre: v.scale, Image: page.image}
		encoders.Go(pictures[i].encode)
	}
	if err := encoders.Wait(); err != nil {
		return nil, err
	}
	return pictures, nil
}

// views lays out the five views: from where, and at what scale.
func (s *scene) views(side units.Side) []view {
	a := anterior(side)
	still := make([]mgl64.Vec3, len(s.spans))
	views := []view{
		{name: "lateral", title: "lateral view", camera: cameraAt(lateral), shifts: still},
		{name: "anterior", title: "anterior view", camera: cameraAt(a), shifts: still},
		{name: "posterior", title: "posterior view", camera: cameraAt(a.Mul(-1)), shifts: still},
		{name: "oblique", title: "oblique view, from in front and above",
			camera: cameraAt(a.Mul(0.62).Add(superior.Mul(0.36)).Add(lateral)), shifts: still},
	}
	shared := math.Inf(1)
	for _, v := range views {
		shared = min(shared, s.fitScale(v.camera, v.shifts))
	}
	for i := range views {
		views[i].scale = shared
	}
	apart := view{name: "exploded", title: "units moved apart along the lateral axis", exploded: true, numbered: true,
		camera: cameraAt(a.Mul(1.15).Add(superior.Mul(0.42)).Add(lateral))}
	apart.shifts = s.moveApart(apart.camera)
	apart.scale = s.fitScale(apart.camera, apart.shifts)
	return append(views, apart)
}

// chosen keeps the views that are named, in their own order; no names keep all.
func chosen(views []view, names []string) ([]view, error) {
	if len(names) == 0 {
		return views, nil
	}
	known := make([]string, len(views))
	for i, v := range views {
		known[i] = v.name
	}
	for _, name := range names {
		if !slices.Contains(known, name) {
			return nil, fmt.Errorf("report: view %q is not known; known are %s", name, strings.Join(known, ", "))
		}
	}
	return slices.DeleteFunc(views, func(v view) bool { return !slices.Contains(names, v.name) }), nil
}

// fitScale returns the scale in pixels per millimetre at which the scene fills
// its place, rounded down to tenths where it can be, so that 10 mm are a whole
// number of pixels.
func (s *scene) fitScale(c camera, shifts []mgl64.Vec3) float64 {
	lo, hi := c.extent(s, shifts)
	return tenths(min((viewWidth-2*viewBorder)/max(hi[0]-lo[0], minExtent), (viewHeight-2*viewBorder)/max(hi[1]-lo[1], minExtent)))
}

// framingOf centres the view in its place.
func (v view) framingOf(s *scene) framing {
	lo, hi := v.camera.extent(s, v.shifts)
	scale := v.scale * samples
	return framing{scale: scale,
		originX: float64(viewWidth*samples)/2 - scale*(lo[0]+hi[0])/2,
		originY: float64(viewHeight*samples)/2 + scale*(lo[1]+hi[1])/2,
	}
}

func (v view) draw(ctx context.Context, page *page, s *scene, sheet *plate, depthCue *cue, objects []Object, options ViewOptions) error {
	frame := v.framingOf(s)
	if err := sheet.expose(ctx, s, v.camera, frame, v.shifts); err != nil {
		return err
	}
	lamps := studio(v.camera)
	if err := depthCue.measure(ctx, sheet, lamps.toKey); err != nil {
		return err
	}
	colors := make([]color.RGBA, len(objects))
	entries := make([]entry, len(objects))
	for i, object := range objects {
		colors[i] = object.Color
		entries[i] = entry{label: object.Label, color: lighten(object.Color)}
		if v.numbered {
			entries[i].mark = strconv.Itoa(i + 1)
		}
	}
	if err := sheet.develop(ctx, s, depthCue, lamps, colors, page.image, image.Pt(viewLeft, viewTop)); err != nil {
		return err
	}
	if v.exploded {
		page.guides(s, v, frame, sheet)
	}
	if v.numbered {
		page.numbers(s, v, frame, colors)
	}
	page.head(options.CaseID, v.title)
	page.foot()
	page.legend(headFoot+30, 560, v.legend, entries)
	if options.Side != "" {
		page.compass(point{compassX, compassY}, v.camera, options.Side)
	}
	page.scaleBar(columnLeft, 912, v.scale, columnRight-columnLeft)
	return nil
}

func (o ViewOptions) sideName() string {
	if o.Side == units.Right {
		return "Right"
	}
	return "Left"
}
