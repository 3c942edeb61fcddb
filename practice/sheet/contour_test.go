package sheet

import (
	"math"
	"testing"

	"earframe/assemble"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestContoursOfAHemisphereAreCircles(t *testing.T) {
	// A hemisphere of radius 10 mm has height h on a circle of radius √(100 - h²).
	const step = 0.1
	m := surface(10, step, func(r float64) float64 { return math.Sqrt(math.Max(0, 100-r*r)) })
	for h := 2.0; h < 10; h++ { // lower ones are less than a step from the edge
		lines := contourAt(m, h)
		require.Len(t, lines, 1, "at %g mm", h)
		require.Equal(t, lines[0][0], lines[0][len(lines[0])-1], "it closes")
		// The line is drawn levelSlack too low. A linear step misses the profile by at
		// most step²/8 times its second derivative, 100/z³, which grows outward; over
		// the slope r/z that is how far the line is off in the plane.
		want := math.Sqrt(100 - (h-levelSlack)*(h-levelSlack))
		out := math.Sqrt(100 - (want+step)*(want+step))
		off := step * step / 8 * 100 / math.Pow(out, 3) * h / want
		for _, p := range lines[0] {
			require.InDelta(t, want, p.Len(), off, "at %g mm", h)
		}
	}
}

func TestAFlatAtTheHeightOfALineHasNoLineAcrossIt(t *testing.T) {
	// A table at 6 mm that is off by rounding, with a pit.
	m := surface(10, 0.25, func(r float64) float64 {
		if r < 4 {
			return 4.8
		}
		return 6 + 1e-12*math.Sin(1000*r)
	})
	lines := contourAt(m, 6)
	require.Len(t, lines, 1)
	for _, p := range lines[0] {
		assert.InDelta(t, 4, p.Len(), 0.25)
	}
	assert.Empty(t, contourAt(m, 6.5))
	assert.Empty(t, contourAt(m, 4.5))
}

func TestASaddleIsPartedByItsMiddle(t *testing.T) {
	m := &assemble.DepthMap{Step: 1, Columns: 2, Rows: 2}
	for _, c := range []struct {
		top    []float64
		height float64
		want   bool // the two high corners lie on one side of no line
	}{
		{[]float64{2, 0, 0, 2}, 0.5, true},
		{[]float64{2, 0, 0, 2}, 1.5, false},
		{[]float64{0, 2, 2, 0}, 0.5, true},
		{[]float64{0, 2, 2, 0}, 1.5, false},
	} {
		m.Top = c.top
		lines := contourAt(m, c.height)
		require.Len(t, lines, 2)
		for _, line := range lines {
			require.Len(t, line, 2)
			// Each line cuts off one corner: the one that it is nearest to.
			middle := line[0].Add(line[1]).Mul(0.5)
			column, row := int(math.Round(middle[0])), int(math.Round(middle[1]))
			assert.Equal(t, !c.want, c.top[2*row+column] > c.height, "%v at %g", c.top, c.height)
		}
	}
}

func TestContoursCloseOrEndWhereTheFrameworkEnds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := &assemble.DepthMap{Step: 1, Columns: rapid.IntRange(2, 9).Draw(r, "columns"),
			Rows: rapid.IntRange(2, 9).Draw(r, "rows")}
		height := rapid.Float64Range(0.5, 3.5).Draw(r, "height")
		crossings := map[[2]int]bool{}
		for range m.Columns * m.Rows {
			v := float64(rapid.IntRange(0, 5).Draw(r, "top"))
			if v == 5 {
				v = math.NaN()
			}
			m.Top = append(m.Top, v)
		}
		// Every lattice edge between a value above and one below, with a whole square
		// beside it, is crossed by exactly one line.
		whole := func(row, column int) bool {
			if row < 0 || column < 0 || row+1 >= m.Rows || column+1 >= m.Columns {
				return false
			}
			for _, k := range []int{row*m.Columns + column, row*m.Columns + column + 1, (row+1)*m.Columns + column,
				(row+1)*m.Columns + column + 1} {
				if math.IsNaN(m.Top[k]) {
					return false
				}
			}
			return true
		}
		above := func(k int) bool { return m.Top[k] >= height-levelSlack }
		for row := range m.Rows {
			for column := range m.Columns {
				k := row*m.Columns + column
				if column+1 < m.Columns && (whole(row, column) || whole(row-1, column)) && above(k) != above(k+1) {
					crossings[[2]int{k, k + 1}] = true
				}
				if row+1 < m.Rows && (whole(row, column) || whole(row, column-1)) && above(k) != above(k+m.Columns) {
					crossings[[2]int{k, k + m.Columns}] = true
				}
			}
		}
		points := 0
		for _, line := range contourAt(m, height) {
			points += len(line)
			if len(line) > 2 && line[0] == line[len(line)-1] {
				points--
			}
			for _, p := range line {
				a := int(math.Floor(p[1]))*m.Columns + int(math.Floor(p[0]))
				b := int(math.Ceil(p[1]))*m.Columns + int(math.Ceil(p[0]))
				require.True(t, crossings[[2]int{a, b}], "%v", p)
			}
		}
		require.Equal(t, len(crossings), points)
	})
}
