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
			o := over(t, 9, 0.15, v.skin, func(p mgl64.Vec2) float64 { return v.deep(across.Dot(p) - 0.037) })
			m, err := o.Solid(context.Background(), 30)
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

// over returns the outside of skin over heights that are known, as of a drape that
// rests on nothing.
func over(t *testing.T, half, step, thickness float64, height func(p mgl64.Vec2) float64) *Outside {
	t.Helper()
	g, u := surface(half, step, height)
	l := &lattice{step: g.Step, origin: g.Origin, columns: g.Columns, rows: g.Rows, lower: make([]float64, len(u))}
	for k := range l.lower {
		l.lower[k] = math.Inf(-1)
	}
	o, err := (&Drape{l: l, u: u}).Outside(context.Background(), thickness, 0.6, 0)
	require.NoError(t, err)
	return o
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

// Skin that clings to an upright wall has an upright outside, its thickness away:
// on a round plate a ring, whose normals point away from its axis. Read from the
// heights of a grid, it was fluted by 10°.
func TestOutsideOfAnUprightWallIsNotFluted(t *testing.T) {
	const radius, height, thickness = 11.3, 9.0, 2.0
	for _, bridging := range []float64{1, 2.2, 4} {
		d := onStep(t, Case{Frame: round(offLattice, radius, plateau(radius, height)), Pocket: roundPocket{offLattice, 26}},
			1/bridging, defaultStep)
		o, err := d.Outside(context.Background(), thickness, 0.6, 6)
		require.NoError(t, err)
		m, err := o.Solid(context.Background(), 2)
		require.NoError(t, err)
		require.True(t, mesh.Judge(m).Sound())
		area, turned, off, most := 0.0, 0.0, 0.0, 0.0
		for _, corners := range m.Triangles {
			a, b, c := m.Vertices[corners[0]], m.Vertices[corners[1]], m.Vertices[corners[2]]
			middle := a.Add(b).Add(c).Mul(1. / 3)
			out := middle.Vec2().Sub(offLattice)
			size := areaOf(a, b, c)
			normal := b.Sub(a).Cross(c.Sub(a)).Normalize()
			// The wall, and not so narrow that its normal is a matter of single precision.
			if math.Abs(normal[2]) > 0.1 || math.Abs(out.Len()-radius-thickness) > 1 || size < 0.05 {
				continue
			}
			turn := math.Acos(min(normal.Dot(out.Vec3(0).Normalize()), 1)) * 180 / math.Pi
			area += size
			off = max(off, math.Abs(out.Len()-radius-thickness))
			most = max(most, turn)
			if turn > 4 {
				turned += size
			}
		}
		t.Logf("R %g mm: %.0f mm² of wall, off by %.3f mm and turned by %.1f° at most, %.2f %% by more than "+
			"4°", bridging, area, off, most, 100*turned/area)
		assert.Greater(t, area, 0.9*2*math.Pi*(radius+thickness)*(height-max(bridging, thickness)))
		assert.Less(t, off, 0.05)
		assert.Less(t, turned, 0.03*area)
	}
}
