package sheet

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
	"earframe/units"
)

// cutAcross returns the conchal vault's nestings when it is cut in two along a level
// line, y in its own coordinates, its parts lying turned in two pieces.
func cutAcross(t testing.TB, in Input, y float64) []Nesting {
	t.Helper()
	var nestings []Nesting
	straight := template.Outline{Outer: template.Ring{{-90, -60}, {90, -60}, {90, 60}, {-90, 60}}}
	for i, half := range []struct {
		words    string
		lo, hi   float64
		turn     float64
		position mgl64.Vec2
	}{{"upper part", y, 100, 0.6, mgl64.Vec2{12, -5}}, {"lower part", -100, y, -1.1, mgl64.Vec2{-20, 7}}} {
		outer := clippedLevel(in.Plan.Unit("concha").Outlines[0].Outer, half.lo, half.hi)
		turn := mgl64.Rotate2D(half.turn)
		for k, p := range outer {
			outer[k] = turn.Mul2x1(p).Add(half.position)
		}
		nestings = append(nestings, Nesting{Name: []string{"a", "b"}[i], Stock: []template.Outline{straight},
			Placed: []Placed{{
				Name: "concha", Words: half.words, Outlines: []template.Outline{{Outer: outer}}, Turn: half.turn,
				At: half.position,
			}}})
	}
	return nestings
}

// clippedLevel cuts a ring to a level strip (Sutherland and Hodgman, "Reentrant
// polygon clipping", 1974).
func clippedLevel(ring template.Ring, lo, hi float64) template.Ring {
	for _, edge := range []struct{ level, side float64 }{{lo, 1}, {hi, -1}} {
		var kept template.Ring
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			da, db := (a[1]-edge.level)*edge.side, (b[1]-edge.level)*edge.side
			if da >= 0 {
				kept = append(kept, a)
			}
			if da*db < 0 {
				kept = append(kept, a.Add(b.Sub(a).Mul(da/(da-db))))
			}
		}
		ring = kept
	}
	return ring
}

func TestACutIsDrawnWhereItBelongsInTheUnit(t *testing.T) {
	in := demoInput(t, units.Left)
	vault := in.Plan.Unit("concha")
	lo, hi := vault.Outlines[0].Bounds()
	y := (lo[1] + hi[1]) / 2
	in.Nestings = cutAcross(t, in, y)
	l, err := newLayout(in)
	require.NoError(t, err)
	f, err := l.unitFigure(vault)
	require.NoError(t, err)
	length, arrows := 0.0, 0
	for _, p := range f.paths {
		for _, line := range p.lines {
			if p.pen == cutPen {
				for k := 1; k < len(line); k++ {
					assert.InDelta(t, y, line[k][1], 1e-6)
					length += line[k].Sub(line[k-1]).Len()
				}
			}
		}
		if p.pen == finePen {
			arrows++
		}
	}
	assert.Greater(t, length, 2*10.0, "across the vault, once for each part")
	assert.Equal(t, 2, arrows, "the grain of each part as it lies in its piece")
	assert.Contains(t, f.caption, "Cut as upper part and lower part, joined along the cut")

	parts := l.partsOf(vault)
	require.Len(t, parts, 2)
	for i, turn := range []float64{0.6, -1.1} {
		sin, cos := math.Sincos(-turn)
		assert.InDelta(t, 1, math.Abs(parts[i].grain.Dot(mgl64.Vec2{cos, sin})), 1e-3)
	}
	whole, err := newLayout(demoInput(t, units.Left))
	require.NoError(t, err)
	assert.False(t, whole.anyParts())
}
