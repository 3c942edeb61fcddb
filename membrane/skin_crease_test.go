package membrane

import (
	"context"
	"math"
	"testing"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// valley is where two surfaces meet in a straight line: what is known of its skin.
type valley struct {
	name     string
	deep     func(s float64) float64 // height so far from the line, mm
	skin     float64                 // thickness, mm
	at, z    float64                 // of the crease: how far from the line, and how high, mm
	turn     float64                 // of the outside's normals over the crease, radians
	flatness float64                 // by which a facet beside the crease may turn from it, radians
}

// planes are two that rise from a line with slopes a and b. Each is raised along
// its normal by the skin, so upward by t√(1 + slope²).
func planes(a, b, t float64) valley {
	raiseA, raiseB := t*math.Sqrt(1+a*a), t*math.Sqrt(1+b*b)
	at := (raiseB - raiseA) / (a + b)
	return valley{"planes", func(s float64) float64 { return max(a*s, -b*s) }, t, at, a*at + raiseA,
		math.Atan(a) + math.Atan(b), 0.01}
}

// cylinders are two of radii p and q that lie half sunk so far apart, on a floor;
// their skin's are of radii p + t and q + t about the same axes.
func cylinders(p, q, apart, t float64) valley {
	arc := func(radius, s float64) float64 { return math.Sqrt(max(radius*radius-s*s, 0)) }
	r, u := p+t, q+t
	at := (apart*apart + r*r - u*u) / (2 * apart) // from the first one's axis
	return valley{"cylinders", func(s float64) float64 { return max(arc(p, s), arc(q, s-apart)) }, t, at, arc(r, at),
		math.Asin(at/r) + math.Asin((apart-at)/u), 0.16}
}

// Beside a crease of two cylinders lies a chord of each: of 0.6 mm on a radius of 4,
// it turns by 4.3° from its end.
//
// Where the skin of two planes, or of two cylinders, meets itself is known in
// closed form, and how sharply. The lines run at odd angles to the grid.
func TestCreaseLiesWhereTheOffsetsMeet(t *testing.T) {
	for _, v := range []valley{planes(1, 1, 2), planes(0.2, 1.5, 2), planes(3, 2, 1), cylinders(2, 2, 6, 2),
		cylinders(3, 2, 6, 1.5), cylinders(4, 2.5, 8, 2)} {
		for _, degrees := range []float64{0, 17, 45, 80} {
			sin, cos := math.Sincos(degrees * math.Pi / 180)
			across := mgl64.Vec2{cos, sin}
			g, u := surface(9, 0.15, func(p mgl64.Vec2) float64 { return v.deep(across.Dot(p) - 0.037) })
			o, err := (&envelope{Grid: g, u: u, radius: v.skin}).outside(context.Background())
			require.NoError(t, err)
			m, err := o.Solid(context.Background(), 4, 30)
			require.NoError(t, err)
			verdict := mesh.Judge(m)
			require.NoError(t, verdict.Err())
			assert.True(t, verdict.Sound())
			length, off, rise, right := v.compare(m, across)
			t.Logf("%s at %g°: crease of %.1f mm, off by %.4f mm sideways, %.4f mm in height, %.1f %% with its turn",
				v.name, degrees, length, off, rise, 100*right)
			assert.Greater(t, length, 8.3, "all along the line")
			assert.Less(t, length, 9.1, "once")
			assert.Less(t, off, 0.005)
			assert.Less(t, rise, 0.008)
			assert.Greater(t, right, 0.93)
		}
	}
}

// compare finds the crease within 4.5 mm of the middle and tells its length, the
// most that it lies off sideways and in height, and the share of it that turns right.
func (v valley) compare(m *mesh.Mesh, across mgl64.Vec2) (length, off, rise, right float64) {
	left := map[[2]int32]mgl64.Vec3{}
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		normal := b.Sub(a).Cross(c.Sub(a)).Normalize()
		for k := range 3 {
			left[[2]int32{t[k], t[(k+1)%3]}] = normal
		}
	}
	along := mgl64.Vec2{-across[1], across[0]}
	for e, n := range left {
		a, b := m.Vertices[e[0]], m.Vertices[e[1]]
		o := left[[2]int32{e[1], e[0]}]
		from, to := along.Dot(a.Vec2()), along.Dot(b.Vec2())
		if e[0] > e[1] || min(a[2], b[2]) < 0 || n.Cross(o).Dot(b.Sub(a)) > 0 || n.Dot(o) > math.Cos(v.turn/2) ||
			math.Abs(across.Dot(a.Vec2())-v.at) > 0.5 {
			continue
		}
		inside := math.Abs(min(max(to, -4.5), 4.5) - min(max(from, -4.5), 4.5))
		if inside == 0 {
			continue
		}
		length += inside
		off = max(off, math.Abs(across.Dot(a.Vec2())-0.037-v.at))
		rise = max(rise, math.Abs(a[2]-v.z))
		if math.Abs(math.Acos(n.Dot(o))-v.turn) < v.flatness {
			right += inside
		}
	}
	return length, off, rise, right / length
}
