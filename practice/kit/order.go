package kit

import (
	"slices"
	"sort"

	"earframe/assemble"
	"earframe/units"
)

// assembly returns the framework's pieces in the order in which they are put
// together: base frame, helix, antihelix, tragus, conchal vault. Several units
// of one part go from the superior one downward, which for an antihelix in
// pieces is superior crus, inferior crus, body.
func assembly(f *assemble.Framework) []*assemble.Piece {
	var pieces []*assemble.Piece
	for i := range f.Pieces {
		pieces = append(pieces, &f.Pieces[i])
	}
	parts := units.Parts()
	sort.SliceStable(pieces, func(a, b int) bool {
		p, q := pieces[a].Unit, pieces[b].Unit
		if x, y := slices.Index(parts, p.Part), slices.Index(parts, q.Part); x != y {
			return x < y
		}
		return middleHeight(p) > middleHeight(q)
	})
	return pieces
}

// middleHeight returns y of the middle of a unit's outlines, mm.
func middleHeight(u *units.Unit) float64 {
	sum, count := 0.0, 0
	for _, o := range u.Outlines {
		for _, p := range o.Outer {
			sum += p[1]
			count++
		}
	}
	return sum / float64(max(count, 1))
}

// givesWay reports whether the first of two pieces, which comes before the
// second in the order of assembly, is the one that room is taken from: it is
// unless only the second has a notch for it.
func givesWay(earlier, later *units.Unit) bool {
	return !slices.Contains(later.NotchFor, earlier.Name) || slices.Contains(earlier.NotchFor, later.Name)
}
