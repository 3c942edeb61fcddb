package budget

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"
)

// settleBend judges the unit's bend once more from how its strips lie in the end: a
// strip cut along a rib has that rib's curve already, and what it is bent by is the
// difference. Which of its ends comes first is chosen as a carver would, so that it
// is bent least.
func (c *checker) settleBend(d *done) error {
	if d.result.Bend == nil || !bent(d.unit) {
		return nil
	}
	w, err := newBow(d.unit, c.cartilage)
	if err != nil {
		return err
	}
	own, along := make([]float64, bendPlaces+1), false
	for _, l := range d.placed {
		if l.along {
			w.cut(own, l.laid)
			along = true
		}
	}
	b := w.bend(own, c.cartilage.HelixReserve)
	was := d.result.Bend
	b.Available, b.LengthSpare, b.Straight = was.Available, was.LengthSpare, was.Straight
	if along {
		b.Concave = w.concave(own)
	}
	if b.Stretched != "" {
		b.Perichondrium = b.Stretched.Other()
	}
	d.result.Bend = b
	return nil
}

// cut enters the curvature that a strip along a piece's middle line is cut with, the
// better way round.
//
// Near its ends the middle line of a piece's outline runs into their corners, which
// no carver follows: there the curve is taken to go on as it does a rib's width before.
func (w *bow) cut(own []float64, l laid) {
	line := l.line
	first, last := int(math.Ceil(l.share[0]*bendPlaces)), int(l.share[1]*bendPlaces)
	step := w.length / bendPlaces
	trim := (l.length - (l.share[1]-l.share[0])*w.length) / 2
	end := math.Min(line.WidthAt(0.5)+float64(w.reach)*step, line.Length()/2)
	along := func(i int) float64 { // the place in the piece
		place := l.from + trim + (float64(i)-l.share[0]*bendPlaces)*step
		return math.Max(end, math.Min(place, line.Length()-end))
	}
	ways := [2][]float64{make([]float64, len(own)), make([]float64, len(own))}
	var worst [2]float64
	points := make([]mgl64.Vec2, 2*w.reach+1)
	for i := first; i <= last; i++ {
		for k := range points {
			points[k] = line.At((along(i) + float64(k-w.reach)*step) / line.Length())
		}
		curve := centreline.Curvature(points)
		ways[0][i], ways[1][first+last-i] = curve, -curve
	}
	for k, way := range ways {
		for i := first; i <= last; i++ {
			worst[k] = math.Max(worst[k], Strain(w.width[i], w.change(way, i)))
		}
	}
	best := ways[0]
	if worst[1] < worst[0] {
		best = ways[1]
	}
	copy(own[first:last+1], best[first:last+1])
}

// concave returns the edge of the unit that a rib's concave border becomes.
func (w *bow) concave(own []float64) Edge {
	sum := 0.0
	for i := range own {
		sum += own[i] * w.round[i]
	}
	if sum < 0 {
		return OuterEdge
	}
	return InnerEdge
}

// straightStrip returns a straight strip as an outline about its middle.
func straightStrip(id string, length, width float64) template.Outline {
	x, y := length/2, width/2
	return template.Outline{ID: id, Part: string(units.Helix), Outer: template.Ring{{-x, -y}, {x, -y}, {x, y}, {-x, y}}}
}

// alongStrip returns a strip of the width along the line, from one length along
// it to another, in the line's own coordinates.
func alongStrip(id string, line *centreline.Line, from, to, width float64) template.Outline {
	n := int(math.Ceil((to-from)/stripSpacing)) + 1
	left, right := make(template.Ring, 0, 2*n), make(template.Ring, 0, n)
	for i := range n {
		f := (from + (to-from)*float64(i)/float64(n-1)) / line.Length()
		d := stripDirection / line.Length()
		along := line.At(f + d).Sub(line.At(f - d)).Normalize()
		across := mgl64.Vec2{-along[1], along[0]}.Mul(width / 2)
		left, right = append(left, line.At(f).Add(across)), append(right, line.At(f).Sub(across))
	}
	for i := len(left) - 1; i >= 0; i-- {
		right = append(right, left[i])
	}
	return template.Outline{ID: id, Part: string(units.Helix), Outer: right}
}

// A strip along a rib has a corner every stripSpacing mm; its direction is taken
// over stripDirection mm each way.
const (
	stripSpacing   = 1.0
	stripDirection = 1.0
)
