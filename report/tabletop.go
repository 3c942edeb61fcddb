package report

import (
	"context"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/report/render"
)

// TabletopOptions says what stands on the table.
type TabletopOptions struct {
	Name   string // of the picture
	CaseID string // shown as the title
	Title  string // what is shown, such as "Casting moulds"
	Legend string // what the objects are called, such as "Moulds"
}

// tabletopCamera looks down on the table from in front of it.
var tabletopCamera = mgl64.Vec3{-0.25, -0.75, 1}

// Tabletop draws objects that lie on a table, the plane z = 0, as seen from in
// front and above: prints on a plate, moulds, blanks. Objects that are empty, or
// have coordinates that are no numbers, are refused with an error that names
// the object; a cancelled context ends the work with its error.
func Tabletop(ctx context.Context, objects []Object, options TabletopOptions) (Picture, error) {
	s, err := render.NewScene(objects)
	if err != nil {
		return Picture{}, err
	}
	v := view{
		scene: s, objects: objects, name: options.Name, title: options.Title, legend: options.Legend, numbered: true,
		camera: render.CameraFrom(tabletopCamera), shifts: make([]mgl64.Vec3, len(objects)),
	}
	v.scale = fitScale(s, v.camera, v.shifts)
	pictures, err := drawViews(ctx, []view{v}, ViewOptions{CaseID: options.CaseID})
	if err != nil {
		return Picture{}, err
	}
	return pictures[0], nil
}
