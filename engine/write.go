package engine

import (
	"context"
	"fmt"
	"image/color"
	"io"

	"earframe/assemble"
	"earframe/mesh/meshfile"
	"earframe/publish"
	"earframe/report"
	"earframe/units"
)

// What is not a unit is drawn in the pale of cartilage, and moulds in grey.
var (
	cartilageColour = color.RGBA{R: 0xE0, G: 0xDC, B: 0xD0, A: 255}
	mouldColour     = color.RGBA{R: 0xB4, G: 0xB8, B: 0xBC, A: 255}
)

// joinedName is the joined framework's name in files that hold several objects.
const joinedName = "framework"

// bedGap is the room in mm between objects that lie side by side on the bed.
const bedGap = 5

// object returns the piece as files and pictures take it.
func object(p *assemble.Piece) meshfile.Object {
	o := meshfile.Object{Name: joinedName, Label: "Joined " +
		"framework", Color: cartilageColour, Mesh: p.Mesh, Verdict: &p.Verdict}
	if p.Unit != nil {
		o.Name, o.Label, o.Color = p.Unit.Name, p.Unit.Label, report.UnitColour(p.Unit)
	}
	return o
}

// objects returns the framework's units as files and pictures take them.
func objects(f *assemble.Framework) []meshfile.Object {
	var all []meshfile.Object
	for i := range f.Pieces {
		all = append(all, object(&f.Pieces[i]))
	}
	return all
}

// document returns what a file of the plan's case holds, under its name and
// cautions.
func document(plan *units.Plan, what, cautions string, objects ...meshfile.Object) meshfile.Document {
	return meshfile.Document{
		Title: fmt.Sprintf("%s, case %s, %s ear", what, plan.ID, plan.Side), Description: cautions, Objects: objects,
	}
}

// writePictures writes the pictures into the views.
func writePictures(ctx context.Context, to publish.Writer, pictures ...report.Picture) error {
	for i := range pictures {
		if err := pictures[i].Write(ctx, to, "views"); err != nil {
			return err
		}
	}
	return nil
}

// writeText writes what a function writes.
func writeText(ctx context.Context, to publish.Writer, name string, write func(io.Writer) error) error {
	return to.Write(ctx, name, write, nil)
}
