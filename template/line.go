package template

import "github.com/go-gl/mathgl/mgl64"

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
	Points []mgl64.Vec2 // two at least, mm
}

// lines makes the lines along which units may be cut.
func (r *sheetReader) lines() {
	for i := range r.shapes {
		s := &r.shapes[i]
		if !s.is(cut) {
			continue
		}
		const advice = "draw it as a line or an open path, and each cut as one of its own"
		if len(s.paths) != 1 || s.paths[0].closed {
			r.fault(s, BadMark, "the line of a cut is not one open line", advice)
			continue
		}
		upright := s.paths[0].mapped(r.upright)
		points, err := r.flatten(&upright, r.options.Tolerance)
		if err != nil {
			r.fault(s, BadNumber, err.Error(), "check the scale and redraw the line")
			continue
		}
		line := Line{ID: s.id, Points: withoutRepeats(points)}
		if len(line.Points) < 2 {
			r.fault(s, BadMark, "the line of a cut has no length", advice)
			continue
		}
		r.sheet.Lines = append(r.sheet.Lines, line)
	}
}
