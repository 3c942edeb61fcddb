package centreline_test

import (
	"fmt"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units/centreline"
)

// The developed length of a strip says how long a rib must be.
func ExampleNew() {
	strip := template.Outline{ID: "helix", Outer: template.Ring{{0, 0}, {40, 0}, {40, 5}, {0, 5}}}
	line, err := centreline.New(strip)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f mm long, %.1f mm wide, passes "+
		"%.0f\n", line.Length(), line.WidthAt(0.5), line.At(0.5).Sub(mgl64.Vec2{}))
	// Output: 40.0 mm long, 5.0 mm wide, passes [20 2]
}
