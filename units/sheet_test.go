package units

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/strips"
	"earframe/template"
)

// testSheet is a plain stand-in for an ear, of ellipses and bent strips: a left
// ear whose tragus is anterior, at -x.
func testSheet() []template.Outline {
	ellipse := func(x, y, a, b float64) template.Ring {
		ring := make(template.Ring, 120)
		for i := range ring {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
			ring[i] = mgl64.Vec2{x + a*cos, y + b*sin}
		}
		return ring
	}
	named := func(part string, o template.Outline) template.Outline {
		o.ID, o.Part = part, part
		return o
	}
	hole := ellipse(-3, -3, 8, 12)
	slices.Reverse(hole)
	return []template.Outline{
		named("ear", template.Outline{Outer: ellipse(0, 0, 19, 30)}),
		named("base", template.Outline{Outer: ellipse(0, 0, 17, 28), Holes: []template.Ring{hole}}),
		named("helix", strips.Along(helixPath, strips.Even(4), 300)),
		named("antihelix", strips.Along(strips.Arc(8, 17, -1.2, 1.9), strips.Even(4), 120)),
		named("tragus", template.Outline{Outer: ellipse(-13, -5, 2, 5)}),
		named("concha", template.Outline{Outer: ellipse(-3, -3, 10.5, 14.5)}),
		named("scapha", strips.Along(strips.Arc(11.3, 20.5, -0.5, 1.3), strips.Even(1.6), 100)),
		named("fossa", template.Outline{Outer: ellipse(0, 20, 1.5, 1.5)}),
	}
}

// helixPath runs from the middle of the concha forward and up, round the rim
// and down to the tail.
func helixPath(t float64) mgl64.Vec2 {
	start, end := math.Pi*1.02, -0.85
	const crus = 0.2
	if t < crus {
		// A cubic from the concha into the rim, joined with the rim's direction.
		rim := strips.Arc(14, 25, start, end)
		p3 := rim(0)
		direction := rim(1e-4).Sub(p3).Normalize()
		u := t / crus
		return mgl64.Vec2{-2, -4}.Mul((1 - u) * (1 - u) * (1 - u)).
			Add(mgl64.Vec2{-8, -8}.Mul(3 * u * (1 - u) * (1 - u))).
			Add(p3.Sub(direction.Mul(6)).Mul(3 * u * u * (1 - u))).
			Add(p3.Mul(u * u * u))
	}
	return strips.Arc(14, 25, start, end)((t - crus) / (1 - crus))
}

// mirrored returns the outlines as the other ear.
func mirrored(outlines []template.Outline) []template.Outline {
	turn := func(r template.Ring) template.Ring {
		other := slices.Clone(r)
		slices.Reverse(other)
		for i := range other {
			other[i][0] = -other[i][0]
		}
		return other
	}
	var other []template.Outline
	for _, o := range outlines {
		o.Outer = turn(o.Outer)
		holes := o.Holes
		o.Holes = nil
		for _, hole := range holes {
			o.Holes = append(o.Holes, turn(hole))
		}
		other = append(other, o)
	}
	return other
}
