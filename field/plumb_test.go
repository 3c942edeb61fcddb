package field

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// spansHold holds the spans at a place against the field's own sign at heights
// all along the line. Heights within slack of an end are left out.
func spansHold(t require.TestingT, f Field, spans []Span, x, y, slack float64) {
	for i, s := range spans {
		require.Less(t, s.Low, s.High)
		if i > 0 {
			require.Less(t, spans[i-1].High, s.Low)
		}
	}
	bounds := f.Bounds().Grow(0.5)
	const heights = 150
	for n := range heights + 1 {
		z := bounds.Min[2] + (bounds.Max[2]-bounds.Min[2])*float64(n)/heights
		inside, near := false, false
		for _, s := range spans {
			inside = inside || (z > s.Low && z < s.High)
			near = near || math.Min(math.Abs(z-s.Low), math.Abs(z-s.High)) < slack
		}
		d := distance(f, mgl64.Vec3{x, y, z})
		if near || math.Abs(d) < slack {
			continue
		}
		require.Equal(t, d < 0, inside, "at %g, %g, %g the field is %g, spans %v", x, y, z, d, spans)
	}
}

func TestSpansAreWhereTheFieldIsNegative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawField(t, 2)
		plumb := NewPlumb(f)
		// A walk of small and large steps, which tries what a plumb remembers.
		at := drawPoint(t, 8)
		for range 12 {
			at = at.Add(drawPoint(t, rapid.SampledFrom([]float64{0.05, 0.5, 4}).Draw(t, "stride")))
			// A sampled field may miss a part thinner than sampledPart.
			spansHold(t, f, plumb.Spans(at[0], at[1]), at[0], at[1], 2*sampledPart)
		}
	})
}

// A square plate 4 mm thick with a top edge of radius 1: one millimetre from its
// wall the top is level, at the wall it is one radius lower, and half way it lies
// on the circle.
func TestHeightsOnARoundedEdgeAreThoseOfTheCircle(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {10, 0}, {10, 10}, {0, 10}})
	require.NoError(t, err)
	plate, err := NewPrism(Prism{Region: region, Underside: Level(1), Thickness: Level(4), EdgeTop: 1})
	require.NoError(t, err)
	plumb := NewPlumb(plate)
	for _, c := range []struct{ x, top float64 }{
		{5, 5}, {1, 5}, {0.5, 4 + math.Sqrt(0.75)}, {1e-12, 4},
	} {
		spans := plumb.Spans(c.x, 5)
		require.Len(t, spans, 1)
		assert.Equal(t, 1.0, spans[0].Low)
		assert.InDelta(t, c.top, spans[0].High, 2e-6)
	}
	assert.Empty(t, plumb.Spans(-0.001, 5))

	// A groove 1 mm deep with walls at 45° is 0.25 mm deep 0.25 mm from its edge.
	groove, err := NewRegion([]mgl64.Vec2{{3, 2}, {7, 2}, {7, 8}, {3, 8}})
	require.NoError(t, err)
	cut, err := NewRecess(Recess{Region: groove, Top: Level(5), Depth: 1, Wall: math.Pi / 4})
	require.NoError(t, err)
	plumb = NewPlumb(Difference(plate, cut))
	assert.InDelta(t, 4.75, plumb.Spans(3.25, 5)[0].High, 1e-12)
	assert.InDelta(t, 4, plumb.Spans(5, 5)[0].High, 1e-12)
	// Another plate 1 mm above the first leaves a gap.
	above, err := NewPrism(Prism{Region: groove, Underside: Level(6), Thickness: Level(2)})
	require.NoError(t, err)
	assert.Equal(t, []Span{{1, 5}, {6, 8}}, NewPlumb(Union(plate, above)).Spans(5, 5))
}

func TestNothingIsMissedInAFieldWithoutAClosedForm(t *testing.T) {
	shell := Difference(Ball(mgl64.Vec3{}, 5), Ball(mgl64.Vec3{}, 4.9))
	for _, r := range []float64{0, 2, 4.5, 4.95} {
		spans := NewPlumb(shell).Spans(r, 0)
		outer, inner := math.Sqrt(25-r*r), math.Sqrt(math.Max(4.9*4.9-r*r, 0))
		want := []Span{{-outer, -inner}, {inner, outer}}
		if inner == 0 {
			want = []Span{{-outer, outer}}
		}
		require.Len(t, spans, len(want))
		for i := range want {
			assert.InDelta(t, want[i].Low, spans[i].Low, 2*sampledEnd)
			assert.InDelta(t, want[i].High, spans[i].High, 2*sampledEnd)
		}
	}
}

func TestAPlumbSaysWhetherItsAnswersAreInClosedForm(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {10, 0}, {10, 10}, {0, 10}})
	require.NoError(t, err)
	plate, err := NewPrism(Prism{Region: region, Underside: Level(1), Thickness: Level(4), EdgeTop: 1})
	require.NoError(t, err)
	groove, err := NewRecess(Recess{Region: region, Top: Level(5), Depth: 1})
	require.NoError(t, err)
	ball := Ball(mgl64.Vec3{1, 2, 3}, 2)
	for _, f := range []Field{
		plate, Offset(plate, 1), Difference(plate, groove), Union(plate, Difference(plate, groove)), Intersection(plate, groove),
	} {
		assert.True(t, NewPlumb(f).Exact(), "%T", f)
	}
	for _, f := range []Field{
		ball, Offset(plate, -0.1), Difference(plate, ball), Union(plate, ball), Intersection(ball, groove), Blend(1, plate, plate),
	} {
		assert.False(t, NewPlumb(f).Exact(), "%T", f)
	}
}
