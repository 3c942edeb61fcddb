package budget

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// piecing is a unit cut in pieces.
type piecing struct {
	items []item             // strips are laid out; all else lies where it belongs in the unit
	parts []template.Outline // where each item belongs in the unit
	cuts  [][]mgl64.Vec2     // from edge to edge
}

// partWidth in mm is how much wider than the unit the line of a cut across a strip
// is drawn on either side.
const partWidth = 0.5

// stripPieces returns the unit, a strip to be bent, cut at shares of its length.
func (c *checker) stripPieces(u *units.Unit, bend *Bend, shares []float64) (piecing, error) {
	var lines [][]mgl64.Vec2
	for _, f := range shares {
		const d = 0.005
		at := u.Centreline.At(f)
		along := u.Centreline.At(min(f+d, 1)).Sub(u.Centreline.At(max(f-d, 0))).Normalize()
		across := mgl64.Vec2{-along[1], along[0]}.Mul(u.Centreline.WidthAt(f)/2 + partWidth)
		lines = append(lines, []mgl64.Vec2{at.Sub(across), at.Add(across)})
	}
	return c.stripCut(u, bend, lines, partWidth)
}

// stripCut returns the strip cut along lines across it; without items if these
// leave another number of parts than each of them one more.
func (c *checker) stripCut(u *units.Unit, bend *Bend, lines [][]mgl64.Vec2, reach float64) (piecing, error) {
	parts, stretches, err := u.Outlines[0].Cut(lines, reach)
	if err != nil || len(parts) != len(lines)+1 {
		return piecing{}, nil // such a cut is none
	}
	ends := []float64{0, 1}
	for _, s := range stretches {
		f, _ := u.Centreline.Nearest(s[0].Add(s[len(s)-1]).Mul(0.5))
		ends = append(ends, f)
	}
	slices.Sort(ends)
	p := piecing{parts: parts, cuts: stretches}
	place := func(o template.Outline) float64 {
		f, _ := u.Centreline.Nearest(middle(o.Outer))
		return f
	}
	slices.SortStableFunc(p.parts, func(a, b template.Outline) int { return cmp.Compare(place(a), place(b)) })
	for i := 1; i < len(ends); i++ {
		words := fmt.Sprintf("piece %d of %d", i, len(ends)-1)
		strip, err := c.strip(u, bend, words, [2]float64{ends[i-1], ends[i]})
		if err != nil {
			return piecing{}, err
		}
		p.items = append(p.items, strip)
	}
	return p, nil
}

// A strip is cut at one of stripShares, or where the longest piece ends, or where
// it would have to be bent most; no part is shorter than leastShare.
const leastShare = 0.1

var stripShares = []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8}

// stripPiecings returns the ways tried to cut a strip in that many pieces, of two
// that at its tightest bend first: the part that is not bent round it need not be
// thinned for it.
func (c *checker) stripPiecings(u *units.Unit, offers []offer, bend *Bend, count int) ([]piecing, error) {
	var longest []float64
	for _, o := range offers {
		longest = append(longest, (o.piece.stock.length()-2*c.table.margin-bend.Reserve)/bend.Length)
	}
	most := slices.Max(longest)
	var sets [][]float64
	if count == 2 {
		for _, share := range append([]float64{bend.StrainAt, most, 1 - most}, stripShares...) {
			sets = append(sets, []float64{share})
		}
	} else {
		var even, full []float64
		for i := 1; i < count; i++ {
			even, full = append(even, float64(i)/float64(count)), append(full, float64(i)*most)
		}
		sets = append(sets, full, even)
	}
	var all []piecing
	for _, shares := range sets {
		before, fair := 0.0, true
		for _, f := range append(slices.Clone(shares), 1) {
			fair = fair && f-before >= leastShare
			before = f
		}
		if !fair {
			continue
		}
		p, err := c.stripPieces(u, bend, shares)
		if err != nil {
			return nil, err
		}
		if len(p.items) > 0 {
			all = append(all, p)
		}
	}
	return all, nil
}

// planePieces returns the unit as shapes cut out of it, the superior one first.
func (c *checker) planePieces(whole item, shapes []*shape, cuts [][]mgl64.Vec2) piecing {
	height := func(s *shape) float64 {
		lo, hi := s.outline.Bounds()
		return (lo[1] + hi[1]) / 2
	}
	shapes = slices.Clone(shapes)
	slices.SortStableFunc(shapes, func(a, b *shape) int { return cmp.Compare(height(b), height(a)) })
	words := make([]string, len(shapes))
	if len(shapes) == 2 {
		two := c.sides(shapes[0].outline.Outer, shapes[1].outline.Outer)
		words = two[:]
	}
	p := piecing{cuts: cuts}
	for k, s := range shapes {
		i := whole
		if i.part = words[k]; i.part == "" {
			i.part = fmt.Sprintf("piece %d of %d", k+1, len(shapes))
		}
		i.shape = s
		p.items, p.parts = append(p.items, i), append(p.parts, s.outline)
	}
	return p
}

// sides names two parts of a unit by how they lie in the ear.
func (c *checker) sides(a, b template.Ring) [2]string {
	to := middle(b).Sub(middle(a))
	if math.Abs(to[1]) >= math.Abs(to[0]) {
		if to[1] > 0 {
			return [2]string{"lower piece", "upper piece"}
		}
		return [2]string{"upper piece", "lower piece"}
	}
	if (to[0] > 0) == (c.plan.Side == units.Left) {
		return [2]string{"anterior piece", "posterior piece"}
	}
	return [2]string{"posterior piece", "anterior piece"}
}

// drawnPieces returns the unit cut as it is drawn.
func (c *checker) drawnPieces(u *units.Unit, whole item, bend *Bend) ([]piecing, error) {
	if bent(u) {
		p, err := c.stripCut(u, bend, u.Cuts, template.CutReach)
		if len(p.items) == 0 {
			return nil, err
		}
		return []piecing{p}, nil
	}
	parts, stretches, err := u.Outlines[0].Cut(u.Cuts, template.CutReach)
	if err != nil {
		return nil, fmt.Errorf("units[%s].pieces: %w", u.Name, err)
	}
	shapes, err := shapesOf(parts)
	return []piecing{c.planePieces(whole, shapes, stretches)}, err
}

func shapesOf(outlines []template.Outline) ([]*shape, error) {
	shapes := make([]*shape, len(outlines))
	for i, o := range outlines {
		var err error
		if shapes[i], err = newShape(o); err != nil {
			return nil, err
		}
	}
	return shapes, nil
}

func lengthOf(lines [][]mgl64.Vec2) float64 {
	length := 0.0
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			length += line[i].Sub(line[i-1]).Len()
		}
	}
	return length
}
