package budget

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/units"
	"earframe/units/centreline"
)

// bendPlaces is how many places along a centreline a bend is judged at.
const bendPlaces = 400

// percent is a fraction in percent.
const percent = 100

// bent reports whether the unit is cut as a strip and bent: a helix that has a
// middle line.
func bent(u *units.Unit) bool { return u.Part == units.Helix && u.Centreline != nil }

// Strain returns the strain of the outer fibre, a fraction, of a bar of the width
// in mm whose curvature, 1/mm, is changed by that much: half the width times the
// change (pure bending, Gere and Goodno, Mechanics of Materials, chapter 5).
func Strain(width, change float64) float64 { return width / 2 * math.Abs(change) }

// bow is what a unit is bent to, at bendPlaces+1 places along its centreline.
type bow struct {
	unit     *units.Unit
	length   float64   // of the centreline, mm
	limit    float64   // strain at which the material breaks, a fraction
	reach    int       // places to each side that a bend in its plane is judged over
	round    []float64 // curvature in its plane, 1/mm, positive to the left
	up       []float64 // curvature of its profile, 1/mm
	width    []float64 // in its plane, mm
	low, top float64   // of its underside, mm
}

// newBow returns what the unit is bent to; nil if it has no centreline or is neither
// a strip to be bent nor follows a profile.
func newBow(u *units.Unit, c units.Cartilage) (*bow, error) {
	line := u.Centreline
	if line == nil || !bent(u) && u.Rise.Profile == nil {
		return nil, nil
	}
	w := &bow{unit: u, length: line.Length(), limit: c.StrainLimit, up: make([]float64, bendPlaces+1)}
	places := make([]mgl64.Vec2, bendPlaces+1)
	mean := 0.0
	for i := range places {
		f := float64(i) / bendPlaces
		places[i] = line.At(f)
		w.width = append(w.width, line.WidthAt(f))
		mean += w.width[i] / float64(len(places))
	}
	w.reach = w.reachOf(mean)
	w.round = curvatures(places, w.reach)
	if u.Rise.Profile == nil {
		return w, nil
	}
	underside, err := u.Underside()
	if err != nil {
		return nil, fmt.Errorf("unit %s: %w", u.Name, err)
	}
	side := make([]mgl64.Vec2, len(places)) // seen from the side, straightened
	w.low, w.top = math.Inf(1), math.Inf(-1)
	for i, p := range places {
		z, _, _ := underside.Height(p[0], p[1])
		side[i] = mgl64.Vec2{w.length * float64(i) / bendPlaces, z}
		w.low, w.top = math.Min(w.low, z), math.Max(w.top, z)
	}
	w.up = curvatures(side, w.reachOf(u.Thickness))
	return w, nil
}

// reachOf returns how many places to each side a bend is judged over: as far as
// the bar is wide, as centreline.Line.LeastRadius does.
func (w *bow) reachOf(width float64) int {
	return min(max(2, int(math.Round(width/2/(w.length/bendPlaces)))), bendPlaces/2)
}

// curvatures returns the curvature at each of the points, each judged over the
// reach to both sides; 0 nearer to an end.
func curvatures(points []mgl64.Vec2, reach int) []float64 {
	all := make([]float64, len(points))
	for i := reach; i < len(points)-reach; i++ {
		all[i] = centreline.Curvature(points[i-reach : i+reach+1])
	}
	return all
}

// bend returns how the unit is bent. own is the curvature that it is cut with, place
// by place, 1/mm: nil for a straight strip.
func (w *bow) bend(own []float64, reserve float64) *Bend {
	b := &Bend{Length: w.length, Limit: w.limit * percent, RiseHeight: w.unit.Thickness + w.top - w.low}
	if b.LeastRadius, b.LeastAt = w.unit.Centreline.LeastRadius(); math.IsInf(b.LeastRadius, 1) {
		b.LeastRadius = 0 // a straight strip
	}
	for _, width := range w.width {
		b.Width = math.Max(b.Width, width)
	}
	if bent(w.unit) {
		b.Reserve = reserve
	}
	thin, lower := runs{bow: w}, runs{bow: w}
	for i := range w.round {
		f, change := float64(i)/bendPlaces, w.change(own, i)
		round, up := Strain(w.width[i], change), Strain(w.unit.Thickness, w.up[i])
		if s := round * percent; s > b.Strain {
			b.Strain, b.StrainAt, b.StrainWidth = s, f, w.width[i]
			b.Stretched, b.Own = stretched(change, w.round[i]), 0
			if own != nil && own[i] != 0 {
				b.Own = 1 / math.Abs(own[i])
			}
		}
		if s := up * percent; s > b.Rise {
			b.Rise, b.RiseAt = s, f
		}
		if s := (round + up) * percent; s > b.Corner {
			b.Corner, b.CornerAt = s, f
		}
		across, inHeight := w.shares(round, up)
		thin.add(i, w.width[i], across*w.width[i])
		lower.add(i, w.unit.Thickness, inHeight*w.unit.Thickness)
	}
	b.Thin, b.Lower = thin.all, lower.all
	return b
}

// slight is the share of the limit below which a strain is not worth thinning for
// (earframe's own choice).
const slight = 0.1

// shares returns to which shares of its width and height the unit is thinned where it
// is strained so much by being bent round and up, so that the corner bears it: both
// alike, unless one of them strains it but slightly.
func (w *bow) shares(round, up float64) (across, inHeight float64) {
	switch {
	case round+up <= w.limit:
		return 1, 1
	case up <= slight*w.limit:
		return (w.limit - up) / round, 1
	case round <= slight*w.limit:
		return 1, (w.limit - round) / up
	}
	share := w.limit / (round + up)
	return share, share
}

// change returns by how much the curvature is changed at a place, 1/mm: not at all
// of a unit that is carved to its outline, nor too near to an end to tell.
func (w *bow) change(own []float64, i int) float64 {
	switch {
	case !bent(w.unit) || i < w.reach || i > bendPlaces-w.reach:
		return 0
	case own == nil:
		return w.round[i]
	}
	return w.round[i] - own[i]
}

// Edge is an edge of a strip that is bent.
type Edge string

// The edges of a strip, as it is bent.
const (
	OuterEdge Edge = "outer edge"
	InnerEdge Edge = "inner edge"
)

// Other returns the edge across the strip.
func (e Edge) Other() Edge {
	if e == OuterEdge {
		return InnerEdge
	}
	return OuterEdge
}

// stretched returns the edge whose fibres the change lengthens: the outer one where
// it bends the strip farther the way it goes, the inner one where it straightens it.
func stretched(change, round float64) Edge {
	if change*round < 0 {
		return InnerEdge
	}
	return OuterEdge
}

// runs collects stretches of a strip that are to be thinned.
type runs struct {
	bow *bow
	all []Thinning
}

// add tells of one place, after those before it: what it is in mm and what it may
// be. Places within a bend's own length of one another are thinned
// as one.
func (r *runs) add(place int, now, to float64) {
	if to >= now {
		return
	}
	at := float64(place) / bendPlaces
	n := len(r.all) - 1
	if n < 0 || at-r.all[n].Until > float64(2*r.bow.reach)/bendPlaces {
		r.all = append(r.all, Thinning{From: at, To: to})
		n++
	}
	t := &r.all[n]
	t.Until, t.To, t.Off = at, math.Min(t.To, to), math.Max(t.Off, now-to)
	t.Length = (t.Until-t.From)*r.bow.length + r.bow.length/bendPlaces
}
