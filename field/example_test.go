package field_test

import (
	"fmt"
	"log"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// A bar 20 mm long, 10 mm wide and 3 mm thick, and a second one laid on it: the
// distance to what they are together, negative inside.
func Example() {
	bar := func(underside float64, corners ...mgl64.Vec2) field.Field {
		outline, err := field.NewRegion(corners)
		if err != nil {
			log.Fatal(err)
		}
		solid, err := field.NewPrism(field.Prism{Region: outline, Underside: field.Level(underside), Thickness: field.Level(3)})
		if err != nil {
			log.Fatal(err)
		}
		return solid
	}
	stack := field.Union(
		bar(0, mgl64.Vec2{0, 0}, mgl64.Vec2{20, 0}, mgl64.Vec2{20, 10}, mgl64.Vec2{0, 10}),
		bar(3, mgl64.Vec2{0, 0}, mgl64.Vec2{10, 0}, mgl64.Vec2{10, 10}, mgl64.Vec2{0, 10}),
	)
	points := []mgl64.Vec3{{15, 5, 1}, {15, 5, 5}, {-2, 5, 4}}
	distances := make([]float64, len(points))
	stack.Distances(points, distances)
	for i, p := range points {
		fmt.Printf("at %v: %+.1f mm\n", p, distances[i])
	}
	// Output:
	// at [15 5 1]: -1.0 mm
	// at [15 5 5]: +2.0 mm
	// at [-2 5 4]: +2.0 mm
}
