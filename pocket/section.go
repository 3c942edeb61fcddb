package pocket

import (
	"fmt"
	"math"
	"slices"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Section is a cut through frame, drape and skin at one height of the ear, seen
// from above at a left ear: x and the height over the bed, mm.
type Section struct {
	Label   string
	Y       float64   // where it is cut, mm on the sheet
	Units   []UnitCut // in the plan's order
	Rolls   [][]mgl64.Vec2
	Deep    []mgl64.Vec2 // the skin's deep surface, from low x to high x
	Outside []mgl64.Vec2 // the skin's outer surface
	Edge    [2]float64   // where the pocket begins and ends
}

// UnitCut is a unit in a section.
type UnitCut struct {
	Unit  *units.Unit
	Rings [][]mgl64.Vec2
}

const (
	sliceStep     = 0.1 // mm, between samples of a section
	sliceSurround = 4.0 // mm of skin shown beyond the pocket's edge
)

// Sections returns cuts at shares of the framework's length, 0 at its superior
// end and 1 at its inferior one.
func (r *Result) Sections(shares ...float64) []Section {
	top := r.places.Centre[1] + r.places.HalfSize[1]
	length := 2 * r.places.HalfSize[1]
	var sections []Section
	for _, share := range shares {
		down := share * length
		sections = append(sections, r.section(top-down, fmt.Sprintf("%.0f mm below the frame's upper end", down)))
	}
	return sections
}

func (r *Result) section(y float64, label string) Section {
	s := Section{Label: label, Y: y}
	for _, solid := range r.solids {
		rings := slice(solid.Field, y, sliceStep)
		for _, ring := range rings {
			for i := range ring {
				ring[i][1] -= r.Depth.Bed
			}
		}
		if len(rings) > 0 {
			s.Units = append(s.Units, UnitCut{solid.Unit, rings})
		}
	}
	lo, hi := r.edge.Bounds()
	from, to := r.withinPocket(mgl64.Vec2{lo[0], y}, mgl64.Vec2{hi[0], y})
	s.Edge = [2]float64{from[0], to[0]}
	for n, pressed := range r.Drape.Pressed() {
		s.Rolls = append(s.Rolls, rollCut(pressed.Axis, r.bolsters[n].Diameter/2, y)...)
	}
	outside := r.outside()
	parts := int(math.Ceil((to[0] - from[0] + 2*sliceSurround) / sliceStep))
	for n := range parts + 1 {
		x := from[0] - sliceSurround + float64(n)*sliceStep
		p := mgl64.Vec2{x, y}
		s.Deep = append(s.Deep, mgl64.Vec2{x, r.Drape.Height(p)})
		s.Outside = append(s.Outside, mgl64.Vec2{x, outside.Height(p)})
	}
	return s
}

// rollCut returns what a section at y shows of a roll about an axis: the outlines of
// its balls taken together.
func rollCut(axis []mgl64.Vec3, radius, y float64) [][]mgl64.Vec2 {
	var balls []mgl64.Vec3 // x, height, half the width of their cuts
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range axis {
		if left := radius*radius - (p[1]-y)*(p[1]-y); left > 0 {
			half := math.Sqrt(left)
			balls = append(balls, mgl64.Vec3{p[0], p[2], half})
			lo, hi = min(lo, p[0]-half), max(hi, p[0]+half)
		}
	}
	if len(balls) == 0 {
		return nil
	}
	var rings [][]mgl64.Vec2
	var upper, lower []mgl64.Vec2
	parts := math.Ceil((hi-lo)/sliceStep) + 1
	for n := 0.0; n <= parts+1; n++ {
		x := lo + n/parts*(hi-lo) // the last lies beyond
		top, bottom := math.Inf(-1), math.Inf(1)
		for _, b := range balls {
			if off := math.Abs(x - b[0]); off <= b[2]*(1+1e-9) {
				half := math.Sqrt(max(b[2]*b[2]-off*off, 0))
				top, bottom = max(top, b[1]+half), min(bottom, b[1]-half)
			}
		}
		if top >= bottom {
			upper, lower = append(upper, mgl64.Vec2{x, top}), append(lower, mgl64.Vec2{x, bottom})
			continue
		}
		if len(upper) > 1 {
			slices.Reverse(upper)
			rings = append(rings, append(lower, upper...))
		}
		upper, lower = nil, nil
	}
	return rings
}
