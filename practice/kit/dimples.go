package kit

import (
	"fmt"
	"math"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// dimples is as many round pits in a unit's underside as its number in the order
// of assembly: what a print is marked with that has no room for a number.
type dimples struct {
	count    int
	depth    float64         // mm
	taken    []*field.Region // of the underside, where none may be
	inside   []*field.Region // the unit's outlines
	under    field.Surface
	margin   float64 // mm of flat underside around each
	diameter float64 // mm
	apart    float64 // mm, between centres
	centres  []mgl64.Vec2
}

// dimpleSizes are the pits' diameters tried, as multiples of the printer's
// narrowest engraved line.
var dimpleSizes = []float64{2.4, 2, 1.6, 1.3, 1}

const (
	dimpleMargin = 0.4  // mm of flat underside around a pit
	dimpleGrid   = 0.25 // mm, between places tried
	dimpleTurn   = 15   // degrees, between turns tried
	mostRows     = 3    // of pits: more are counted wrongly
	dimpleSides  = 32   // of the polygon that a pit is
	dimpleBelow  = 1.0  // mm that a pit's cutter reaches beneath the underside
	levelSlope   = 0.05 // up to which an underside is level
)

// dimple finds where as many pits as the count have room on the unit's
// underside, the largest pits first; nil if they have none. Pits are as far
// apart as they are wide, and the ridge between them is a wall that prints.
func dimple(u *units.Unit, count int, depth float64, taken []*field.Region, printer units.Printer) (*dimples, error) {
	if u.Thickness-depth < printer.Wall {
		return nil, nil
	}
	d := &dimples{count: count, depth: depth, taken: taken, margin: u.EdgeBottom + dimpleMargin}
	var err error
	if d.under, err = u.Underside(); err != nil {
		return nil, err
	}
	if d.inside, err = regionsOf(u); err != nil {
		return nil, err
	}
	for _, size := range dimpleSizes {
		d.diameter = size * printer.EngraveWidth
		d.apart = d.diameter + math.Max(d.diameter, printer.Wall)
		if d.place() {
			return d, nil
		}
	}
	return nil, nil
}

// place finds the rows of pits that keep the most distance from every edge.
func (d *dimples) place() bool {
	lo, hi := d.inside[0].Bounds()
	for _, r := range d.inside[1:] {
		l, h := r.Bounds()
		for k := range l {
			lo[k], hi[k] = math.Min(lo[k], l[k]), math.Max(hi[k], h[k])
		}
	}
	best := 0.0
	d.centres = nil
	for rows := 1; rows <= min(mostRows, d.count); rows++ {
		for degrees := 0; degrees < 180; degrees += dimpleTurn {
			pattern := d.pattern(rows, float64(degrees)*math.Pi/180)
			for x := lo[0]; x <= hi[0]; x += dimpleGrid {
				for y := lo[1]; y <= hi[1]; y += dimpleGrid {
					if free := d.freeAt(pattern, mgl64.Vec2{x, y}, best); free > best {
						best = free
						d.centres = moved(pattern, mgl64.Vec2{x, y})
					}
				}
			}
		}
	}
	return d.centres != nil
}

// pattern is rows of pits around the origin, turned; the last row may be short.
func (d *dimples) pattern(rows int, turn float64) []mgl64.Vec2 {
	columns := (d.count + rows - 1) / rows
	rotate := mgl64.Rotate2D(turn)
	var at []mgl64.Vec2
	for i := range d.count {
		p := mgl64.Vec2{float64(i%columns) - float64(columns-1)/2, float64(i/columns) - float64(rows-1)/2}
		at = append(at, rotate.Mul2x1(p.Mul(d.apart)))
	}
	return at
}

func moved(pattern []mgl64.Vec2, by mgl64.Vec2) []mgl64.Vec2 {
	var to []mgl64.Vec2
	for _, p := range pattern {
		to = append(to, p.Add(by))
	}
	return to
}

// freeAt returns by how much more than the margin the pits keep from every edge,
// or less as soon as that is not more than needed.
func (d *dimples) freeAt(pattern []mgl64.Vec2, by mgl64.Vec2, needed float64) float64 {
	least := math.Inf(1)
	for _, p := range pattern {
		p = p.Add(by)
		edge := -nearestOf(d.inside, p)
		for _, r := range d.taken {
			edge = min(edge, r.Distance(p))
		}
		if least = min(least, edge-d.diameter/2-d.margin); least <= needed {
			return least
		}
		if _, x, y := d.under.Height(p[0], p[1]); math.Hypot(x, y) > levelSlope {
			return 0
		}
	}
	return least
}

// solid returns the material that the pits take away.
func (d *dimples) solid() (field.Field, error) {
	var rings [][]mgl64.Vec2
	for _, c := range d.centres {
		ring := make([]mgl64.Vec2, dimpleSides)
		for i := range ring {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / dimpleSides)
			ring[i] = c.Add(mgl64.Vec2{cos, sin}.Mul(d.diameter / 2))
		}
		rings = append(rings, ring)
	}
	region, err := field.NewRegion(rings...)
	if err != nil {
		return nil, fmt.Errorf("dimples: %w", err)
	}
	pits, err := field.NewPrism(field.Prism{Region: region, Underside: shifted(d.under, -dimpleBelow),
		Thickness: field.Level(dimpleBelow + d.depth)})
	if err != nil {
		return nil, fmt.Errorf("dimples: %w", err)
	}
	return pits, nil
}

// text says what the pits are.
func (d *dimples) text() string {
	if d.count == 1 {
		return "1 dimple"
	}
	return fmt.Sprintf("%d dimples", d.count)
}
