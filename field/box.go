package field

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Centre returns the middle of the box.
func (b Box) Centre() mgl64.Vec3 { return b.Min.Add(b.Max).Mul(0.5) }

// HalfDiagonal returns half the length of the box's space diagonal in mm.
func (b Box) HalfDiagonal() float64 { return b.Max.Sub(b.Min).Len() / 2 }

// Grow returns the box widened by r mm on every side; a negative r shrinks it.
func (b Box) Grow(r float64) Box {
	d := mgl64.Vec3{r, r, r}
	return Box{b.Min.Sub(d), b.Max.Add(d)}
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool {
	return b.Min[0] > b.Max[0] || b.Min[1] > b.Max[1] || b.Min[2] > b.Max[2]
}

// Join returns the smallest box that holds both.
func (b Box) Join(c Box) Box {
	for k := range b.Min {
		b.Min[k] = math.Min(b.Min[k], c.Min[k])
		b.Max[k] = math.Max(b.Max[k], c.Max[k])
	}
	return b
}

// boundsOf returns the smallest box that holds all points.
func boundsOf(points []mgl64.Vec3) Box {
	b := Box{points[0], points[0]}
	for _, p := range points[1:] {
		for k := range p {
			if p[k] < b.Min[k] {
				b.Min[k] = p[k]
			}
			if p[k] > b.Max[k] {
				b.Max[k] = p[k]
			}
		}
	}
	return b
}
