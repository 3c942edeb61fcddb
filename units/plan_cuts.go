package units

import (
	"fmt"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units/casefile"
)

// readPieces reads in how many pieces a unit is carved, or along which lines.
func (b *unitBuilder) readPieces(d draft, u *Unit) {
	given := d.scope.Entry.Field("pieces")
	switch {
	case given == nil:
		return
	case len(u.Outlines) > 1:
		b.Fault(given, fmt.Sprintf("%s is made of %d outlines, each a piece already", u.Name, len(u.Outlines)),
			"Make a unit of each outline, with pieces of its own")
		return
	case given.Items == nil:
		u.Pieces = int(given.Number)
		d.scope.Record("pieces", u.Pieces, given, "")
		return
	}
	var ids []string
	for _, item := range given.Items {
		line := b.cutLine(item)
		if line == nil {
			return
		}
		ids, u.Cuts = append(ids, item.Text), append(u.Cuts, line)
		if _, _, err := u.Outlines[0].Cut([][]mgl64.Vec2{line}, template.CutReach); err != nil {
			b.Fault(item, fmt.Sprintf("%s does not cut %s: %v", item.Text, u.Name, err),
				"Draw the line across the unit, from beside one edge to beside the other")
			return
		}
	}
	d.scope.Record("pieces", ids, given, "")
	parts, _, err := u.Outlines[0].Cut(u.Cuts, template.CutReach)
	u.Pieces = len(parts)
	// A ring falls apart at the second cut.
	most := len(u.Cuts) + 1
	least := most
	if len(u.Outlines[0].Holes) > 0 && len(u.Cuts) > 1 {
		least--
	}
	advice := "Cut only where it is narrow, with lines that end beside its edges"
	switch {
	case err != nil:
		b.Fault(given, fmt.Sprintf("these lines do not cut %s: %v", u.Name, err), "Draw them apart from one another")
	case len(parts) < least || len(parts) > most:
		if len(parts) < 2 {
			advice = "A ring takes two cuts to fall apart"
		}
		b.Fault(given, fmt.Sprintf("cut along %s, %s is left in %d where %d pieces were asked", strings.Join(ids, " and "),
			u.Name, len(parts), most), advice)
	case len(parts) > template.MostPieces:
		b.Fault(given, fmt.Sprintf("%s falls into %d pieces, expected at most %d", u.Name, len(parts), template.MostPieces),
			"Give fewer lines")
	}
}

// cutLine returns the drawing's line of that id, nil with a fault if there is none.
func (b *unitBuilder) cutLine(item *casefile.Entry) []mgl64.Vec2 {
	var known []string
	for _, line := range b.Sheet.Lines {
		if line.Mark == template.BolsterMark {
			continue
		}
		if line.ID == item.Text {
			return line.Points
		}
		known = append(known, line.ID)
	}
	advice := "Draw a line with an id that begins with cut, such as cut-1"
	if len(known) > 0 {
		advice = casefile.Known(item.Text, known)
	}
	b.Fault(item, fmt.Sprintf("the template has no line of a cut %q", item.Text), advice)
	return nil
}
