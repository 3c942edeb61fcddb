// Package fieldtest holds fields against what package field demands of them.
package fieldtest

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/field"
)

// rounding is more than is lost in a distance at these coordinates.
const rounding = 1e-9

// Hold draws fields, and points where they are to be looked at, and requires of each
// field: Range holds every value in a box; no slope is steeper than Lipschitz; the
// gradient is the slope of the distance; points in one batch, over one another or
// not, are as far as alone; the solid lies within Bounds.
func Hold(t *testing.T, draw func(*rapid.T) field.Field, point func(*rapid.T, field.Field) mgl64.Vec3) {
	t.Helper()
	for name, law := range map[string]func(*rapid.T, field.Field, func() mgl64.Vec3){
		"range": ranges, "steepness": steepness, "gradient": gradient, "batches": batches, "bounds": bounds,
	} {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			f := draw(t)
			law(t, f, func() mgl64.Vec3 { return point(t, f) })
		}))
	}
}

func distance(f field.Field, p mgl64.Vec3) float64 {
	var out [1]float64
	f.Distances([]mgl64.Vec3{p}, out[:])
	return out[0]
}

// within draws a point of a box.
func within(t *rapid.T, box field.Box) (p mgl64.Vec3) {
	for k := range p {
		p[k] = rapid.Float64Range(box.Min[k], box.Max[k]).Draw(t, "within")
	}
	return p
}

func ranges(t *rapid.T, f field.Field, point func() mgl64.Vec3) {
	low := point()
	size := math.Pow(10, rapid.Float64Range(-2, 1.3).Draw(t, "size"))
	box := field.Box{Min: low, Max: low.Add(mgl64.Vec3{size, size, size / 2})}
	lo, hi := f.Range(box)
	for range 30 {
		d := distance(f, within(t, box))
		require.GreaterOrEqual(t, d, lo-rounding)
		require.LessOrEqual(t, d, hi+rounding)
	}
}

func steepness(t *rapid.T, f field.Field, point func() mgl64.Vec3) {
	for range 30 {
		p := point()
		reach := math.Pow(10, rapid.Float64Range(-4, 1).Draw(t, "reach"))
		q := within(t, field.Box{Min: p, Max: p}.Grow(reach))
		require.LessOrEqual(t, math.Abs(distance(f, p)-distance(f, q)), f.Lipschitz()*p.Sub(q).Len()+rounding)
	}
}

func gradient(t *rapid.T, f field.Field, point func() mgl64.Vec3) {
	const step, same = 1e-5, 1e-4
	p := point()
	var out [1]float64
	var slope [1]mgl64.Vec3
	f.Gradients([]mgl64.Vec3{p}, out[:], slope[:])
	require.InDelta(t, distance(f, p), out[0], 1e-12)
	for k := range p {
		up, down := p, p
		up[k] += step
		down[k] -= step
		after, before := (distance(f, up)-out[0])/step, (out[0]-distance(f, down))/step
		if math.Abs(after-before) > same { // on a crease the slope has two values
			continue
		}
		require.InDelta(t, (after+before)/2, slope[0][k], same)
	}
}

func batches(t *rapid.T, f field.Field, point func() mgl64.Vec3) {
	points := make([]mgl64.Vec3, rapid.IntRange(1, 40).Draw(t, "points"))
	for i := range points {
		points[i] = point()
		if i > 0 && rapid.Bool().Draw(t, "above the last") {
			points[i][0], points[i][1] = points[i-1][0], points[i-1][1]
		}
	}
	out, again := make([]float64, len(points)), make([]float64, len(points))
	f.Distances(points, out)
	f.Gradients(points, again, make([]mgl64.Vec3, len(points)))
	for i, p := range points {
		require.InDelta(t, distance(f, p), out[i], 1e-12)
		require.InDelta(t, out[i], again[i], 1e-12)
	}
}

func bounds(t *rapid.T, f field.Field, point func() mgl64.Vec3) {
	held := f.Bounds().Grow(rounding)
	for range 30 {
		p := point()
		if distance(f, p) >= 0 {
			continue
		}
		for k := range p {
			require.GreaterOrEqual(t, p[k], held.Min[k])
			require.LessOrEqual(t, p[k], held.Max[k])
		}
	}
}
