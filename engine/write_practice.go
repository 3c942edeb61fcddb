package engine

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"

	"earframe/internal/workers"
	"earframe/mesh/meshfile"
	"earframe/practice"
	"earframe/practice/kit"
	"earframe/practice/sheet"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
)

// PracticeRecordName is the record of a practice set.
const PracticeRecordName = "practice.json"

// PracticeMakes are the names of all that a practice set ever writes.
var PracticeMakes = []string{
	PracticeRecordName, "blanks/*.stl", "moulds/*.stl", "moulds/*.3mf", "kit/*.stl", "kit/plate-*.3mf",
	"sheets/*.pdf", "sheets/*.svg", "views/*.png",
}

// WritePractice writes a practice set to the place and concludes it; it returns
// its record.
func WritePractice(
	ctx context.Context, set *practice.Set, to publish.Place, tell workers.Progress,
) (*record.Practice, error) {
	w := newPracticeWriter(ctx, set, to)
	if err := w.write(ctx, tell); err != nil {
		return nil, err
	}
	taken := record.NewPractice(set, Caution, practice.Caution)
	_, err := to.Conclude(ctx, &publish.Record{
		Name: PracticeRecordName, Makes: PracticeMakes,
		Content: func(files []publish.File) ([]byte, error) {
			taken.Files = files
			return taken.JSON()
		},
	})
	return taken, err
}

// practiceWriter writes a practice set.
type practiceWriter struct {
	set    *practice.Set
	to     publish.Writer
	moulds []func() ([]meshfile.Object, error) // the prints of each mould, made and judged once
}

func newPracticeWriter(ctx context.Context, set *practice.Set, to publish.Writer) *practiceWriter {
	w := &practiceWriter{set: set, to: to}
	for _, m := range set.Moulds {
		w.moulds = append(w.moulds, sync.OnceValues(func() ([]meshfile.Object, error) {
			prints, err := practice.MouldPrints(ctx, m)
			for i := range prints {
				prints[i].Color = mouldColour
			}
			meshfile.LayOut(prints, bedGap)
			return prints, err
		}))
	}
	return w
}

// write does all there is to do, two things at a time: each keeps all cores busy
// for the most part, and two at once hold less memory than all.
func (w *practiceWriter) write(ctx context.Context, tell workers.Progress) error {
	jobs := []workers.Job{w.exploded, w.carving, w.session, w.tabletops}
	for i := range w.set.Blanks {
		jobs = append(jobs, func(ctx context.Context) error {
			return w.save(ctx, "blanks/"+w.set.Blanks[i].Name+".stl", "", w.blank(i))
		})
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
	return workers.Jobs(ctx, 2, tell, jobs...)
}

// save writes objects into one file under a title: where none is given, the
// first object's label.
func (w *practiceWriter) save(ctx context.Context, name, title string, objects ...meshfile.Object) error {
	if title == "" {
		title = objects[0].Label
	}
	return meshfile.Save(ctx, w.to, name, document(w.set.Framework.Plan, title, Caution+" "+practice.Caution, objects...))
}

func (w *practiceWriter) blank(i int) meshfile.Object {
	b := &w.set.Blanks[i]
	return meshfile.Object{Name: b.Name, Label: b.Label, Color: cartilageColour, Mesh: b.Mesh, Verdict: &b.Verdict}
}

// mould writes a mould: a file for each of its prints, and all of them in one.
func (w *practiceWriter) mould(ctx context.Context, i int) error {
	prints, err := w.moulds[i]()
	if err != nil {
		return err
	}
	for _, p := range prints {
		if err := w.save(ctx, "moulds/"+p.Name+".stl", "", p); err != nil {
			return err
		}
	}
	m := w.set.Moulds[i]
	return w.save(ctx, "moulds/"+m.Name+".3mf", "Casting mould: "+m.Label, prints...)
}

// print writes one piece of the kit as it lies on the bed.
func (w *practiceWriter) print(ctx context.Context, i int) error {
	p := &w.set.Kit.Pieces[i]
	printed, verdict, err := practice.Standing(ctx, p.Printed, p.OnBed)
	if err != nil {
		return err
	}
	object := meshfile.Object{Name: fileWord(p.Name), Label: pieceLabel(p), Color: report.UnitColour(p.Unit),
		Mesh: printed, Verdict: verdict}
	return w.save(ctx, fmt.Sprintf("kit/%d-%s.stl", p.Order, object.Name), "", object)
}

// pieceLabel is the unit's label with the part, if it was cut.
func pieceLabel(p *kit.Print) string { return p.Unit.Label + strings.TrimPrefix(p.Name, p.Unit.Name) }

// plate writes one filled print plate.
func (w *practiceWriter) plate(ctx context.Context, i int) error {
	return w.save(ctx, fmt.Sprintf("kit/plate-%d.3mf", i+1), fmt.Sprintf("Print plate "+
		"%d", i+1), w.set.Kit.Plates[i].Objects...)
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
		objects = append(objects, meshfile.Object{Name: p.Name, Label: pieceLabel(p), Color: report.UnitColour(p.Unit),
			Mesh: p.Mesh})
	}
	plan := w.set.Framework.Plan
	pictures, err := report.Views(ctx, objects, report.ViewOptions{CaseID: plan.ID, Side: plan.Side, Only: []string{"exploded"}})
	if err != nil {
		return err
	}
	pictures[0].Name = "kit-exploded"
	return writePictures(ctx, w.to, pictures[0])
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
		}{report.TabletopOptions{Name: fmt.Sprintf("plate-%d", i+1), Title: fmt.Sprintf("Print plate "+
			"%d", i+1), Legend: "Prints"}, plate.Objects})
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
		if err := writePictures(ctx, w.to, picture); err != nil {
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
	plan := w.set.Framework.Plan
	pictures, err := report.Views(ctx, objects(w.set.Framework), report.ViewOptions{CaseID: plan.ID, Side: plan.Side, Only: []string{"oblique"}})
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
	if err := writeText(ctx, w.to, "sheets/"+name+".pdf", document.WritePDF); err != nil {
		return err
	}
	for i := range document.Pages {
		page := fmt.Sprintf("sheets/%s-%d.svg", name, i+1)
		if err := writeText(ctx, w.to, page, func(to io.Writer) error { return document.WriteSVG(i, to) }); err != nil {
			return err
		}
	}
	return nil
}
