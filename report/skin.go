package report

import (
	"context"
	"fmt"
	"image"
	"image/draw"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
	"earframe/units"
)

// besideGap is the clear room, mm, between the framework and the healed skin.
const besideGap = 4

// SkinViews draws the healed skin as "skin-lateral" and "skin-oblique" and, if units
// are given, "framework-and-skin": both side by side, seen obliquely; all at one
// scale. It refuses what Views refuses.
func SkinViews(ctx context.Context, skin Object, framework []Object, options ViewOptions) ([]Picture, error) {
	if options.Side != units.Left && options.Side != units.Right {
		return nil, fmt.Errorf("report: side %q is not known; give %q or %q", options.Side, units.Left, units.Right)
	}
	skin.Label = "Healed skin"
	alone := []Object{skin}
	s, err := render.NewScene(alone)
	if err != nil {
		return nil, err
	}
	still := make([]mgl64.Vec3, 1)
	lateral := view{scene: s, objects: alone, shifts: still, name: "skin-lateral", legend: "Skin",
		title: "lateral view of the healed skin", camera: render.CameraFrom(render.Lateral)}
	oblique := view{scene: s, objects: alone, shifts: still, name: "skin-oblique", legend: "Skin",
		title: "healed skin, from in front and above", camera: obliqueCamera(options.Side)}
	views := []view{lateral, oblique}
	shared := min(fitScale(s, lateral.camera, still), fitScale(s, oblique.camera, still))
	if len(framework) > 0 {
		both := view{objects: framework, shifts: make([]mgl64.Vec3, len(framework)), name: "framework-and-skin",
			legend: "Units and skin", title: "framework and healed skin, from in front and above", camera: oblique.camera}
		if both.scene, err = render.NewScene(framework); err != nil {
			return nil, err
		}
		both.aside = &aside{object: skin, wide: oblique.width(), drawn: 1}
		shared = min(shared, fitWidth(both.width()+besideGap+both.aside.wide))
		views = append(views, both)
	}
	for i := range views {
		views[i].title, views[i].scale = options.sideName()+" ear, "+views[i].title, shared
	}
	return drawViews(ctx, views, options)
}

// aside is what stands to the right of a view's own objects: a view drawn before, at
// the same scale by the same camera.
type aside struct {
	object Object
	wide   float64 // mm on the page
	drawn  int     // which of the views it is
}

// width returns how wide the view's objects are on the page, mm.
func (v *view) width() float64 {
	lo, hi := v.camera.Extent(v.scene, v.shifts)
	return hi[0] - lo[0]
}

// ownLeft returns how many pixels left of the drawing's middle the view's own objects
// have theirs.
func (v *view) ownLeft() int { return int(math.Round(v.scale * (besideGap + v.aside.wide) / 2)) }

// putAside copies the drawing of what stands beside the view's objects.
func (v *view) putAside(page *page, from *image.RGBA) {
	right := image.Pt(int(math.Round(v.scale*(besideGap+v.width())/2)), 0)
	place := image.Rect(viewLeft, viewTop, viewLeft+viewWidth, viewTop+viewHeight)
	middle, reach := viewLeft+viewWidth/2, int(v.scale*(v.aside.wide+besideGap)/2)
	drawing := image.Rect(middle-reach, viewTop, middle+reach, viewTop+viewHeight).Intersect(place)
	to := drawing.Add(right).Intersect(place)
	draw.Draw(page.image, to, from, to.Min.Sub(right), draw.Src)
}
