package main

import (
	"context"
	"fmt"
	"image/color"
	"io"
	"strings"
	"sync"

	"earframe/internal/workers"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/practice"
	"earframe/practice/kit"
	"earframe/practice/mould"
	"earframe/practice/sheet"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
)

// writePractice writes the practice set into the place and returns its record.
// tell is told the progress.
func writePractice(ctx context.Context, set *practice.Set, to publish.Place, tell workers.Progress) (*record.Practice, error) {
	w := newPracticeWriter(ctx, to, set)
	if err := w.write(ctx, tell); err != nil {
		return nil, err
	}
	taken := record.NewPractice(set, caution, practice.Caution)
	_, err := to.Conclude(ctx, &publish.Record{Name: practiceRecordName, Makes: practiceMakes, Content: func(files []publish.File) ([]byte, error) {
		taken.Files = files
		return taken.JSON()
	}})
	return taken, err
}

// practiceWriter writes a practice set into a place.
type practiceWriter struct {
	publish.Place
	set    *practice.Set
	moulds []func() ([]meshfile.Object, error) // the pieces of each mould, made and judged once
}

func newPracticeWriter(ctx context.Context, to publish.Place, set *practice.Set) *practiceWriter {
	w := &practiceWriter{Place: to, set: set}
	for _, m := range set.Moulds {
		w.moulds = append(w.moulds, sync.OnceValues(func() ([]meshfile.Object, error) { return mouldPieces(ctx, m) }))
	}
	return w
}

// What is not a unit is drawn in the pale of cartilage, and moulds in grey.
var (
	cartilageColour = color.RGBA{R: 0xE0, G: 0xDC, B: 0xD0, A: 255}
	mouldColour     = color.RGBA{R: 0xB4, G: 0xB8, B: 0xBC, A: 255}
)

// write does all there is to do, two things at a time.
func (w *practiceWriter) write(ctx context.Context, tell workers.Progress) error {
	jobs := []func(context.Context) error{w.exploded, w.carving, w.session, w.tabletops}
	for i := range w.set.Blanks {
		jobs = append(jobs, func(ctx context.Context) error { return w.save(ctx, w.blank(i), "blanks/"+w.set.Blanks[i].Name+".stl") })
	}
	for i := range w.set.Moulds {
		jobs = append(jobs, func(ctx context.Context) error { return w.mould(ctx, i) })
	}
	for i := range w.set.Kit.Pieces {
		jobs = append(jobs, func(ctx context.Context) error { return w.print(ctx, i) })
	}
	for i := range w.set.Kit.Plates {
		jobs = append(jobs, func(ctx context.Context) error { return w.plate(ctx, i) })
	}
	return carryOut(ctx, jobs, 2, tell)
}

// document is what a file holds, under the case's name and both cautions.
func (w *practiceWriter) document(what string, objects ...meshfile.Object) meshfile.Document {
	plan := w.set.Framework.Plan
	return meshfile.Document{
		Title:       fmt.Sprintf("%s, case %s, %s ear", what, plan.ID, plan.Side),
		Description: caution + " " + practice.Caution, Objects: objects,
	}
}

func (w *practiceWriter) save(ctx context.Context, object meshfile.Object, name string) error {
	return meshfile.Save(ctx, w, name, w.document(object.Label, object))
}

func (w *practiceWriter) blank(i int) meshfile.Object {
	b := &w.set.Blanks[i]
	return meshfile.Object{Name: b.Name, Label: b.Label, Color: cartilageColour, Mesh: b.Mesh, Verdict: &b.Verdict}
}

// mouldPieces returns the pieces of a mould as they are printed, side by side.
func mouldPieces(ctx context.Context, m *mould.Mould) ([]meshfile.Object, error) {
	var objects []meshfile.Object
	for k := range m.Pieces {
		p := &m.Pieces[k]
		printed, verdict, err := standing(ctx, p.Printed())
		if err != nil {
			return nil, err
		}
		objects = append(objects, meshfile.Object{
			Name: m.Name + "-" + p.Name, Label: m.Label + ", mould, " + p.Name, Color: mouldColour, Mesh: printed, Verdict: verdict,
		})
	}
	meshfile.LayOut(objects, bedGap)
	return objects, nil
}

// standing returns a print with its lowest point at z = 0, and the judge's word on
// it. Where moving it would cost its soundness it stays where it is: programs
// that print put it on the plate themselves.
func standing(ctx context.Context, m *mesh.Mesh) (*mesh.Mesh, *mesh.Verdict, error) {
	moved := m.OnPlate()
	verdict, err := mesh.JudgeContext(ctx, moved)
	if err != nil || verdict.Sound() {
		return moved, &verdict, err
	}
	verdict, err = mesh.JudgeContext(ctx, m)
	return m, &verdict, err
}

// mould writes a mould: a file for each piece, and all of them in one.
func (w *practiceWriter) mould(ctx context.Context, i int) error {
	objects, err := w.moulds[i]()
	if err != nil {
		return err
	}
	for _, o := range objects {
		if err := w.save(ctx, o, "moulds/"+o.Name+".stl"); err != nil {
			return err
		}
	}
	m := w.set.Moulds[i]
	return meshfile.Save(ctx, w, "moulds/"+m.Name+".3mf", w.document("Casting mould: "+m.Label, objects...))
}

// print writes one piece of the kit as it lies on the bed.
func (w *practiceWriter) print(ctx context.Context, i int) error {
	p := &w.set.Kit.Pieces[i]
	printed, verdict, err := standing(ctx, p.Printed)
	if err != nil {
		return err
	}
	object := meshfile.Object{Name: fileWord(p.Name), Label: pieceLabel(p), Color: report.UnitColour(p.Unit), Mesh: printed, Verdict: verdict}
	return w.save(ctx, object, fmt.Sprintf("kit/%d-%s.stl", p.Order, object.Name))
}

// pieceLabel is the unit's label with the part, if it was cut.
func pieceLabel(p *kit.Print) string { return p.Unit.Label + strings.TrimPrefix(p.Name, p.Unit.Name) }

// plate writes one filled print plate.
func (w *practiceWriter) plate(ctx context.Context, i int) error {
	return meshfile.Save(ctx, w, fmt.Sprintf("kit/plate-%d.3mf", i+1), w.document(fmt.Sprintf("Print plate %d", i+1), w.set.Kit.Plates[i].Objects...))
}

// fileWord makes a file's name of a piece's.
func fileWord(name string) string {
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == ' ' || r == ',' }), "-")
}

// exploded draws the kit with its pieces moved apart.
func (w *practiceWriter) exploded(ctx context.Context) error {
	var objects []meshfile.Object
	for i := range w.set.Kit.Pieces {
		p := &w.set.Kit.Pieces[i]
		objects = append(objects, meshfile.Object{Name: p.Name, Label: pieceLabel(p), Color: report.UnitColour(p.Unit), Mesh: p.Mesh})
	}
	plan := w.set.Framework.Plan
	pictures, err := report.Views(ctx, objects, report.ViewOptions{CaseID: plan.ID, Side: plan.Side, Only: []string{"exploded"}})
	if err != nil {
		return err
	}
	return publish.WriteBytes(ctx, w, "views/kit-exploded.png", pictures[0].PNG)
}

// tabletopWidth is how wide, in mm, a row of what is drawn on the bench may be.
const tabletopWidth = 300

// tabletops draws what lies on the bench: print plates, blanks, moulds.
func (w *practiceWriter) tabletops(ctx context.Context) error {
	var blanks, moulds []meshfile.Object
	for i := range w.set.Blanks {
		blanks = append(blanks, w.blank(i))
	}
	for i := range w.set.Moulds {
		pieces, err := w.moulds[i]()
		if err != nil {
			return err
		}
		for _, piece := range pieces {
			piece.Label = piece.Name // whole labels are too long for the legend
			moulds = append(moulds, piece)
		}
	}
	meshfile.LayOutRows(blanks, bedGap, tabletopWidth)
	meshfile.LayOutRows(moulds, bedGap, tabletopWidth)
	pictures := []struct {
		options report.TabletopOptions
		objects []meshfile.Object
	}{
		{report.TabletopOptions{Name: "blanks", Title: "Rib blanks", Legend: "Blanks"}, blanks},
		{report.TabletopOptions{Name: "moulds", Title: "Casting moulds, as they are printed", Legend: "Moulds"}, moulds},
	}
	for i, plate := range w.set.Kit.Plates {
		pictures = append(pictures, struct {
			options report.TabletopOptions
			objects []meshfile.Object
		}{report.TabletopOptions{Name: fmt.Sprintf("plate-%d", i+1), Title: fmt.Sprintf("Print plate %d", i+1), Legend: "Prints"}, plate.Objects})
	}
	for _, p := range pictures {
		if len(p.objects) == 0 {
			continue
		}
		p.options.CaseID = w.set.Framework.Plan.ID
		picture, err := report.Tabletop(ctx, p.objects, p.options)
		if err != nil {
			return err
		}
		if err := picture.Write(ctx, w, "views"); err != nil {
			return err
		}
	}
	return nil
}

// carving writes the carving sheets: one PDF, and each page as SVG.
func (w *practiceWriter) carving(ctx context.Context) error {
	document, err := w.set.Carving()
	if err != nil {
		return err
	}
	return w.sheets(ctx, document, "carving")
}

// session writes the session sheet.
func (w *practiceWriter) session(ctx context.Context) error {
	var objects []meshfile.Object
	for i := range w.set.Framework.Pieces {
		objects = append(objects, object(&w.set.Framework.Pieces[i]))
	}
	plan := w.set.Framework.Plan
	pictures, err := report.Views(ctx, objects, report.ViewOptions{CaseID: plan.ID, Side: plan.Side, Only: []string{"oblique"}})
	if err != nil {
		return err
	}
	document, err := w.set.Session(pictures[0].Drawing())
	if err != nil {
		return err
	}
	return w.sheets(ctx, document, "session")
}

func (w *practiceWriter) sheets(ctx context.Context, document *sheet.Document, name string) error {
	if err := w.Write(ctx, "sheets/"+name+".pdf", document.WritePDF, nil); err != nil {
		return err
	}
	for i := range document.Pages {
		page := fmt.Sprintf("sheets/%s-%d.svg", name, i+1)
		if err := w.Write(ctx, page, func(to io.Writer) error { return document.WriteSVG(i, to) }, nil); err != nil {
			return err
		}
	}
	return nil
}
