package rib

import (
	"errors"
	"fmt"
	"math"

	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Size is what is known or taken of one rib cartilage. Lengths are mm.
type Size struct {
	Rib         int     // 6 to 9
	Length      float64 // along the middle line, from end to end
	Height      float64 // across, at the rib's end
	Thickness   float64 // front to back, at the rib's end
	Radius      float64 // of the middle line, seen from the front
	Taper       float64 // thickness at the sternal end over that at the rib's end
	HeightTaper float64 // height at the sternal end over that at the rib's end
}

// Joint is the synchondrosis of ribs 6 and 7, mm.
type Joint struct {
	Width     float64 // along the ribs, midway between them
	Height    float64 // of both ribs together, at its middle
	Thickness float64 // front to back, midway between them
}

// Fault is a measurement that no cartilage can be made to.
type Fault struct {
	Place   string // where it is given, such as case.yaml:12; empty if it is a default
	Path    string // its key, such as cartilage.ribs[8].radius
	Problem string // what was found and what was expected
	Advice  string // what to do
}

// Error returns place: key: problem. Advice.
func (f *Fault) Error() string {
	text := f.Path + ": " + f.Problem + ". " + f.Advice
	if f.Place == "" {
		return text
	}
	return f.Place + ": " + text
}

// chooser takes what was measured, else the standard, and records which.
type chooser struct {
	plan   *units.Plan
	values []units.Value
	faults []error
}

// place returns where the case gives the value, "" if it does not.
func (c *chooser) place(path string) string {
	for _, v := range c.plan.Values {
		if v.Path == path && v.Origin == units.Given {
			return v.Note
		}
	}
	return ""
}

// choose returns the measured value, or the standard if that is 0.
func (c *chooser) choose(path, unit string, measured float64, otherwise standard) float64 {
	v := units.Value{Path: path, Value: otherwise.value, Unit: unit, Origin: otherwise.origin, Note: otherwise.note}
	if measured != 0 {
		v.Value, v.Origin, v.Note = measured, units.Given, c.place(path)
	}
	c.values = append(c.values, v)
	return v.Value.(float64)
}

func (c *chooser) fault(path, advice, problem string, numbers ...any) {
	c.faults = append(c.faults, &Fault{Place: c.place(path), Path: path, Problem: fmt.Sprintf(problem, numbers...),
		Advice: advice})
}

// err returns all faults, nil if there are none.
func (c *chooser) err() error { return errors.Join(c.faults...) }

// pathOf returns the key of a measure of a rib.
func pathOf(rib int, name string) string { return fmt.Sprintf("cartilage.ribs[%d].%s", rib, name) }

// measured returns what the case gives of the rib.
func (c *chooser) measured(rib int) units.RibMeasure {
	for _, m := range c.plan.Practice.Cartilage.Measured {
		if m.Rib == rib {
			return m
		}
	}
	return units.RibMeasure{Rib: rib}
}

// size returns the size of a rib and checks it.
func (c *chooser) size(rib int, s ribStandard) Size {
	m := c.measured(rib)
	if m.Height != 0 && rib < 8 {
		s.heightTaper = guessed(1, evenFace)
	}
	size := Size{
		Rib:         rib,
		Length:      c.choose(pathOf(rib, "length"), "mm", m.Length, s.length),
		Height:      c.choose(pathOf(rib, "height"), "mm", m.Height, s.height),
		Thickness:   c.choose(pathOf(rib, "thickness"), "mm", m.Thickness, s.thickness),
		Radius:      c.choose(pathOf(rib, "radius"), "mm", m.Radius, s.radius),
		Taper:       c.choose(pathOf(rib, "taper"), "", m.Taper, s.taper),
		HeightTaper: c.choose(pathOf(rib, "height_taper"), "", m.HeightTaper, s.heightTaper),
	}
	c.check(size)
	return size
}

// leastInside is the least radius of a rib's concave side as a share of half
// its height: from 0 on the section folds over itself, and just before it the
// field is too steep to be sampled.
const leastInside = 0.2

func (c *chooser) check(s Size) {
	broadest := math.Max(math.Max(1, s.HeightTaper)*s.Height, math.Max(1, s.Taper)*s.Thickness)
	if s.Length <= broadest {
		c.fault(pathOf(s.Rib, "length"), fmt.Sprintf("Give a length of more than %.1f mm, or a smaller height, "+
			"thickness or taper", broadest),
			"a length of %g mm is not more than the rib is broad, %.1f mm", s.Length, broadest)
		return
	}
	half := math.Max(1, s.HeightTaper) * s.Height / 2
	if least := half * (1 + leastInside); s.Radius < least {
		c.fault(pathOf(s.Rib, "radius"), fmt.Sprintf("Give a radius of at least %.1f mm, or a smaller height", least),
			"at a radius of %g mm a rib %.1f mm high folds over itself on its concave side", s.Radius, 2*half)
		return
	}
	if endGap(s) <= 0 {
		c.fault(pathOf(s.Rib, "length"), fmt.Sprintf("Give a length of at most %.0f mm at this radius, or a larger "+
			"radius", longest(s)),
			"%g mm along a radius of %g mm turn by %.0f degrees, so that the ends run into each "+
				"other", s.Length, s.Radius, s.Length/s.Radius*180/math.Pi)
	}
}

// endGap returns the distance in mm between the two ends of a rib, seen from the
// front: between the flat parts of their faces, or the middle of a tip, less
// what is round about them. It is not positive where the rib goes full circle.
func endGap(s Size) float64 {
	shape := shapeOf(s)
	last := shape.reach()
	turn := (s.Length - shape.edge - last) / s.Radius
	if turn >= 2*math.Pi {
		return 2*math.Pi - turn
	}
	flat := func(angle, half float64) [2]mgl64.Vec2 {
		out := mgl64.Vec2{math.Cos(angle), math.Sin(angle)}
		return [2]mgl64.Vec2{out.Mul(s.Radius - half), out.Mul(s.Radius + half)}
	}
	a, b := flat(0, s.Height/2-shape.edge), flat(turn, s.HeightTaper*s.Height/2-last)
	between := min(template.DistanceToEdge(a[0], b[0], b[1]), template.DistanceToEdge(a[1], b[0], b[1]),
		template.DistanceToEdge(b[0], a[0], a[1]), template.DistanceToEdge(b[1], a[0], a[1]))
	return between - shape.edge - last
}

// longest returns the greatest whole length in mm whose ends do not meet.
func longest(s Size) float64 {
	for s.Length = math.Floor(s.Length); s.Length > 0 && endGap(s) <= 0; {
		s.Length--
	}
	return s.Length
}

// shapeOf returns the sweep of a rib but for where it lies. Ribs 8 and 9 end in
// a free tip, 6 and 7 at the sternum.
func shapeOf(s Size) sweepShape {
	shape := sweepShape{
		radius: s.Radius, length: s.Length, across: s.Height, depth: s.Thickness,
		tapers: mgl64.Vec2{s.HeightTaper, s.Taper}, tip: s.Rib > 7,
	}
	first, last := shape.ovalOf(shape.scalesOf(0)).end, shape.ovalOf(shape.scalesOf(1)).end
	if shape.edge = blunting * first; !shape.tip {
		shape.edge = blunting * math.Min(first, last)
	}
	return shape
}
