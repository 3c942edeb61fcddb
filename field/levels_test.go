package field

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A field made of others that forgot their level faces would have them fall
// between two samples by rounding alone.
func TestWhatIsMadeOfFieldsKeepsTheirLevelFaces(t *testing.T) {
	plate := func(under, thickness float64) Field {
		region, err := NewRegion([]mgl64.Vec2{{0, 0}, {9, 0}, {9, 5}, {0, 5}})
		require.NoError(t, err)
		f, err := NewPrism(Prism{Region: region, Underside: Level(under), Thickness: Level(thickness)})
		require.NoError(t, err)
		return f
	}
	a, b, ball := plate(1.25, 2), plate(4.5, 1), Ball(mgl64.Vec3{}, 3)
	for name, c := range map[string]struct {
		made Field
		want []float64
	}{
		"union":            {Union(a, ball, b), []float64{1.25, 3.25, 4.5, 5.5}},
		"union of one":     {Union(a), []float64{1.25, 3.25}},
		"difference":       {Difference(a, b), []float64{1.25, 3.25, 4.5, 5.5}},
		"from a round one": {Difference(ball, b), []float64{4.5, 5.5}},
		"intersection":     {Intersection(ball, a), []float64{1.25, 3.25}},
		"fillet":           {Blend(0.5, a, ball, b), []float64{1.25, 3.25, 4.5, 5.5}},
		"fillet of none":   {Blend(0, a, b), []float64{1.25, 3.25, 4.5, 5.5}},
		"offset of none":   {Offset(a, 0), []float64{1.25, 3.25}},
		"offset":           {Offset(a, 0.25), []float64{1, 1.5, 3, 3.5}},
		"one in another":   {Offset(Union(ball, Difference(a, ball)), 0.25), []float64{1, 1.5, 3, 3.5}},
	} {
		t.Run(name, func(t *testing.T) { assert.ElementsMatch(t, c.want, c.made.Levels()) })
	}
	assert.Empty(t, Union(ball, Torus(mgl64.Vec3{}, 5, 1)).Levels())
}

func TestLevelsAreTheCallersToChange(t *testing.T) {
	region, err := NewRegion([]mgl64.Vec2{{0, 0}, {9, 0}, {9, 5}, {0, 5}})
	require.NoError(t, err)
	f, err := NewPrism(Prism{Region: region, Underside: Level(1), Thickness: Level(2)})
	require.NoError(t, err)
	for _, made := range []Field{f, Union(f, f), Difference(f, f), Offset(f, 1)} {
		before := made.Levels()
		levels := made.Levels()
		levels[0] = 99
		_ = append(levels[:1], 98)
		assert.Equal(t, before, made.Levels())
	}
}
