package budget

import (
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
			share float64
		}{{"first part", share}, {"last part", 1 - share}} {
			i, err := c.strip(u, half.share*bend.Length+bend.Reserve, bend.Width, half.name)
			if err != nil {
				return nil, err
			}
			parts.items = append(parts.items, i)
		}
		list = append(list, parts)
	}
	return list, nil
}
