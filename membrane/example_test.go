package membrane_test

import (
	"context"
	"fmt"
	"math"

	"earframe/membrane"

	"github.com/go-gl/mathgl/mgl64"
)

// ball is a half ball that lies flat side down in the middle of the pocket.
type ball struct{ radius float64 }

func (b ball) Bounds() (lo, hi mgl64.Vec2) {
	return mgl64.Vec2{-b.radius, -b.radius}, mgl64.Vec2{b.radius, b.radius}
}

func (b ball) Heights(points []mgl64.Vec2, out []float64) {
	for k, p := range points {
		out[k] = math.Sqrt(max(b.radius*b.radius-p.LenSqr(), 0))
	}
}

// disc is a round pocket.
type disc struct{ radius float64 }

func (d disc) Bounds() (lo, hi mgl64.Vec2) {
	return mgl64.Vec2{-d.radius, -d.radius}, mgl64.Vec2{d.radius, d.radius}
}

func (d disc) Distance(p mgl64.Vec2) float64 { return p.Len() - d.radius }

// Skin laid without suction over a half ball of radius r in a round pocket of
// radius b: a cap of the ball, then a catenoid, the surface of least area that
// leaves the ball at a tangent and ends at the pocket's edge. With the ball left at
// the distance s from its middle the catenoid's waist is c = s²/r, and s is where
//
//	c·(arcosh(b/c) − arcosh(s/c)) = √(r² − s²)
func Example() {
	const r, b = 8, 24
	drape, err := membrane.Lay(context.Background(), membrane.Case{
		Frame: ball{r}, Pocket: disc{b}, BridgingRadius: math.Inf(1),
	}, membrane.Options{})
	if err != nil {
		panic(err)
	}

	rise := func(s float64) float64 { // of the catenoid, beyond the ball's height at s
		c := s * s / r
		return c*(math.Acosh(b/c)-math.Acosh(s/c)) - math.Sqrt(r*r-s*s)
	}
	low, high := 0.1, float64(r)
	for range 60 {
		if s := (low + high) / 2; rise(s) < 0 {
			low = s
		} else {
			high = s
		}
	}
	s := low
	c := s * s / r
	within := func(radius float64) float64 { // ∫ 2πr/√(1−c²/r²) dr
		return math.Pi * (radius*math.Sqrt(radius*radius-c*c) + c*c*math.Acosh(radius/c))
	}
	area := 2*math.Pi*r*(r-math.Sqrt(r*r-s*s)) + within(b) - within(s)

	fmt.Printf("peak %.2f mm\n", drape.PeakDepth().Height)
	fmt.Printf("skin %.0f mm², the closed form says %.0f mm²\n", drape.DrapeArea, area)
	fmt.Printf("demand %.3f, the closed form says %.3f\n", drape.SkinDemand(), area/(math.Pi*b*b))
	// Output:
	// peak 8.00 mm
	// skin 1894 mm², the closed form says 1894 mm²
	// demand 1.047, the closed form says 1.047
}
