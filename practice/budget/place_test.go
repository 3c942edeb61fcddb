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

// roomIn returns the room in a piece of the outline with that margin.
func roomIn(t require.TestingT, stock template.Outline, margin float64) *room {
	p, err := newPiece(bare(stock), 0)
	require.NoError(t, err)
	table := table{margin: margin}
	r, err := table.room(p, 1, nil)
	require.NoError(t, err)
	return r
}

// placeIn lays an outline in another with that margin.
func placeIn(t require.TestingT, unit, stock template.Outline, margin float64, q goal) answer {
	s, err := newShape(unit)
	require.NoError(t, err)
	found, err := place(context.Background(), s, roomIn(t, stock, margin), q)
	require.NoError(t, err)
	return found
}

// closely is how near a spare found is to the best one: the tolerance of the
// search and that of a spare along an edge.
const closely = spareTolerance + edgeTolerance

// meets asserts that the spare found is the best one.
func meets(t *testing.T, want float64, found answer, name string, args ...any) {
	t.Helper()
	all := append([]any{name}, args...)
	assert.InDelta(t, want, found.spare, closely, all...)
	assert.GreaterOrEqual(t, found.upper, want-1e-9, all...)
	assert.LessOrEqual(t, found.upper-found.spare, spareTolerance+1e-9, all...)
}

func TestASquareInASquareHasHalfTheDifferenceToSpare(t *testing.T) {
	for _, c := range []struct{ side, margin float64 }{{10, 0}, {10, 2}, {19, 0}, {20, 0}, {23, 1}} {
		want := (20 - c.side) / 2
		if want < 0 {
			want *= math.Sqrt2 // the corners stick out farther than the sides
		}
		meets(t, want-c.margin, placeIn(t, rectangle(c.side, c.side), rectangle(20, 20), c.margin, best()),
			"side %g, margin %g", c.side, c.margin)
	}
}

func TestACircleInAnEllipseHasWhatTheShortAxisLeaves(t *testing.T) {
	q := best()
	q.turns = [][2]float64{{0, 0}} // to a circle every turn is the same
	for _, r := range []float64{2, 4, 5.5} {
		meets(t, 5-r, placeIn(t, ellipse(r, r, 180), ellipse(9, 5, 360), 0, q), "radius %g", r)
	}
}

// The largest square in an equilateral triangle of side s has the side
// (2√3 - 3) s, one side on one of the triangle's (from memory). Kept c off the
// sides it is the largest in a triangle of side s - 2√3 c.
func TestASquareInATriangleStandsOnASide(t *testing.T) {
	const s = 30.0
	triangle := template.Outline{ID: "triangle", Outer: template.Ring{{0, 0}, {s, 0}, {s / 2, s * math.Sqrt(3) / 2}}}
	for _, side := range []float64{6, 10, 13.5} {
		want := (s - side/(2*math.Sqrt(3)-3)) / (2 * math.Sqrt(3))
		meets(t, want, placeIn(t, rectangle(side, side), triangle, 0, best()), "side %g", side)
	}
}

// A rectangle a × b in a square of side s, a > s, fits turned by 45 degrees if
// a + b <= s√2, and then with (s - (a + b)/√2) / 2 to spare.
func TestALongRectangleFitsASquareOnlyTurned(t *testing.T) {
	const s = 20.0
	for _, c := range []struct{ a, b float64 }{{22, 2}, {24, 4}, {26, 2}, {21, 7}, {26, 3}} {
		found := placeIn(t, rectangle(c.a, c.b), rectangle(s, s), 0, best())
		want := (s - (c.a+c.b)/math.Sqrt2) / 2
		if want >= 0 {
			meets(t, want, found, "%g × %g", c.a, c.b)
			assert.InDelta(t, 45, math.Abs(math.Mod(found.at.turn*180/math.Pi+360, 90)), 4,
				"%g × %g is turned by half a right angle", c.a, c.b)
		} else {
			assert.Negative(t, found.upper-spareTolerance, "%g × %g: its sides are together longer than the diagonal",
				c.a, c.b)
		}
		q := best()
		q.turns = [][2]float64{{0, 0}}
		along := placeIn(t, rectangle(c.a, c.b), rectangle(s, s), 0, q)
		assert.InDelta(t, (s-c.a)/2, along.spare, closely, "%g × %g along the sides", c.a, c.b)
	}
}

func TestASearchForAnyPlaceFindsOneOrProvesThatThereIsNone(t *testing.T) {
	q := decide()
	found := placeIn(t, rectangle(19.5, 8), rectangle(20, 20), 0, q)
	assert.GreaterOrEqual(t, found.spare, 0.0)
	found = placeIn(t, rectangle(23, 12), rectangle(20, 20), 0, q)
	assert.Negative(t, found.spare)
	assert.LessOrEqual(t, found.upper, 0.0, "none has room")
	assert.Less(t, found.boxes, decideBoxes, "proven before the search was given up")
}

func TestASearchEndsWhenItIsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s, err := newShape(rectangle(9, 4))
	require.NoError(t, err)
	_, err = place(ctx, s, roomIn(t, rectangle(20, 20), 0), best())
	assert.ErrorIs(t, err, context.Canceled)
}

func TestAUnitWithAHoleMayLieAroundAnother(t *testing.T) {
	ring := rectangle(20, 20)
	ring.Holes = []template.Ring{{{-6, -6}, {-6, 6}, {6, 6}, {6, -6}}}
	s, err := newShape(ring)
	require.NoError(t, err)
	r := roomIn(t, rectangle(22, 22), 0)
	o, err := newObstacle(rectangle(4, 4).Rings(), 0.5)
	require.NoError(t, err)
	r.taken = append(r.taken, o)
	found, err := place(context.Background(), s, r, best())
	require.NoError(t, err)
	assert.InDelta(t, 1, found.spare, closely, "the piece's edge is nearer than the block in the hole")
	whole, err := newShape(rectangle(20, 20))
	require.NoError(t, err)
	found, err = place(context.Background(), whole, r, best())
	require.NoError(t, err)
	assert.Less(t, found.upper, -1.0, "without the hole it lies on the block")
}
