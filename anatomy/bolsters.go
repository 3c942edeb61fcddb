package anatomy

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/units"
)

// RimFoot is the place of a bolster around the rim.
const RimFoot = "foot of the rim"

// Bolster is a roll of a plan with the line that it lies along.
type Bolster struct {
	units.Bolster
	Name  string       // of the place, or the line's id
	Swell float64      // radius of the roll with the skin under it, mm
	Along []mgl64.Vec2 // places at most half a millimetre apart; nil if the frame has no such place
	Width float64      // of the groove at its widest there, mm; 0 along a drawn line and the rim
}

// Length returns the length of the roll with its round ends, mm.
func (b Bolster) Length() float64 { return lengthOf(b.Along) + b.Diameter }

// Bolsters returns where the plan's bolsters lie: along the middle of a groove where it
// is no narrower than the roll, the foot of the rim just off its wall, or the line
// drawn.
func (p *Places) Bolsters(plan *units.Plan) []Bolster {
	var all []Bolster
	for _, given := range plan.Pocket.Bolsters {
		b := Bolster{Bolster: given, Name: given.Where, Swell: given.Diameter/2 + plan.Skin.Lateral}
		name, groove := map[string]string{
			units.BolsterScapha: Scapha, units.BolsterFossa: Fossa, units.BolsterConcha: Concha,
		}[given.Where]
		switch {
		case groove:
			b.Name = name
			b.Along, b.Width = p.MiddleOf(name, given.Diameter/2, plan.Skin.Lateral)
		case given.Where == units.BolsterRim:
			const clear = 0.1 // mm
			b.Name = RimFoot
			b.Along = p.rimFoot(b.Swell + clear)
		default:
			b.Along = spaced(given.Line)
		}
		all = append(all, b)
	}
	return all
}

// spaced returns places along a line, at most half a millimetre apart.
func spaced(line []mgl64.Vec2) []mgl64.Vec2 {
	const apart = 0.5
	places := line[:1:1]
	for n, to := range line[1:] {
		from := line[n]
		parts := math.Ceil(to.Sub(from).Len() / apart)
		for part := 1.0; part <= parts; part++ {
			places = append(places, from.Add(to.Sub(from).Mul(part/parts)))
		}
	}
	return places
}

// rimFoot returns the line so far outside of the frame, mm, above and behind its rim,
// from its superior end to its inferior one; nil if there is no frame.
func (p *Places) rimFoot(out float64) []mgl64.Vec2 {
	const rays = 720
	radius := 2*p.HalfSize.Len() + out
	var line []mgl64.Vec2
	for n := range rays {
		// From the anterior side upward and on.
		s, c := math.Sincos(2 * math.Pi * float64(n) / rays)
		way := mgl64.Vec2{-p.backward * c, s}
		at := p.Centre.Add(way.Mul(radius))
		if gone := p.inward(at, way, out); gone < radius {
			at = at.Sub(way.Mul(gone))
			if place := p.around(at); place == Above || place == Behind {
				line = append(line, at)
			}
		}
	}
	if len(line) < 2 {
		return nil
	}
	return smooth(line)
}

// inward returns how far one goes against a way from a place far off until the frame
// is so near, mm; more than twice as far as the frame is large if it never is.
func (p *Places) inward(at, way mgl64.Vec2, near float64) float64 {
	const close = 1e-3
	gone, most := 0.0, 2*p.HalfSize.Len()+near
	for gone < most {
		distance := math.Inf(1)
		for _, region := range p.outer {
			distance = min(distance, region.Distance(at.Sub(way.Mul(gone))))
		}
		if distance-near < close {
			break
		}
		gone += distance - near
	}
	return gone
}
