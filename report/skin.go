package report

import (
	"context"
	"fmt"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
	"earframe/units"
)

// besideGap is the clear room, mm, between the framework and the healed skin.
const besideGap = 4

// SkinViews draws the healed skin as "skin-lateral" and "skin-oblique", at one
// scale, and, if units are given, "framework-and-skin": both side by side, seen
// obliquely. It refuses what Views refuses.
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
	oblique := obliqueCamera(options.Side)
	views := []view{
		{name: "skin-lateral", title: "lateral view of the healed skin", camera: render.CameraFrom(render.Lateral)},
		{name: "skin-oblique", title: "healed skin, from in front and above", camera: oblique},
	}
	shared := min(fitScale(s, views[0].camera, still), fitScale(s, views[1].camera, still))
	for i := range views {
		views[i].title, views[i].legend = options.sideName()+" ear, "+views[i].title, "Skin"
		views[i].scene, views[i].objects = s, alone
		views[i].shifts, views[i].scale = still, shared
	}
	if len(framework) > 0 {
		both := append(append([]Object{}, framework...), skin)
		if s, err = render.NewScene(both); err != nil {
			return nil, err
		}
		v := view{scene: s, objects: both, name: "framework-and-skin", legend: "Units and skin", camera: oblique,
			title:  options.sideName() + " ear, framework and healed skin, from in front and above",
			shifts: make([]mgl64.Vec3, len(both))}
		v.shifts[len(framework)] = v.camera.Beside(s, len(framework), besideGap)
		v.scale = fitScale(s, v.camera, v.shifts)
		views = append(views, v)
	}
	return drawViews(ctx, views, options)
}
