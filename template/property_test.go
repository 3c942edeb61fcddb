package template

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// leaf draws path data of a closed outline about 40 by 30 that does not cross
// itself, with curves and arcs.
func leaf(t *rapid.T) string {
	bulge := func(name string) float64 { return rapid.Float64Range(0, 9).Draw(t, name) }
	radius := rapid.Float64Range(20, 60).Draw(t, "radius")
	return fmt.Sprintf("M30 30 C %g %g 55 %g 70 30 A %g %g 20 0 1 72 55 q -20 %g -40 3 z",
		30+bulge("a"), 30-bulge("b"), 30-bulge("c"), radius, radius*1.3, bulge("d"))
}

func measuresOf(t require.TestingT, text string, options Options) (area, perimeter float64) {
	sheet, err := readText(text, options)
	require.NoError(t, err)
	for _, o := range sheet.Outlines {
		area += o.Area()
		perimeter += o.Perimeter()
	}
	return area, perimeter
}

// Area and perimeter do not change when a drawing is turned or moved, and grow
// as the square and the first power when it is scaled; under any affine map the
// area grows by its determinant.
func TestMeasuresFollowAffineMaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := leaf(t)
		angle := rapid.Float64Range(-180, 180).Draw(t, "angle")
		size := rapid.Float64Range(0.3, 3).Draw(t, "size")
		skew := rapid.Float64Range(-30, 30).Draw(t, "skew")
		const fine = 1e-4
		path := func(transform string) string {
			return inMillimetres(`<g transform="` + transform + `"><path id="ear" d="` + d + `"/></g>`)
		}
		area, perimeter := measuresOf(t, path(""), Options{Tolerance: fine})
		within := 4 * fine * perimeter * math.Max(1, size*size)

		turnedArea, turnedPerimeter := measuresOf(t, path(fmt.Sprintf("translate(13 -7) "+
			"rotate(%g)", angle)), Options{Tolerance: fine})
		assert.InDelta(t, area, turnedArea, within)
		assert.InEpsilon(t, perimeter, turnedPerimeter, 1e-4)

		scaledArea, scaledPerimeter := measuresOf(t, path(fmt.Sprintf("scale(%g)", size)), Options{Tolerance: fine})
		assert.InDelta(t, area*size*size, scaledArea, within)
		assert.InEpsilon(t, perimeter*size, scaledPerimeter, 1e-4)

		skewedArea, _ := measuresOf(t, path(fmt.Sprintf("skewX(%g) scale(%g 1)", skew, size)), Options{Tolerance: fine})
		assert.InDelta(t, area*size, skewedArea, 2*within)
	})
}

// The same drawing turned over twice is the same drawing.
func TestMirroredTwiceIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := leaf(t)
		plain, err := readText(inMillimetres(`<path id="ear" d="`+d+`"/>`), Options{})
		require.NoError(t, err)
		twice, err := readText(inMillimetres(`<g transform="translate(100 0) scale(-1 1)"><path id="ear" d="`+d+`"/></g>`), Options{Mirror: true})
		require.NoError(t, err)
		a, b := plain.Part("ear")[0], twice.Part("ear")[0]
		require.Len(t, b.Outer, len(a.Outer))
		for i, p := range a.Outer {
			assert.InDelta(t, 0, p.Sub(b.Outer[i]).Len(), 1e-9)
		}
	})
}

// A finer tolerance brings the polygon's area nearer to the curve's, and a
// tolerance is kept: a point halfway along any chord is within it of the finer
// polygon.
func TestFlatteningKeepsItsTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := leaf(t)
		tolerance := rapid.Float64Range(0.005, 0.5).Draw(t, "tolerance")
		paths, err := parsePath(d)
		require.NoError(t, err)
		coarse, err := paths[0].flatten(tolerance)
		require.NoError(t, err)
		fine, err := paths[0].flatten(1e-4)
		require.NoError(t, err)
		for _, p := range fine {
			nearest := math.Inf(1)
			for i := 1; i < len(coarse); i++ {
				nearest = math.Min(nearest, DistanceToEdge(p, coarse[i-1], coarse[i]))
			}
			assert.LessOrEqual(t, nearest, tolerance*(1+1e-9))
		}
	})
}

// The slow, plain search compares every edge with every other.
func TestCrossingsAreThoseOfThePlainSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rings []Ring
		for range rapid.IntRange(1, 3).Draw(t, "rings") {
			var ring Ring
			for range rapid.IntRange(3, 12).Draw(t, "points") {
				ring = append(ring, [2]float64{float64(rapid.IntRange(0, 9).Draw(t, "x")), float64(rapid.IntRange(0, 9).Draw(t, "y"))})
			}
			if ring = withoutRepeats(ring); len(ring) > 2 {
				rings = append(rings, ring)
			}
		}
		for _, touch := range []bool{false, true} {
			plain := 0
			edges := edgesOf(rings)
			for i := range edges {
				for j := range i {
					if _, meet := meet(&edges[i], &edges[j], touch); meet {
						plain++
					}
				}
			}
			found := 0
			exceeded := meetings(rings, func(a, b int) bool { return true }, touch, &effort{ctx: t.Context()}, func(meeting) bool {
				found++
				return true
			})
			assert.False(t, exceeded)
			assert.Equal(t, plain, found)
		}
	})
}

// The least edit distance obeys the axioms of a metric (Levenshtein 1966).
func TestEditDistanceIsAMetric(t *testing.T) {
	words := rapid.StringMatching(`[a-d]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := words.Draw(t, "a"), words.Draw(t, "b"), words.Draw(t, "c")
		assert.Equal(t, editDistance(a, b), editDistance(b, a))
		assert.Equal(t, a == b, editDistance(a, b) == 0)
		assert.Equal(t, editDistance(a+c, b+c) == 0, a == b)
		assert.LessOrEqual(t, editDistance(a+c, b+c), editDistance(a, b), "a common end costs nothing")
		assert.LessOrEqual(t, editDistance(a, b), max(len(a), len(b)))
		assert.GreaterOrEqual(t, editDistance(a, b), max(len(a)-len(b), len(b)-len(a)))
	})
	assert.Equal(t, 3, editDistance("kitten", "sitting"), "the textbook example")
	assert.Equal(t, 1, editDistance("hleix", "helix"), "neighbours swapped")
	assert.Equal(t, 3, editDistance("ca", "abc"), "what was swapped is not edited again")
	assert.Equal(t, "antihelix", Nearest("ANTI", knownNames()), "begun")
	assert.Empty(t, Nearest(strings.Repeat("x", 1000), knownNames()))
}
