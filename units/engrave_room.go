package units

import (
	"math"

	"earframe/field"
	"earframe/template"
	"earframe/units/lettering"

	"github.com/go-gl/mathgl/mgl64"
)

// freeUnderside returns where text can stand: inside the base frame's outline,
// not under the conchal vault, and where enough is left between it and a notch
// or recess above it.
func (p *Plan) freeUnderside(base *Unit) lettering.Space {
	least := p.Engrave.Depth + p.Printer.Wall
	var inside, taken []*field.Region
	add := func(to *[]*field.Region, u *Unit) {
		for _, o := range u.Outlines {
			if region, err := template.Region(o); err == nil {
				*to = append(*to, region)
			}
		}
	}
	add(&inside, base)
	for _, u := range p.Units {
		under, err := u.Underside()
		if u == base || err != nil {
			continue
		}
		lo, hi := u.bounds()
		if low, _ := under.Span(lo, hi); low-base.Rise.Height < least {
			if u.Rise.Profile == nil {
				add(&taken, u)
				continue
			}
			taken = append(taken, lowPart(u, under, base.Rise.Height+least)...)
		}
	}
	for _, r := range base.Recesses {
		if base.Thickness-r.Depth < least {
			add(&taken, &Unit{Outlines: r.Outlines})
		}
	}
	return lettering.Space{Inside: inside, Taken: taken, Edge: base.EdgeBottom}
}

// lowPart returns small squares over the places where a unit with a profile
// lies lower than the height.
func lowPart(u *Unit, under field.Surface, height float64) []*field.Region {
	region, err := template.Region(u.Outlines[0])
	if err != nil {
		return nil
	}
	return squaresWhere(region, func(p mgl64.Vec2) bool {
		z, _, _ := under.Height(p[0], p[1])
		return z < height
	})
}

// squaresWhere covers the places of a region that are picked with small squares.
func squaresWhere(region *field.Region, picked func(p mgl64.Vec2) bool) []*field.Region {
	var squares []*field.Region
	lo, hi := region.Bounds()
	const half = 0.5
	for x := lo[0]; x <= hi[0]; x += 2 * half {
		for y := lo[1]; y <= hi[1]; y += 2 * half {
			if p := (mgl64.Vec2{x, y}); region.Distance(p) > half || !picked(p) {
				continue
			}
			square, err := field.NewRegion([]mgl64.Vec2{
				{x - half, y - half}, {x + half, y - half}, {x + half, y + half}, {x - half, y + half}})
			if err == nil {
				squares = append(squares, square)
			}
		}
	}
	return squares
}

// bounds returns the lowest and highest coordinates of the unit's outlines.
func (u *Unit) bounds() (lo, hi mgl64.Vec2) {
	lo = mgl64.Vec2{math.Inf(1), math.Inf(1)}
	hi = lo.Mul(-1)
	for _, o := range u.Outlines {
		for _, p := range o.Outer {
			for k := range p {
				lo[k], hi[k] = math.Min(lo[k], p[k]), math.Max(hi[k], p[k])
			}
		}
	}
	return lo, hi
}
