package budget

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units"
)

// grounds are where a cut of a unit is dear.
type grounds struct{ notches, recesses []ground }

// ground is an outline with the box that holds all within groundBeside of it.
type ground struct {
	outline template.Ring
	lo, hi  mgl64.Vec2
}

func groundsFrom(outlines []template.Outline) []ground {
	all := make([]ground, len(outlines))
	beside := mgl64.Vec2{groundBeside, groundBeside}
	for i, o := range outlines {
		lo, hi := o.Bounds()
		all[i] = ground{o.Outer, lo.Sub(beside), hi.Add(beside)}
	}
	return all
}

// holds reports whether the point is in the outline or within groundBeside of it.
func (g ground) holds(p mgl64.Vec2) bool {
	return p[0] >= g.lo[0] && p[1] >= g.lo[1] && p[0] <= g.hi[0] && p[1] <= g.hi[1] &&
		(g.outline.Contains(p) || g.outline.Near(p, groundBeside))
}

func (c *checker) groundsOf(u *units.Unit) grounds {
	var g grounds
	for _, name := range u.NotchFor {
		if other := c.plan.Unit(name); other != nil {
			g.notches = append(g.notches, groundsFrom(other.Outlines)...)
		}
	}
	for _, r := range u.Recesses {
		g.recesses = append(g.recesses, groundsFrom(r.Outlines)...)
	}
	return g
}

// A cut is asked what it goes through every groundStep mm; a notch or recess begins
// groundBeside mm beside its outline, so that no thin wall is left along it.
const (
	groundStep   = 0.5
	groundBeside = 1.0
)

// cost returns the length of a cut, dearer where it goes through a notch or recess.
func (g grounds) cost(line []mgl64.Vec2) float64 {
	near := func(of []ground, p mgl64.Vec2) bool {
		return slices.ContainsFunc(of, func(g ground) bool { return g.holds(p) })
	}
	cost := 0.0
	for i := 1; i < len(line); i++ {
		way := line[i].Sub(line[i-1])
		n := math.Ceil(way.Len() / groundStep)
		for k := 0.0; k < n; k++ {
			factor := 1.0
			switch p := line[i-1].Add(way.Mul((k + 0.5) / n)); {
			case near(g.notches, p):
				factor = notchCost
			case near(g.recesses, p):
				factor = recessCost
			}
			cost += factor * way.Len() / n
		}
	}
	return cost
}
