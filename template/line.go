package template

import (
	"fmt"

	"github.com/go-gl/mathgl/mgl64"
)

// MostPieces is how many pieces a unit is cut in at the most; CutReach how far in
// mm a line of a cut may end within the unit's edge: a pencil's stray (both our
// choice, no source).
const (
	MostPieces = 4
	CutReach   = 1.0
)

// Line is an open line of a drawing.
type Line struct {
	ID     string
	Mark   string       // cut or bolster
	Points []mgl64.Vec2 // two at least, mm
}

// lines makes the lines along which units may be cut and bolsters laid.
func (r *sheetReader) lines() {
	for i := range r.shapes {
		s := &r.shapes[i]
		mark := cut
		if s.is(BolsterMark) {
			mark = BolsterMark
		} else if !s.is(cut) {
			continue
		}
		advice := fmt.Sprintf("draw it as a line or an open path, and each %s as one of its own", mark)
		if len(s.paths) != 1 || s.paths[0].closed {
			r.fault(s, BadMark, "the line of a "+mark+" is not one open line", advice)
			continue
		}
		upright := s.paths[0].mapped(r.upright)
		points, err := r.flatten(&upright, r.options.Tolerance)
		if err != nil {
			r.fault(s, BadNumber, err.Error(), "check the scale and redraw the line")
			continue
		}
		line := Line{ID: s.id, Mark: mark, Points: withoutRepeats(points)}
		if len(line.Points) < 2 {
			r.fault(s, BadMark, "the line of a "+mark+" has no length", advice)
			continue
		}
		r.sheet.Lines = append(r.sheet.Lines, line)
	}
}
