package kit

import (
	"context"
	"fmt"
	"strings"

	"earframe/assemble"
	"earframe/field"
	"earframe/mesh/wall"
	"earframe/units"
)

// measured is how well a wall is measured, mm, as package wall has it.
const measured = 0.05

// thinWall measures the walls that the room for its neighbours leaves a print, and
// returns a finding if one does not print and the unit as drawn has none as thin. Beside
// a seat, and between two, the material stands up to a clearance above the seats'
// floors; nothing hangs on such a ridge. Letters do not count.
func (k *Kit) thinWall(
	ctx context.Context, f *assemble.Framework, p *Print, drawn field.Field,
) ([]units.Finding, error) {
	limit := f.Plan.Printer.Wall
	walls, err := wall.OfMesh(ctx, p.Mesh, wall.Options{
		Drawn: drawn, Plain: field.Difference(drawn, p.room), Slack: signSlack,
		Below: limit, Ridge: k.Clearance + signSlack,
	})
	if err != nil {
		return nil, err
	}
	p.Thinnest = walls.Least()
	left, before := walls.Cut, drawnPiece(f, p).Walls.Least()
	if left == nil || left.Thickness >= limit ||
		before != nil && before.Thickness < limit && left.Thickness > before.Thickness-measured {
		return nil, nil
	}
	at := left.At
	return []units.Finding{{
		Rule: "print-wall-too-thin", Severity: units.Warning, Unit: p.Unit.Name, At: &at,
		Message: fmt.Sprintf("room for %s leaves its print a wall of %.2f mm; a %s printer makes %.2f mm and more",
			strings.Join(p.GivesWay, ", "), left.Thickness, f.Plan.Printer.Name, limit),
		Value: left.Thickness, Limit: limit, Measure: "mm",
		Advice: fmt.Sprintf("Give kit.clearance less than %g mm, or make the unit thicker there.", k.Clearance),
	}}, nil
}
