package budget

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units"
)

// cutLine returns the line along a direction, radians, that has the share of the
// shape's extent on its right; in the outline's own coordinates.
func (s *shape) cutLine(direction, share float64) line {
	sin, cos := math.Sincos(direction)
	l := line{along: mgl64.Vec2{cos, sin}}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range s.outline.Outer {
		d := l.side(p)
		low, high = math.Min(low, d), math.Max(high, d)
	}
	l.through = mgl64.Vec2{-sin, cos}.Mul(low + share*(high-low))
	return l
}

// sides names two parts of a unit by how they lie in the ear.
func (c *checker) sides(a, b template.Ring) [2]string {
	to := middle(b).Sub(middle(a))
	if math.Abs(to[1]) >= math.Abs(to[0]) {
		if to[1] > 0 {
			return [2]string{"lower part", "upper part"}
		}
		return [2]string{"upper part", "lower part"}
	}
	if (to[0] > 0) == (c.plan.Side == units.Left) {
		return [2]string{"anterior part", "posterior part"}
	}
	return [2]string{"posterior part", "anterior part"}
}

// A strip is cut at one of stripShares, or where the longest piece ends, or where
// it would have to be bent most; neither part is shorter than leastShare.
const leastShare = 0.1

var stripShares = []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8}

// stripCuts returns the cuts tried of a strip, that at its tightest bend first:
// the part that is not bent round it need not be thinned for it.
func (c *checker) stripCuts(u *units.Unit, offers []offer, bend *Bend) ([]twoParts, error) {
	longest := 0.0
	for _, o := range offers {
		longest = math.Max(longest, o.piece.stock.length()-2*c.table.margin-bend.Reserve)
	}
	most := longest / bend.Length
	var list []twoParts
	for _, share := range append([]float64{bend.StrainAt, most, 1 - most}, stripShares...) {
		if !(share >= leastShare && share <= 1-leastShare) {
			continue
		}
		parts := twoParts{length: u.Centreline.WidthAt(share)}
		for _, half := range []struct {
			name  string
			share [2]float64
		}{{"first part", [2]float64{0, share}}, {"last part", [2]float64{share, 1}}} {
			i, err := c.strip(u, bend, half.name, half.share)
			if err != nil {
				return nil, err
			}
			parts.items = append(parts.items, i)
		}
		list = append(list, parts)
	}
	return list, nil
}

// cutInTwo tries a list of cuts and returns the best of them, none if the unit
// is in several outlines already.
func (c *checker) cutInTwo(way Way, u *units.Unit, items []item, offers []offer, bend *Bend) ([]tried, error) {
	if len(items) != 1 {
		return nil, nil
	}
	list, err := c.cutsOf(u, items[0], offers, bend)
	if err != nil {
		return nil, err
	}
	var best *tried
	var nearest []item
	for _, parts := range list {
		worst := math.Inf(-1)
		if best != nil {
			worst = best.Spare
		}
		l, err := c.table.lay(c.ctx, parts.items, offers, decide(), worst)
		if err != nil {
			return nil, err
		}
		a := c.attempt(way, l, 1, parts.length)
		if best == nil || a.Spare > best.Spare {
			best, nearest = &a, parts.items
		}
		if best.Works {
			break // the cuts are in the order of preference
		}
	}
	if best == nil {
		return nil, nil
	}
	if !best.Works && best.Spare > -nearly {
		l, err := c.table.lay(c.ctx, nearest, offers,
			goal{floor: math.Inf(-1), enough: math.Inf(1), boxes: nearlyBoxes}, math.Inf(-1))
		if err != nil {
			return nil, err
		}
		if a := c.attempt(way, l, 1, best.Length); a.Spare > best.Spare {
			best = &a
		}
	}
	return []tried{*best}, nil
}

// A cut that lacks less than nearly mm is looked at again, more closely.
const (
	nearly      = 0.75
	nearlyBoxes = 6000
)

// cutsOf returns the cuts tried of a unit.
func (c *checker) cutsOf(u *units.Unit, whole item, offers []offer, bend *Bend) ([]twoParts, error) {
	if bent(u) {
		return c.stripCuts(u, offers, bend)
	}
	if c.cuts == nil {
		c.cuts = map[*units.Unit][]twoParts{}
	}
	if list, made := c.cuts[u]; made {
		return list, nil
	}
	list, err := c.planeCuts(u, whole)
	c.cuts[u] = list
	return list, err
}

// twoParts is a unit cut in two.
type twoParts struct {
	items  []item
	length float64 // of the cut, mm
}

// planeCuts returns the cuts tried of a unit: straight ones across it, then
// along it, then slanting, each near the middle first.
func (c *checker) planeCuts(u *units.Unit, whole item) ([]twoParts, error) {
	var list []twoParts
	for _, slant := range []float64{math.Pi / 2, 0, math.Pi / 4, -math.Pi / 4} {
		for _, share := range cutShares {
			l := whole.shape.cutLine(whole.shape.axis+slant, share)
			left, right, length := cut(whole.shape.outline, l)
			if len(left) != 1 || len(right) != 1 {
				continue // it falls into more than two
			}
			parts := twoParts{length: length}
			names := c.sides(left[0].Outer, right[0].Outer)
			for k, half := range [...]int{0, 1} {
				o := left[0]
				if half == 1 {
					o = right[0]
				}
				i := whole
				i.part = names[k]
				var err error
				if i.shape, err = newShape(o); err != nil {
					return nil, fmt.Errorf("unit %s, %s part: %w", u.Name, i.part, err)
				}
				parts.items = append(parts.items, i)
			}
			list = append(list, parts)
		}
	}
	return list, nil
}

// cutShares is where a unit is cut, as shares of its extent across the cut.
var cutShares = []float64{0.5, 0.4, 0.6, 0.3, 0.7}
