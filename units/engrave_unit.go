package units

import (
	"context"
	"fmt"
	"math"
	"strings"

	"earframe/field"
	"earframe/template"
	"earframe/units/lettering"

	"github.com/go-gl/mathgl/mgl64"
)

// Inscription is a text to be carved into the underside of a unit.
type Inscription struct {
	Text  string
	Depth float64         // mm
	Taken []*field.Region // of the underside, where no text may stand
}

// levelSlope is the slope up to which an underside counts as level for a text.
const levelSlope = 0.05

// Inscribe finds the place of a text on the unit's underside, where that is
// level, in letters that the printer can make. An error says why there is none,
// in words that follow the text: "is not engraved: …".
func (u *Unit) Inscribe(ctx context.Context, text Inscription, printer Printer) (*Engraving, error) {
	if left := u.Thickness - text.Depth; left < printer.Wall {
		return nil, fmt.Errorf("%.1f mm would be left of the unit, %s printing needs %.1f "+
			"mm", left, printer.Name, printer.Wall)
	}
	if text.Depth < printer.EngraveDepth {
		return nil, fmt.Errorf("%.2f mm deep, %s printing needs %.2f mm", text.Depth, printer.Name, printer.EngraveDepth)
	}
	under, err := u.Underside()
	if err != nil {
		return nil, err
	}
	taken := append([]*field.Region(nil), text.Taken...)
	var inside []*field.Region
	for _, o := range u.Outlines {
		region, err := template.Region(o)
		if err != nil {
			return nil, fmt.Errorf("unit %s: %w", u.Name, err)
		}
		inside = append(inside, region)
		if u.Rise.Profile != nil {
			taken = append(taken, squaresWhere(region, func(p mgl64.Vec2) bool {
				_, slopeX, slopeY := under.Height(p[0], p[1])
				return math.Hypot(slopeX, slopeY) > levelSlope
			})...)
		}
	}
	space := lettering.Space{Inside: inside, Taken: taken, Edge: u.EdgeBottom}
	set, err := space.Largest(ctx, strings.ToUpper(text.Text), printer.EngraveWidth)
	switch {
	case err != nil:
		return nil, err
	case set == nil:
		return nil, fmt.Errorf("its underside has no free place for it")
	case !set.Wide(printer.EngraveWidth):
		return nil, fmt.Errorf("where it has room its strokes would be %.2f mm wide, %s printing needs %.2f "+
			"mm", set.Stroke, printer.Name, printer.EngraveWidth)
	}
	return &Engraving{*set, text.Depth, u}, nil
}
