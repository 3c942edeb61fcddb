package kit

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"earframe/assemble"
	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// thinWall measures a print's thinnest wall, and returns a finding if the room made
// for its neighbours leaves one that does not print where the unit as drawn has
// none.
func (k *Kit) thinWall(
	ctx context.Context, f *assemble.Framework, p *Print, drawn field.Field,
) ([]units.Finding, error) {
	solid := &walls{Field: field.Difference(drawn, p.room), drawn: drawn, ridge: k.Clearance + wallSlack}
	wall, err := mesh.ThinnestWallOn(ctx, p.Mesh, solid, wallSlack)
	if errors.Is(err, mesh.ErrNoWall) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	limit := f.Plan.Printer.Wall
	if wall.Thickness < closerBelow*limit {
		if wall, err = lookCloser(ctx, solid, wall); err != nil {
			return nil, err
		}
	}
	p.Thinnest = &wall
	before := drawnPiece(f, p).Thinnest
	if wall.Thickness >= limit || before != nil && before.Thickness < limit {
		return nil, nil
	}
	at := wall.At
	return []units.Finding{{
		Rule: "print-wall-too-thin", Severity: units.Warning, Unit: p.Unit.Name, At: &at,
		Message: fmt.Sprintf("room for %s leaves its print a wall of %.2f mm; a %s printer makes %.2f mm and more",
			strings.Join(p.GivesWay, ", "), wall.Thickness, f.Plan.Printer.Name, limit),
		Value: wall.Thickness, Limit: limit, Measure: "mm",
		Advice: fmt.Sprintf("Give kit.clearance less than %g mm, or make the unit thicker there.", k.Clearance),
	}}, nil
}

// A wall that may not print is measured again closer by, at a step of its own:
// over a whole unit a tongue that tapers off meets two or three rays, and how
// thin it seems is then a matter of chance.
const (
	closerBelow = 1.5 // times the thinnest wall that prints
	closerReach = 2.5 // mm, half of the box looked at
	closerStep  = 0.1 // mm
)

// lookCloser measures the thinnest wall in a box around the one found. The box's
// own faces are not on the solid's surface and make no walls.
func lookCloser(ctx context.Context, solid *walls, found mesh.Wall) (mesh.Wall, error) {
	half := mgl64.Vec3{closerReach, closerReach, closerReach}
	lo, hi := found.At.Sub(half), found.At.Add(half)
	region, err := field.NewRegion([]mgl64.Vec2{lo.Vec2(), {hi[0], lo[1]}, hi.Vec2(), {lo[0], hi[1]}})
	if err != nil {
		return found, err
	}
	box, err := field.NewPrism(field.Prism{Region: region, Underside: field.Level(lo[2]), Thickness: field.Level(hi[2] - lo[2])})
	if err != nil {
		return found, err
	}
	m, err := contour.Of(ctx, field.Intersection(solid.Field, box), contour.Options{Step: closerStep})
	if err != nil {
		return found, err
	}
	closer, err := mesh.ThinnestWallOn(ctx, m, solid, wallSlack)
	if errors.Is(err, mesh.ErrNoWall) {
		return found, nil
	}
	return closer, err
}

// wallSlack is how far, mm, the print's mesh may lie from its solid: the
// contour's error and the simplification's, as signSlack. Letters are deeper.
const wallSlack = signSlack

// walls is a print's solid as walls are measured on it: one whose ridges do not
// count. Beside a seat, and between two, the material stands up to a clearance
// above the seats' floors; how thin such a ridge is depends on where the
// sampling rounds its crest, and nothing hangs on it. So what lies no deeper
// under the unit's drawn surface than a clearance counts as facing the way that
// the drawn surface does, which a seat's floor does and its flank does not.
type walls struct {
	field.Field             // the drawn unit less the room for its neighbours
	drawn       field.Field // without letters
	ridge       float64     // mm, height of what is no wall
}

// Gradients writes the solid's values, with the drawn surface's gradients near
// that.
func (w *walls) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	w.Field.Gradients(points, out, gradient)
	depth := make([]float64, len(points))
	facing := make([]mgl64.Vec3, len(points))
	w.drawn.Gradients(points, depth, facing)
	for i, d := range depth {
		if math.Abs(d) <= w.ridge*math.Max(facing[i].Len(), 1) {
			gradient[i] = facing[i]
		}
	}
}
