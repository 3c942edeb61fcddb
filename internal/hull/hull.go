package hull

import (
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Of returns the corners of the convex hull, counter-clockwise from the one that is
// lowest in x, and of those in y (Andrew, "Another efficient algorithm for convex
// hulls in two dimensions", Information Processing Letters 9, 1979). Points on a
// side are no corners. Of points on one line it is the two ends, of points at one
// place that place, of none nothing. The coordinates must be finite; points are
// taken as they are, so that turns smaller than the rounding of their differences
// may be missed. It costs n log n time; the points are left as they are.
func Of(points []mgl64.Vec2) []mgl64.Vec2 {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b mgl64.Vec2) int { return slices.Compare(a[:], b[:]) })
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	lower := chain(sorted)
	slices.Reverse(sorted)
	return append(lower, chain(sorted)...)
}

// chain returns the corners on the right-hand side of the way from the first of
// the sorted points to the last, without the last.
func chain(sorted []mgl64.Vec2) []mgl64.Vec2 {
	var corners []mgl64.Vec2
	for _, p := range sorted {
		for n := len(corners); n > 1 && !turnsLeft(corners[n-2], corners[n-1], p); n-- {
			corners = corners[:n-1]
		}
		corners = append(corners, p)
	}
	return corners[:len(corners)-1]
}

func turnsLeft(a, b, c mgl64.Vec2) bool {
	return (b[0]-a[0])*(c[1]-a[1])-(b[1]-a[1])*(c[0]-a[0]) > 0
}
