package units

import (
	"fmt"
	"math"

	"earframe/field"
	"earframe/template"
)

// Solid returns the unit as carved: its outlines made solid with rounded edges,
// following its rise, its recesses taken out; without the notches that other
// units make in it.
func (u *Unit) Solid() (field.Field, error) {
	under, err := u.Underside()
	if err != nil {
		return nil, err
	}
	return u.carved(under)
}

func (u *Unit) carved(under field.Surface) (field.Field, error) {
	if len(u.Outlines) == 0 {
		return nil, fmt.Errorf("unit %s: no outline", u.Name)
	}
	thickness := field.Level(u.Thickness)
	var pieces []field.Field
	for _, o := range u.Outlines {
		region, err := template.Region(o)
		if err != nil {
			return nil, fmt.Errorf("unit %s: %w", u.Name, err)
		}
		piece, err := field.NewPrism(field.Prism{
			Region: region, Underside: under, Thickness: thickness,
			EdgeTop: u.EdgeTop, EdgeBottom: u.EdgeBottom,
		})
		if err != nil {
			return nil, fmt.Errorf("unit %s, outline %s: %w", u.Name, o.ID, err)
		}
		pieces = append(pieces, piece)
	}
	solid := field.Union(pieces...)
	var top field.Surface = field.Stack(under, thickness)
	if level, ok := under.(field.Level); ok {
		top = level + thickness
	}
	for _, r := range u.Recesses {
		for _, o := range r.Outlines {
			region, err := template.Region(o)
			if err != nil {
				return nil, fmt.Errorf("unit %s, recess %s: %w", u.Name, r.Name, err)
			}
			groove, err := field.NewRecess(field.Recess{Region: region, Top: top, Depth: r.Depth, Wall: r.Wall})
			if err != nil {
				return nil, fmt.Errorf("unit %s, recess %s: %w", u.Name, r.Name, err)
			}
			solid = field.Difference(solid, groove)
		}
	}
	return solid, nil
}

// cutter returns what must be taken out of a unit so that this one can be let
// into it with clearance. Where it only lies on top, nothing is taken away: the
// grown solid's underside is lifted there by as much as growing lowers it.
func (u *Unit) cutter(into *Unit) (field.Field, error) {
	clearance := into.Clearance
	top := into.Rise.Height + into.Thickness
	under, err := u.undersideShifted(func(z float64) float64 {
		sunk := math.Min(math.Max((top-z)/letIn, 0), 1)
		return z + clearance*(1-sunk*sunk*(3-2*sunk))
	})
	if err != nil {
		return nil, err
	}
	solid, err := u.carved(under)
	if err != nil {
		return nil, err
	}
	return field.Offset(solid, clearance), nil
}

// letIn is how deep, in mm, a unit must be sunk before it has its full
// clearance underneath.
const letIn = 0.3
