package budget

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
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

// Strain returns the strain of the outer fibre of a straight bar of the width
// bent to the radius of its middle, a fraction: width / (2 radius) (pure bending,
// Gere and Goodno, Mechanics of Materials, chapter 5).
func Strain(width, radius float64) float64 { return width / (2 * radius) }

// ThinTo returns the greatest width of a straight bar, mm, that bends to the
// radius of its middle without passing the strain, a fraction.
func ThinTo(radius, strain float64) float64 { return 2 * radius * strain }

// bendOf returns how the unit is bent to its centreline and along its rise; nil
// if it has no centreline or is neither a strip to be bent nor follows a profile.
func bendOf(u *units.Unit, c units.Cartilage) (*Bend, error) {
	line := u.Centreline
	if line == nil || !bent(u) && u.Rise.Profile == nil {
		return nil, nil
	}
	b := &Bend{Length: line.Length(), Limit: c.StrainLimit * percent, RiseHeight: u.Thickness}
	if b.LeastRadius, b.LeastAt = line.LeastRadius(); math.IsInf(b.LeastRadius, 1) {
		b.LeastRadius = 0 // a straight strip
	}
	places := make([]mgl64.Vec2, bendPlaces+1)
	mean := 0.0
	for i := range places {
		f := float64(i) / bendPlaces
		places[i] = line.At(f)
		width := line.WidthAt(f)
		b.Width = math.Max(b.Width, width)
		mean += width / float64(len(places))
	}
	if bent(u) {
		b.Reserve = c.HelixReserve
		b.judge(places, mean, line.WidthAt)
	}
	return b, b.judgeRise(u, places)
}

// reachOf returns how many places to each side a bend is judged over: as far as
// the bar is wide, as centreline.Line.LeastRadius does.
func (b *Bend) reachOf(width float64) int {
	return min(max(2, int(math.Round(width/2/(b.Length/bendPlaces)))), bendPlaces/2)
}

// judge finds the greatest strain of the strip, place by place.
func (b *Bend) judge(places []mgl64.Vec2, mean float64, width func(float64) float64) {
	reach := b.reachOf(mean)
	for i := reach; i <= bendPlaces-reach; i++ {
		f := float64(i) / bendPlaces
		radius := centreline.BendRadius(places[i-reach : i+reach+1])
		strain := Strain(width(f), radius) * percent
		if strain > b.Strain {
			b.Strain, b.StrainAt, b.StrainWidth = strain, f, width(f)
			b.ThinTo = ThinTo(radius, b.Limit/percent)
		}
		if strain > b.Limit {
			b.Beyond += b.Length / bendPlaces
		}
	}
}

// judgeRise finds the greatest strain where the strip is bent up or down along
// its profile, and how thick a slab it takes to carve it without that.
func (b *Bend) judgeRise(u *units.Unit, places []mgl64.Vec2) error {
	if u.Rise.Profile == nil {
		return nil
	}
	underside, err := u.Underside()
	if err != nil {
		return fmt.Errorf("unit %s: %w", u.Name, err)
	}
	side := make([]mgl64.Vec2, len(places)) // seen from the side, straightened
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range places {
		z, _, _ := underside.Height(p[0], p[1])
		side[i] = mgl64.Vec2{b.Length * float64(i) / bendPlaces, z}
		low, high = math.Min(low, z), math.Max(high, z)
	}
	b.RiseHeight = u.Thickness + high - low
	reach := b.reachOf(u.Thickness)
	for i := reach; i <= bendPlaces-reach; i++ {
		radius := centreline.BendRadius(side[i-reach : i+reach+1])
		if strain := Strain(u.Thickness, radius) * percent; strain > b.Rise {
			b.Rise, b.RiseAt, b.RiseThin = strain, float64(i)/bendPlaces, ThinTo(radius, b.Limit/percent)
		}
	}
	return nil
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
