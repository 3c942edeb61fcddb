package sheet

import (
	"fmt"
	"image/color"
	"math"
	"strconv"

	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Bolster is a roll that is tied down on the skin.
type Bolster struct {
	Name     string       // of its place
	Diameter float64      // mm
	Length   float64      // of the roll, mm
	Line     []mgl64.Vec2 // that its middle lies along, mm
}

// checkBolsters reports what cannot be drawn.
func (in *SessionInput) checkBolsters() error {
	for _, b := range in.Bolsters {
		if len(b.Line) == 0 || !(b.Diameter > 0) {
			return fmt.Errorf("sheet: the bolster along %s has no line or no thickness", b.Name)
		}
		for _, p := range b.Line {
			if !mesh.IsFinite(p.Vec3(0)) {
				return fmt.Errorf("sheet: the bolster along %s has a point without a place: %v", b.Name, p)
			}
		}
	}
	return nil
}

// bolsterShare is the share of the picture's room that the drawing of bolsters takes,
// if it is that wide.
const bolsterShare = 0.45

// bolsterDrawing draws the frame's outlines with the rolls on them, as they are seen
// from the side, within a room; no larger than they are.
func (s *session) bolsterDrawing(room rectangle) {
	s.drawn = true
	var f figure
	for _, u := range s.in.Plan.Units {
		if u.Part != units.Concha {
			f.add(greyPen, true, rings(u.Outlines)...)
		}
	}
	for _, b := range s.in.Bolsters {
		f.add(pen{colour: color.RGBA{205, 205, 205, 255}}, true, ribbon(b.Line, b.Diameter/2))
		f.add(finePen, false, b.Line)
	}
	lo, hi := f.bounds(s.page.fonts)
	size := hi.Sub(lo)
	scale := min(room.width()/size[0], room.height()/size[1], 1)
	place := func(p mgl64.Vec2) mgl64.Vec2 {
		return mgl64.Vec2{
			room.left + (room.width()-scale*size[0])/2 + scale*(p[0]-lo[0]),
			room.top + (room.height()-scale*size[1])/2 + scale*(hi[1]-p[1]),
		}
	}
	for _, path := range f.paths {
		drawn := path
		drawn.lines = nil
		for _, line := range path.lines {
			var moved []mgl64.Vec2
			for _, p := range line {
				moved = append(moved, place(p))
			}
			drawn.lines = append(drawn.lines, moved)
		}
		s.page.draw(drawn)
	}
	number := style{points: leastPoints, bold: true}
	for n, b := range s.in.Bolsters {
		// On the roll, beside its middle line.
		words, half := strconv.Itoa(n+1), len(b.Line)/2
		at := place(b.Line[half])
		width, tall := s.page.fonts.width(words, number), number.capitals()
		side := max(scale*b.Diameter/2, width/2+0.4)
		s.page.write(mgl64.Vec2{at[0] + math.Copysign(side, at[0]-room.left-room.width()/2), at[1] + tall/2}, words, number, 0.5)
	}
}

// ribbon returns the ring around a line at half its thickness, with round ends.
func ribbon(line []mgl64.Vec2, half float64) []mgl64.Vec2 {
	var ring []mgl64.Vec2
	along := func(n int) float64 {
		way := line[min(n+1, len(line)-1)].Sub(line[max(n-1, 0)])
		return math.Atan2(way[1], way[0])
	}
	add := func(at mgl64.Vec2, angle float64) {
		s, c := math.Sincos(angle)
		ring = append(ring, at.Add(mgl64.Vec2{c, s}.Mul(half)))
	}
	const corners = 12 // of a round end
	end := func(n int, from float64) {
		for k := range corners + 1 {
			add(line[n], from-math.Pi*float64(k)/corners)
		}
	}
	for n := range line {
		add(line[n], along(n)+math.Pi/2)
	}
	end(len(line)-1, along(len(line)-1)+math.Pi/2)
	for n := len(line) - 1; n >= 0; n-- {
		add(line[n], along(n)-math.Pi/2)
	}
	end(0, along(0)-math.Pi/2)
	return ring
}

// bolsterLines says of each roll how thick and how long it is.
func (s *session) bolsterLines() []string {
	var lines []string
	for n, b := range s.in.Bolsters {
		lines = append(lines, fmt.Sprintf("%d\t%s: roll of %g mm, %.0f mm "+
			"long", n+1, capitalised(b.Name), b.Diameter, b.Length))
	}
	if len(lines) > 0 {
		words := "Tied down once suction shows the relief"
		if s.drawn {
			words += "; drawn above where they lie"
		}
		lines = append(lines, words+".")
	}
	return lines
}
