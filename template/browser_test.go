package template

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The values in browser.json were measured by the SVG engine of Chromium;
// testdata/drawings/scripts/renew.sh renews them.
type browserMeasures struct {
	Paths []struct {
		Name, D string
		Length  float64
		Points  []mgl64.Vec2
		Nonzero string
		Evenodd string
	}
	Transforms []struct {
		Text   string
		Matrix []float64
	}
	Shapes map[string]browserShape
	Styled map[string]*browserShape // nil for one that is not drawn
}

type browserShape struct {
	Left, Top, Width, Height float64
	Points                   []mgl64.Vec2
}

func browser(t *testing.T) browserMeasures {
	text, err := os.ReadFile("../testdata/drawings/browser.json")
	require.NoError(t, err)
	var measures browserMeasures
	require.NoError(t, json.Unmarshal(text, &measures))
	require.NotEmpty(t, measures.Paths)
	require.NotEmpty(t, measures.Transforms)
	require.NotEmpty(t, measures.Shapes)
	return measures
}

// walk returns the point at each of n+1 equal steps along polylines.
func walk(lines [][]mgl64.Vec2, n int) (length float64, points []mgl64.Vec2) {
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			length += line[i].Sub(line[i-1]).Len()
		}
	}
	gone := 0.0
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			step := line[i].Sub(line[i-1]).Len()
			for step > 0 && len(points) <= n && float64(len(points))*length/float64(n) <= gone+step {
				share := (float64(len(points))*length/float64(n) - gone) / step
				points = append(points, line[i-1].Add(line[i].Sub(line[i-1]).Mul(share)))
			}
			gone += step
		}
	}
	if len(points) == n { // the last one fell to rounding
		last := lines[len(lines)-1]
		points = append(points, last[len(last)-1])
	}
	return length, points
}

func TestPathsRunAsInABrowser(t *testing.T) {
	// A browser draws an arc as cubics, which lie off it by 2.7e-4 of its radius,
	// and measures curves in steps; the paths are about a thousand units long.
	const near = 0.3
	for _, row := range browser(t).Paths {
		t.Run(row.Name, func(t *testing.T) {
			paths, err := parsePath(row.D)
			require.NoError(t, err)
			var lines [][]mgl64.Vec2
			for i := range paths {
				points, err := paths[i].flatten(1e-4)
				require.NoError(t, err)
				lines = append(lines, points)
			}
			length, points := walk(lines, 16)
			assert.InDelta(t, row.Length, length, near)
			require.Len(t, points, len(row.Points))
			for i, p := range points {
				if last := i == len(points)-1; last && len(lines) > 1 {
					continue // where one of two subpaths ends is as good as where the other begins
				}
				assert.InDelta(t, 0, p.Sub(row.Points[i]).Len(), near, "point %d of 16: %v, browser %v", i, p, row.Points[i])
			}
			fillsAlike(t, lines, row.Nonzero, row.Evenodd)
		})
	}
}

// fillsAlike compares both fill rules on the browser's grid of sample points.
func fillsAlike(t *testing.T, lines [][]mgl64.Vec2, nonzero, evenOdd string) {
	for i := range 400 {
		p := mgl64.Vec2{float64(25+i%20*50) + .37, float64(25+i/20*50) + .41}
		winding, crossings := windings(lines, p)
		assert.Equal(t, nonzero[i] == '1', winding != 0, "nonzero at %v", p)
		assert.Equal(t, evenOdd[i] == '1', crossings%2 != 0, "evenodd at %v", p)
	}
}

func windings(lines [][]mgl64.Vec2, p mgl64.Vec2) (winding, crossings int) {
	for _, line := range lines {
		for i, a := range line {
			b := line[(i+1)%len(line)]
			if (a[1] > p[1]) == (b[1] > p[1]) || p[0] > a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
				continue
			}
			crossings++
			if b[1] > a[1] {
				winding++
			} else {
				winding--
			}
		}
	}
	return winding, crossings
}

func TestTransformsAreThoseOfABrowser(t *testing.T) {
	for _, row := range browser(t).Transforms {
		m, err := parseTransform(row.Text)
		require.NoError(t, err, row.Text)
		for i, v := range []float64{m.a, m.b, m.c, m.d, m.e, m.f} {
			assert.InDelta(t, row.Matrix[i], v, 1e-5*(1+math.Abs(v)), "%s, number %d", row.Text, i)
		}
	}
}

func TestShapesLieOnTheSheetAsInABrowser(t *testing.T) {
	measured := browser(t).Shapes
	drawn := drawFile(t, "../testdata/drawings/nesting.svg")
	for id, row := range measured {
		// Where a frame is turned the browser's box is that of the turned box.
		liesAlike(t, drawn, id, row, id != "turned" && id != "skewed")
	}
	for _, s := range drawn.shapes {
		base, _, _ := strings.Cut(s.id, "/")
		assert.Contains(t, measured, base, "drawn here, not in a browser")
	}
}

// Styles move, hide and choose shapes as they do in a browser, which shows the
// drawing by itself.
func TestStylesMoveAndHideShapesAsInABrowser(t *testing.T) {
	measured := browser(t).Styled
	drawn := drawFile(t, "../testdata/drawings/styled.svg")
	here := map[string]bool{}
	for _, s := range drawn.shapes {
		base, _, _ := strings.Cut(s.id, "/")
		here[base] = true
		assert.Contains(t, measured, base)
	}
	require.NotEmpty(t, measured)
	for id, row := range measured {
		if row == nil {
			assert.False(t, here[id], "%s is drawn here, not in a browser", id)
			continue
		}
		// The boxes of turned shapes are those of turned boxes.
		liesAlike(t, drawn, id, *row, len(row.Points) == 0)
	}
}

func drawFile(t *testing.T, path string) *drawing {
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	document, err := parse(t.Context(), file)
	require.NoError(t, err)
	drawn, err := document.draw(t.Context(), nil)
	require.NoError(t, err)
	require.True(t, drawn.real)
	return drawn
}

// liesAlike holds a shape against where the browser has it, with boxes also
// against its box.
func liesAlike(t *testing.T, drawn *drawing, id string, row browserShape, boxes bool) {
	t.Helper()
	// The browser rounds places to 1/64 of a pixel.
	const near = 2.0 / 64
	toPixels := scaling(pixelsPerInch/millimetresPerInch, pixelsPerInch/millimetresPerInch)
	lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	var lines [][]mgl64.Vec2
	for i := range drawn.shapes {
		s := &drawn.shapes[i]
		if s.id != id && !strings.HasPrefix(s.id, id+"/") {
			continue
		}
		require.NoError(t, s.problem, id)
		for _, p := range s.paths {
			q := p.mapped(toPixels)
			points, err := q.flatten(1e-3)
			require.NoError(t, err)
			lines = append(lines, points)
			for _, point := range points {
				for k := range point {
					lo[k], hi[k] = math.Min(lo[k], point[k]), math.Max(hi[k], point[k])
				}
			}
		}
	}
	require.NotEmpty(t, lines, id)
	if boxes {
		for i, pair := range [][2]float64{{row.Left, lo[0]}, {row.Top, lo[1]}, {row.Width, hi[0] - lo[0]}, {row.Height, hi[1] - lo[1]}} {
			assert.InDelta(t, pair[0], pair[1], near, "%s: left, top, width, height: number %d", id, i)
		}
	}
	for _, p := range row.Points {
		nearest := math.Inf(1)
		for _, line := range lines {
			for i := 1; i < len(line); i++ {
				nearest = math.Min(nearest, DistanceToEdge(p, line[i-1], line[i]))
			}
		}
		assert.Less(t, nearest, near, "%s: the browser has a point at %v", id, p)
	}
}
