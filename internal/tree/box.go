package tree

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Box is a box whose sides were rounded outwards to float32.
type Box struct{ Low, High [3]float32 }

// extent is a box with exact sides.
type extent struct{ low, high mgl64.Vec3 }

// noExtent is the one that changes no other when joined to it.
var noExtent = extent{
	low:  mgl64.Vec3{math.Inf(1), math.Inf(1), math.Inf(1)},
	high: mgl64.Vec3{math.Inf(-1), math.Inf(-1), math.Inf(-1)},
}

func (e *extent) join(o *extent) {
	for k := range 3 {
		e.low[k], e.high[k] = min(e.low[k], o.low[k]), max(e.high[k], o.high[k])
	}
}

func (e *extent) box() (b Box) {
	for k := range 3 {
		b.Low[k], b.High[k] = roundDown(e.low[k]), roundUp(e.high[k])
	}
	return b
}

// BoxOf returns the box of the vertices of some triangles.
func BoxOf(vertices []mgl64.Vec3, triangles [][3]int32, members []int32) Box {
	all := noExtent
	for _, i := range members {
		for _, v := range triangles[i] {
			all.join(&extent{vertices[v], vertices[v]})
		}
	}
	return all.box()
}

// Overlaps reports whether the closed boxes have a point in common.
func (b *Box) Overlaps(o *Box) bool {
	return b.Low[0] <= o.High[0] && o.Low[0] <= b.High[0] &&
		b.Low[1] <= o.High[1] && o.Low[1] <= b.High[1] &&
		b.Low[2] <= o.High[2] && o.Low[2] <= b.High[2]
}

func (b *Box) join(o *Box) {
	for k := range 3 {
		b.Low[k], b.High[k] = min(b.Low[k], o.Low[k]), max(b.High[k], o.High[k])
	}
}

func roundDown(x float64) float32 {
	y := float32(x)
	if float64(y) > x {
		y = math.Nextafter32(y, float32(math.Inf(-1)))
	}
	return y
}

func roundUp(x float64) float32 {
	y := float32(x)
	if float64(y) < x {
		y = math.Nextafter32(y, float32(math.Inf(1)))
	}
	return y
}
