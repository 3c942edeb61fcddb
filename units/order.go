package units

import (
	"cmp"
	"slices"
)

// InAssembly returns the units in the order in which they are carved and put
// together: base frame, helix, antihelix, tragus, conchal vault. Several units of
// one part go from the superior one downward, which for an antihelix in pieces
// is superior crus, inferior crus, body; pieces of one unit stay in their order.
func InAssembly(all []*Unit) []*Unit {
	ordered := slices.Clone(all)
	slices.SortStableFunc(ordered, func(a, b *Unit) int {
		return cmp.Or(cmp.Compare(a.Part.Order(), b.Part.Order()), cmp.Compare(b.middleHeight(), a.middleHeight()))
	})
	return ordered
}

// Of returns the unit that it is a piece of, or itself.
func (u *Unit) Of() *Unit {
	if u.Whole != nil {
		return u.Whole
	}
	return u
}

// middleHeight returns y of the middle of the whole unit's outlines, mm.
func (u *Unit) middleHeight() float64 {
	sum, count := 0.0, 0
	for _, o := range u.Of().Outlines {
		for _, p := range o.Outer {
			sum += p[1]
			count++
		}
	}
	return sum / float64(max(count, 1))
}
