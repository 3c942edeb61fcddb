package budget

import (
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// convexHull returns the corners of the convex hull counter-clockwise (Andrew,
// "Another efficient algorithm for convex hulls in two dimensions", 1979).
func convexHull(points []mgl64.Vec2) []mgl64.Vec2 {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b mgl64.Vec2) int { return slices.Compare(a[:], b[:]) })
	half := func(points []mgl64.Vec2) []mgl64.Vec2 {
		var chain []mgl64.Vec2
		for _, p := range points {
			for len(chain) > 1 && !turnsLeft(chain[len(chain)-2], chain[len(chain)-1], p) {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		return chain[:len(chain)-1]
	}
	lower := half(sorted)
	slices.Reverse(sorted)
	return append(lower, half(sorted)...)
}

func turnsLeft(a, b, c mgl64.Vec2) bool {
	return (b[0]-a[0])*(c[1]-a[1])-(b[1]-a[1])*(c[0]-a[0]) > 0
}
