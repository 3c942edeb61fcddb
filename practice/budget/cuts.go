package budget

import (
	"cmp"
	"math"
	"slices"

	"earframe/internal/workers"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// cutting is one way to cut an outline in two, by one line or, of a ring, two.
type cutting struct {
	parts  []template.Outline // both sides of it
	shapes []*shape           // of them
	cuts   [][]mgl64.Vec2
	cost   float64 // its length, dearer through notches and recesses
}

// What makes a cut dearer, as a factor on what of it lies there: a cut through a
// notch leaves the neighbour's seat in two, one through a recess shows; a stepped
// one takes longer (our choice, no source).
const (
	notchCost  = 3.0
	recessCost = 1.5
	steppedBy  = 1.2
)

// leastPart is the least share of the area that a part has: less is a crumb to be
// wired.
const leastPart = 0.12

// cuttings returns the cheapest of the ways to cut an outline of the unit in two, most
// of them at the most.
func (c *checker) cuttings(u *units.Unit, s *shape, most int) ([]cutting, error) {
	if kept, made := c.cuts[s]; made {
		return kept, nil
	}
	grounds := c.groundsOf(u)
	ways := c.waysAcross(s)
	all := make([]cutting, len(ways)) // without parts where a way is none
	err := workers.Each(c.ctx, "cuts of units", len(ways), func(i int) error {
		parts, stretches, err := s.outline.Cut(ways[i].lines, 0)
		if err != nil || len(parts) != 2 || min(parts[0].Area(), parts[1].Area()) < leastPart*s.outline.Area() {
			return nil
		}
		all[i].parts, all[i].cuts = parts, stretches
		for _, stretch := range stretches {
			all[i].cost += ways[i].dearer * grounds.cost(stretch)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b cutting) int { return cmp.Compare(a.cost, b.cost) })
	var kept []cutting
	for _, k := range all {
		if len(k.parts) == 0 || len(kept) == most {
			continue
		}
		if k.shapes, err = shapesOf(k.parts); err == nil {
			kept = append(kept, k)
		}
	}
	if c.cuts == nil {
		c.cuts = map[*shape][]cutting{}
	}
	c.cuts[s] = kept
	return kept, nil
}

// across is lines that may cut an outline in two, and how much dearer they are.
type across struct {
	lines  [][]mgl64.Vec2
	dearer float64
}

// waysAcross returns straight and stepped lines through the outline, and those over its
// narrow bars.
func (c *checker) waysAcross(s *shape) []across {
	var ways []across
	try := func(dearer float64, lines ...[]mgl64.Vec2) { ways = append(ways, across{lines, dearer}) }
	for _, slant := range []float64{math.Pi / 2, 0, math.Pi / 4, -math.Pi / 4} {
		for _, share := range cutShares {
			straight := s.cutLine(s.axis+slant, share)
			try(1, straight)
			for _, step := range []float64{cutStep, -cutStep} {
				try(steppedBy, stepped(s, straight, step))
			}
		}
		for _, share := range c.filling(s, s.axis+slant) {
			try(1, s.cutLine(s.axis+slant, share))
		}
	}
	bars := narrowBars(s)
	for i, bar := range bars {
		if len(s.outline.Holes) == 0 {
			try(1, bar)
			continue
		}
		for _, other := range bars[:i] {
			try(1, bar, other)
		}
	}
	return ways
}

// cutShares is where a unit is cut, as shares of its extent across the cut; cutStep
// how far, mm, the halves of a stepped cut lie apart.
var cutShares = []float64{0.5, 0.4, 0.6, 0.3, 0.7}

const cutStep = 4.0

// filling returns where a cut along a direction, radians, leaves a part that is just as
// long or as broad as what one of the stocks offers, as shares of the extent across it.
func (c *checker) filling(s *shape, direction float64) []float64 {
	low, high := s.extent(direction)
	var shares []float64
	for _, p := range c.table.pieces {
		if p.further {
			continue
		}
		broad := cmp.Or(p.stock.Height, p.shape.breadth)
		for _, room := range []float64{p.stock.length(), broad} {
			if share := (room - 2*c.table.margin - fillingSpare) / (high - low); share > 0 && share < 1 {
				shares = append(shares, share, 1-share)
			}
		}
	}
	return shares
}

// fillingSpare is what such a part leaves, mm.
const fillingSpare = 0.2

// extent returns how far the outline goes to the left of a direction, radians: from low
// to high, mm.
func (s *shape) extent(direction float64) (low, high float64) {
	sin, cos := math.Sincos(direction)
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range s.outline.Outer {
		left := p.Dot(mgl64.Vec2{-sin, cos})
		low, high = math.Min(low, left), math.Max(high, left)
	}
	return low, high
}

// cutLine returns a line along a direction, radians, through all of the outline,
// that has the share of its extent on its right.
func (s *shape) cutLine(direction, share float64) []mgl64.Vec2 {
	sin, cos := math.Sincos(direction)
	along, across := mgl64.Vec2{cos, sin}, mgl64.Vec2{-sin, cos}
	low, high := s.extent(direction)
	through := across.Mul(low + share*(high-low)).Add(along.Mul(s.centre.Dot(along)))
	reach := along.Mul(2 * s.reach)
	return []mgl64.Vec2{through.Sub(reach), through.Add(reach)}
}

// stepped returns the line with a step to the left in the middle of what of the
// outline it crosses.
func stepped(s *shape, line []mgl64.Vec2, step float64) []mgl64.Vec2 {
	_, stretches, err := s.outline.Cut([][]mgl64.Vec2{line}, 0)
	if err != nil || len(stretches) == 0 {
		return line
	}
	last := stretches[len(stretches)-1]
	at := stretches[0][0].Add(last[len(last)-1]).Mul(0.5)
	along := line[1].Sub(line[0]).Normalize()
	aside := mgl64.Vec2{-along[1], along[0]}.Mul(step / 2)
	return []mgl64.Vec2{line[0].Sub(aside), at.Sub(aside), at.Add(aside), line[1].Add(aside)}
}

// Bars are looked for from every barStep mm of the outline; two of them are barApart
// mm apart at least, and a line over one is drawn barBeyond mm beyond its edges.
const (
	barStep   = 1.0
	barApart  = 5.0
	barBeyond = 0.2
	mostBars  = 14
)

// narrowBars returns lines straight across the outline where it is narrow, the
// narrowest first.
func narrowBars(s *shape) [][]mgl64.Vec2 {
	type bar struct {
		from, to mgl64.Vec2
		width    float64
	}
	var all []bar
	for _, e := range s.edges {
		along := e.to.Sub(e.from)
		inward := mgl64.Vec2{-along[1], along[0]}.Normalize()
		for n, k := max(1, int(e.length/barStep)), 0; k < n; k++ {
			from := e.from.Add(along.Mul((float64(k) + 0.5) / float64(n)))
			if width := s.across(from, inward); width < s.breadth {
				all = append(all, bar{from, from.Add(inward.Mul(width)), width})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b bar) int { return cmp.Compare(a.width, b.width) })
	var kept []bar
	var lines [][]mgl64.Vec2
	for _, b := range all {
		middle := b.from.Add(b.to).Mul(0.5)
		near := func(o bar) bool { return o.from.Add(o.to).Mul(0.5).Sub(middle).Len() < barApart }
		if slices.ContainsFunc(kept, near) {
			continue
		}
		if kept = append(kept, b); len(kept) > mostBars {
			break
		}
		beyond := b.to.Sub(b.from).Mul(barBeyond / b.width)
		lines = append(lines, []mgl64.Vec2{b.from.Sub(beyond).Add(s.centre), b.to.Add(beyond).Add(s.centre)})
	}
	return lines
}

// across returns how far it is from a point on the edge, about the centre, across
// the shape to its edge.
func (s *shape) across(from, inward mgl64.Vec2) float64 {
	least := math.Inf(1)
	for _, e := range s.edges {
		way, to := e.to.Sub(e.from), e.from.Sub(from)
		area := inward[0]*way[1] - inward[1]*way[0]
		if area == 0 {
			continue
		}
		width := (to[0]*way[1] - to[1]*way[0]) / area
		share := (to[0]*inward[1] - to[1]*inward[0]) / area
		if share >= 0 && share <= 1 && width > roundingLength {
			least = math.Min(least, width)
		}
	}
	return least
}
