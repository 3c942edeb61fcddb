package rib

import (
	"math"
	"math/rand/v2"
	"testing"

	"earframe/field"
	"earframe/internal/fieldtest"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// drawSize draws a rib of any size that the case file takes and a blank can be
// made to.
func drawSize(t *rapid.T) Size {
	return rapid.Custom(func(t *rapid.T) Size {
		return Size{
			Rib:         rapid.IntRange(6, 9).Draw(t, "rib"),
			Length:      rapid.Float64Range(10, 250).Draw(t, "length"),
			Height:      rapid.Float64Range(3, 60).Draw(t, "height"),
			Thickness:   rapid.Float64Range(2, 40).Draw(t, "thickness"),
			Radius:      15 * math.Pow(10000.0/15, rapid.Float64Range(0, 1).Draw(t, "radius")),
			Taper:       rapid.Float64Range(0.2, 1.5).Draw(t, "taper"),
			HeightTaper: rapid.Float64Range(0.2, 3).Draw(t, "height taper"),
		}
	}).Filter(func(s Size) bool {
		c := &chooser{plan: &units.Plan{}}
		c.check(s)
		return c.err() == nil
	}).Draw(t, "size")
}

// drawSweep draws the sweep of a rib, lying anywhere.
func drawSweep(t *rapid.T) *sweep {
	shape := shapeOf(drawSize(t))
	shape.axis = mgl64.Vec2{rapid.Float64Range(-20, 20).Draw(t, "x"), rapid.Float64Range(-20, 20).Draw(t, "y")}
	shape.level = rapid.Float64Range(-5, 5).Draw(t, "level")
	shape.start = rapid.Float64Range(-7, 7).Draw(t, "start")
	return newSweep(shape)
}

// drawNear draws a point near the sweep, or as near to its axis.
func drawNear(t *rapid.T, s *sweep, reach float64) mgl64.Vec3 {
	b := s.Bounds().Grow(reach)
	if s.radius < 200 && rapid.IntRange(0, 3).Draw(t, "at the axis") == 0 {
		b = field.Box{Min: s.axis.Vec3(s.level), Max: s.axis.Vec3(s.level)}.Grow(reach)
	}
	var p mgl64.Vec3
	for k := range p {
		p[k] = rapid.Float64Range(b.Min[k], b.Max[k]).Draw(t, "coordinate")
	}
	return p
}

func TestASweepKeepsItsWord(t *testing.T) {
	fieldtest.Hold(t,
		func(t *rapid.T) field.Field { return drawSweep(t) },
		func(t *rapid.T, f field.Field) mgl64.Vec3 { return drawNear(t, f.(*sweep), 10) })
}

// Outside, the distance of an untapered sweep is that of the nearest of many
// points in it: its sections, and those of its ends, point for point.
func TestUntaperedSweepIsExactDistance(t *testing.T) {
	for name, s := range map[string]Size{
		"blunt":           {Rib: 7, Length: 90, Height: 14, Thickness: 9, Radius: 40, Taper: 1, HeightTaper: 1},
		"with a tip":      {Rib: 8, Length: 90, Height: 14, Thickness: 9, Radius: 40, Taper: 1, HeightTaper: 1},
		"over a half":     {Rib: 7, Length: 90, Height: 10, Thickness: 12, Radius: 22, Taper: 1, HeightTaper: 1},
		"nearly straight": {Rib: 9, Length: 60, Height: 8, Thickness: 8, Radius: 10000, Taper: 1, HeightTaper: 1},
	} {
		t.Run(name, func(t *testing.T) {
			f := newSweep(shapeOf(s))
			surface := surfaceOf(f)
			box := f.Bounds().Grow(12)
			random := rand.New(rand.NewPCG(1, 2))
			outside := 0
			for outside < 60 {
				var p mgl64.Vec3
				for k := range p {
					p[k] = box.Min[k] + random.Float64()*(box.Max[k]-box.Min[k])
				}
				d := distanceAt(f, p)
				if d <= 0 {
					continue
				}
				outside++
				nearest := math.Inf(1)
				for _, q := range surface {
					nearest = math.Min(nearest, q.Sub(p).Len())
				}
				assert.LessOrEqual(t, d, nearest+1e-9, "%v", p)
				// Some point is at most 0.4 mm beside the nearest one, on a
				// surface that nowhere bends away faster than the rounded ends.
				assert.LessOrEqual(t, nearest, d+0.4*0.4/2*(1/d+1/f.edge), "%v", p)
			}
		})
	}
}

// surfaceOf returns points all over an untapered sweep, from its definition: a
// ball of the radius edge rolled over the core, a core that is ovals along the
// arc and, for a tip, an oval turned about its middle.
func surfaceOf(s *sweep) []mgl64.Vec3 {
	var points []mgl64.Vec3
	const around, along, turns = 120, 220, 16
	section := s.ends[0].oval
	ring := outlineOf(section, around)
	add := func(out, on mgl64.Vec2, u, w, beyond float64) {
		points = append(points, s.axis.Add(out.Mul(s.radius+u)).Add(on.Mul(beyond)).Vec3(s.level+w))
	}
	from := s.start + s.edge/s.radius
	for i := range along + 1 {
		angle := from + s.turn*float64(i)/along
		out := mgl64.Vec2{math.Cos(angle), math.Sin(angle)}
		for _, q := range ring {
			add(out, mgl64.Vec2{}, q[0], q[1], 0)
		}
	}
	for _, e := range s.ends {
		for j := range turns + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * float64(j) / turns)
			for _, q := range ring {
				if e.tip {
					add(e.out, e.on, q[0]*cos, q[1], math.Abs(q[0])*sin)
					continue
				}
				// The ball touches where its normal leans by the angle.
				_, normal := section.distance(q)
				core := q.Sub(normal.Mul(s.edge))
				rolled := core.Add(normal.Mul(s.edge * cos))
				add(e.out, e.on, rolled[0], rolled[1], s.edge*sin)
				for k := range turns { // the flat face
					inner := core.Mul(float64(k) / turns)
					add(e.out, e.on, inner[0], inner[1], s.edge)
				}
			}
		}
	}
	return points
}
