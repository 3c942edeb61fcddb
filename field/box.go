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

// BoxOf returns the smallest box that holds all points, one at least. Most points follow one
// another in columns, so x and y are looked at where they change.
func BoxOf(points []mgl64.Vec3) Box {
	lastX, lastY, low, high := points[0][0], points[0][1], points[0][2], points[0][2]
	lowX, lowY, highX, highY := lastX, lastY, lastX, lastY
	for i := range points {
		p := &points[i]
		if x, y := p[0], p[1]; x != lastX || y != lastY {
			lastX, lastY = x, y
			lowX, lowY, highX, highY = min(lowX, x), min(lowY, y), max(highX, x), max(highY, y)
		}
		if z := p[2]; z < low {
			low = z
		} else if z > high {
			high = z
		}
	}
	return Box{mgl64.Vec3{lowX, lowY, low}, mgl64.Vec3{highX, highY, high}}
}
