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

	"earframe/mesh/meshfile"
	"earframe/report/render"
	"earframe/units"
)

// Object is one thing to be drawn: a unit, or the joined framework, as it would
// go into a file. Its offset is added to its vertices; the alpha of its colour
// is ignored.
type Object = meshfile.Object

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
	scene       *render.Scene
	objects     []Object // of the scene
	name, title string
	legend      string // what the objects are called
	camera      render.Camera
	shifts      []mgl64.Vec3
	exploded    bool // guides show where what was moved belongs
	numbered    bool
	scale       float64 // pixels per millimetre
	aside       *aside  // nil for nothing
}

// Views draws the pictures "lateral", "anterior", "posterior", "oblique" and
// "exploded", in this order, or those of them that the options choose. The first four share one scale. Objects that
// are empty, or have coordinates that are no numbers, are refused with an error
// that names the object; a cancelled context ends the work with its error.
func Views(ctx context.Context, objects []Object, options ViewOptions) ([]Picture, error) {
	if options.Side != units.Left && options.Side != units.Right {
		return nil, fmt.Errorf("report: side %q is not known; give %q or %q", options.Side, units.Left, units.Right)
	}
	s, err := render.NewScene(objects)
	if err != nil {
		return nil, err
	}
	views, err := chosen(viewsOf(s, len(objects), options.Side), options.Only)
	if err != nil {
		return nil, err
	}
	for i := range views {
		views[i].title = options.sideName() + " ear, " + views[i].title
		views[i].legend = "Units"
		views[i].scene, views[i].objects = s, objects
	}
	return drawViews(ctx, views, options)
}

// drawViews draws the views, one after another.
func drawViews(ctx context.Context, views []view, options ViewOptions) ([]Picture, error) {
	fonts, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	pictures := make([]Picture, len(views))
	drawn := render.NewFramebuffer(viewWidth, viewHeight)
	var encoders errgroup.Group // compressing overlaps the drawing of the next
	encoders.SetLimit(2)
	for i, v := range views {
		page := newPage(pageWidth, pageHeight, fonts)
		if v.aside != nil {
			v.putAside(page, pictures[v.aside.drawn].Image)
		}
		if err := v.draw(ctx, page, drawn, options); err != nil {
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

// viewsOf lays out the five views of a scene of so many objects: from where, and at
// what scale.
func viewsOf(s *render.Scene, objects int, side units.Side) []view {
	a := anterior(side)
	still := make([]mgl64.Vec3, objects)
	views := []view{
		{name: "lateral", title: "lateral view", camera: render.CameraFrom(render.Lateral), shifts: still},
		{name: "anterior", title: "anterior view", camera: render.CameraFrom(a), shifts: still},
		{name: "posterior", title: "posterior view", camera: render.CameraFrom(a.Mul(-1)), shifts: still},
		{name: "oblique", title: "oblique view, from in front and above", camera: obliqueCamera(side), shifts: still},
	}
	shared := math.Inf(1)
	for _, v := range views {
		shared = min(shared, fitScale(s, v.camera, v.shifts))
	}
	for i := range views {
		views[i].scale = shared
	}
	apart := view{name: "exploded", title: "units moved apart along the lateral axis", exploded: true, numbered: true,
		camera: render.CameraFrom(a.Mul(1.15).Add(render.Superior.Mul(0.42)).Add(render.Lateral))}
	apart.shifts = s.MoveApart(apart.camera)
	apart.scale = fitScale(s, apart.camera, apart.shifts)
	return append(views, apart)
}

// obliqueCamera looks from in front and above.
func obliqueCamera(side units.Side) render.Camera {
	return render.CameraFrom(anterior(side).Mul(0.62).Add(render.Superior.Mul(0.36)).Add(render.Lateral))
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
func fitScale(s *render.Scene, c render.Camera, shifts []mgl64.Vec3) float64 {
	lo, hi := c.Extent(s, shifts)
	return min(fitWidth(hi[0]-lo[0]), tenths((viewHeight-2*viewBorder)/max(hi[1]-lo[1], render.MinExtent)))
}

// fitWidth is fitScale for what is so many mm wide and not high.
func fitWidth(wide float64) float64 {
	return tenths((viewWidth - 2*viewBorder) / max(wide, render.MinExtent))
}

func (v view) draw(ctx context.Context, page *page, drawn *render.Framebuffer, options ViewOptions) error {
	s, objects := v.scene, v.objects
	framing := drawn.Centre(s, v.camera, v.shifts, v.scale)
	if v.aside != nil {
		framing = framing.Left(v.ownLeft())
	}
	shot := render.Shot{Scene: s, Camera: v.camera, Framing: framing,
		Shifts: v.shifts,
		Colors: make([]color.RGBA, len(objects)), Paper: paper, Ink: ink}
	entries := make([]entry, len(objects))
	for i, object := range objects {
		shot.Colors[i] = object.Color
		entries[i] = entry{label: object.Label, color: render.Lighten(object.Color)}
		if v.numbered {
			entries[i].mark = strconv.Itoa(i + 1)
		}
	}
	if v.aside != nil {
		entries = append(entries, entry{label: v.aside.object.Label, color: render.Lighten(v.aside.object.Color)})
	}
	if err := drawn.Draw(ctx, &shot, page.image, image.Pt(viewLeft, viewTop)); err != nil {
		return err
	}
	if v.exploded {
		for _, path := range s.Paths(v.shifts) {
			page.guide(v, shot.Framing, drawn, path)
		}
	}
	if v.numbered {
		page.numbers(&shot, v)
	}
	page.head(options.CaseID, v.title)
	page.foot("")
	page.legend(headFoot+30, 560, v.legend, entries)
	if options.Side != "" {
		page.compass(point{compassX, compassY}, v.camera, options.Side)
	}
	page.scaleBar(columnLeft, 912, v.scale, columnRight-columnLeft)
	return nil
}

// anterior is the direction of the face in the frame of reference: −x at a left
// ear, +x at a right one, whose data is the mirror image.
func anterior(side units.Side) mgl64.Vec3 {
	if side == units.Right {
		return mgl64.Vec3{1, 0, 0}
	}
	return mgl64.Vec3{-1, 0, 0}
}

func (o ViewOptions) sideName() string {
	if o.Side == units.Right {
		return "Right"
	}
	return "Left"
}
