package units

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// strokeSlack allows for rounding where a stroke is exactly as wide as the
// printer needs it.
const strokeSlack = 1 - 1e-9

// largest sets the text in the largest of the letter sizes that has room, and
// says how wide its narrowest stroke then is; nil if it has room in none. The
// text must have a letter that can be carved.
func (r *room) largest(font *lettering, text string, width float64) *Engraving {
	stroke := font.narrowestStroke(text) // at an em of 1 mm
	for _, size := range letterSizes {
		em := size * width / stroke
		if engraving, ok := r.place(font, text, em); ok {
			engraving.Stroke = em * stroke
			return engraving
		}
	}
	return nil
}

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
func (u *Unit) Inscribe(text Inscription, printer Printer) (*Engraving, error) {
	if left := u.Thickness - text.Depth; left < printer.Wall {
		return nil, fmt.Errorf("%.1f mm would be left of the unit, %s printing needs %.1f mm", left, printer.Name, printer.Wall)
	}
	if text.Depth < printer.EngraveDepth {
		return nil, fmt.Errorf("%.2f mm deep, %s printing needs %.2f mm", text.Depth, printer.Name, printer.EngraveDepth)
	}
	font, err := newLettering()
	if err != nil {
		return nil, err
	}
	letters := strings.ToUpper(text.Text)
	if font.narrowestStroke(letters) == 0 {
		return nil, fmt.Errorf("the text has no letter that can be carved")
	}
	under, err := u.Underside()
	if err != nil {
		return nil, err
	}
	taken := append([]*field.Region(nil), text.Taken...)
	var inside []*field.Region
	for _, o := range u.Outlines {
		region, err := regionOf(o)
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
	engraving := newRoom(inside, taken, u.EdgeBottom+roomMargin).largest(font, letters, printer.EngraveWidth)
	switch {
	case engraving == nil:
		return nil, fmt.Errorf("its underside has no free place for it")
	case engraving.Stroke < printer.EngraveWidth*strokeSlack:
		return nil, fmt.Errorf("where it has room its strokes would be %.2f mm wide, %s printing needs %.2f mm", engraving.Stroke, printer.Name, printer.EngraveWidth)
	}
	engraving.Depth, engraving.unit = text.Depth, u
	return engraving, nil
}

// Solid returns the material that the letters take away.
func (e *Engraving) Solid() (field.Field, error) { return e.solid() }

// Region returns the letters as they stand on the underside, seen from above.
func (e *Engraving) Region() (*field.Region, error) { return field.NewRegion(e.rings...) }
