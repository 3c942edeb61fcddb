package budget

import (
	"context"
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
)

// rectangle returns a rectangle about the origin, mm.
func rectangle(length, width float64) template.Outline {
	x, y := length/2, width/2
	return template.Outline{ID: "rectangle", Outer: template.Ring{{-x, -y}, {x, -y}, {x, y}, {-x, y}}}
}

// ellipse returns an ellipse about the origin as a polygon of n corners on it.
func ellipse(a, b float64, n int) template.Outline {
	ring := make(template.Ring, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = mgl64.Vec2{a * cos, b * sin}
	}
	return template.Outline{ID: "ellipse", Outer: ring}
}

// bare returns a piece of the outline that is thick enough for everything.
func bare(o template.Outline) Stock {
	return Stock{Name: "piece", Ribs: []int{8}, Outline: o, Thickness: 100}
}

// placeIn lays an outline in another with that margin.
func placeIn(t testing.TB, unit, stock template.Outline, margin float64, q quest) answer {
	t.Helper()
	s, err := newShape(unit)
	require.NoError(t, err)
	p, err := newPiece(bare(stock), 0)
	require.NoError(t, err)
	table := table{margin: margin}
	r, err := table.room(p, 1, nil)
	require.NoError(t, err)
	found, err := place(context.Background(), s, r, q)
	require.NoError(t, err)
	return found
}

func TestASquareInASquareHasHalfTheDifferenceToSpare(t *testing.T) {
	for _, c := range []struct{ side, margin float64 }{{10, 0}, {10, 2}, {19, 0}, {20, 0}, {23, 1}} {
		found := placeIn(t, rectangle(c.side, c.side), rectangle(20, 20), c.margin, best())
		want := (20 - c.side) / 2
		if want < 0 {
			want *= math.Sqrt2 // the corners stick out farther than the sides
		}
		want -= c.margin
		assert.InDelta(t, want, found.spare, spareTolerance+edgeTolerance, "side %g, margin %g", c.side, c.margin)
		assert.GreaterOrEqual(t, found.upper, want-1e-9)
	}
}
