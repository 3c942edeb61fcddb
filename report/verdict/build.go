package verdict

import (
	"fmt"
	"slices"

	"earframe/assemble"
	"earframe/mesh/wall"
	"earframe/pocket"
	"earframe/units"
)

// OfBuild answers the questions of a framework and of the skin laid over it; laid is
// nil where no skin could be laid, for which refused says why.
func OfBuild(f *assemble.Framework, laid *pocket.Result, refused []units.Finding) []Verdict {
	findings := slices.Concat(f.Findings, refused)
	if laid != nil {
		findings = slices.Concat(findings, laid.Findings)
	}
	verdicts := append(drawing(findings), sound(f, findings))
	if laid != nil {
		verdicts = append(verdicts, ofSkin(laid, findings)...)
	} else {
		const why = "no skin was laid"
		about := "neither ear nor pocket is drawn"
		if worstOf(units.AboutPocket, findings) != nil || worstOf(units.AboutSkin, findings) != nil {
			about = why
		}
		verdicts = append(verdicts, unknown(units.AboutPocket, findings, about), unknown(units.AboutSkin, findings, why),
			unknown(units.AboutRelief, findings, why))
	}
	return append(verdicts, printed(f, findings))
}

// sound answers whether meshes are closed, which an unsound one would not have come
// to, and whether the units hold together.
func sound(f *assemble.Framework, findings []units.Finding) Verdict {
	says := "every mesh is closed, none crosses itself"
	if f.Joined != nil && worstOf(units.AboutSound, findings) == nil {
		says += fmt.Sprintf("; %s as one framework", many(len(f.Pieces), "unit stands", "units hold together"))
	}
	return judge(units.AboutSound, findings, says)
}

// printed answers whether a printer makes every wall of the units.
func printed(f *assemble.Framework, findings []units.Finding) Verdict {
	var t thinnest
	for i := range f.Pieces {
		t.take(f.Pieces[i].Walls.Least(), f.Pieces[i].Unit.Name)
	}
	return judge(units.AboutPrint, findings, t.says(f.Plan.Printer),
		"wall-too-thin", "notch-leaves-thin-wall", "notch-leaves-crumb")
}

// measured is how well a wall is measured, mm, as package wall has it: a crumb that
// lacks less is no finding (assemble).
const measured = 0.05

// thinnest finds the thinnest of walls.
type thinnest struct {
	wall *wall.Wall
	of   string
}

func (t *thinnest) take(w *wall.Wall, of string) {
	if w != nil && (t.wall == nil || w.Thickness < t.wall.Thickness) {
		t.wall, t.of = w, of
	}
}

func (t *thinnest) says(printer units.Printer) string {
	if t.wall == nil {
		return "no wall is to be measured"
	}
	says := fmt.Sprintf("thinnest wall %.2f mm (%s), a %s printer makes %.2f mm", t.wall.Thickness, t.of, printer.Name,
		printer.Wall)
	if short := printer.Wall - t.wall.Thickness; short > 0 && short < measured {
		says += ", near enough for a crumb"
	}
	return says
}
