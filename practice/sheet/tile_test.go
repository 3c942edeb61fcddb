package sheet

import (
	"fmt"
	"math"
	"testing"

	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// longPiece is a piece of cartilage that fits no sheet: an ellipse 400 × 260 mm.
func longPiece() template.Outline {
	o := template.Outline{ID: "long"}
	const corners = 500
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		o.Outer = append(o.Outer, mgl64.Vec2{200 * cos, 130 * sin})
	}
	return o
}

func TestWhatIsLargerThanThePaperIsWholeOverItsSheets(t *testing.T) {
	for _, paper := range []string{units.A4, units.Letter} {
		in := Input{Plan: demoPlan(t, units.Left),
			Nestings: []Nesting{{Name: "a long piece", Stock: []template.Outline{longPiece()}}}}
		in.Plan.Practice.Sheets.Paper = paper
		d, err := Carving(in)
		require.NoError(t, err)
		requireLegible(t, d)
		path := savePDF(t, d)
		const rows, columns = 2, 3
		require.Len(t, d.Pages, 1+rows*columns)

		// Sheets are laid together by their crop marks alone: each lies where its marks
		// meet those of the sheet before it.
		place := map[[2]int]mgl64.Vec2{}
		marks := map[[2]int][]mgl64.Vec2{}
		pages := map[[2]int]seenPage{}
		for row := range rows {
			for column := range columns {
				k := [2]int{row, column}
				number := 2 + row*columns + column
				pages[k] = seePage(t, path, number)
				marks[k] = cropCrosses(pages[k])
				assert.Contains(t, plainText(t, path, number),
					fmt.Sprintf("a long piece: sheet %d of %d, row %d column %d", row*columns+column+1, rows*columns,
						row+1, column+1))
				switch {
				case column > 0:
					beside := [2]int{row, column - 1}
					place[k] = place[beside].Add(extreme(marks[beside], 0.5, -1).Sub(extreme(marks[k], -0.5, -1)))
					// The lower ends of the two strips agree too.
					assert.InDelta(t, 0, extreme(marks[beside], 0.5,
						1).Add(place[beside]).Sub(extreme(marks[k], -0.5, 1).Add(place[k])).Len(), 0.02)
				case row > 0:
					above := [2]int{row - 1, column}
					place[k] = place[above].Add(extreme(marks[above], -1, 0.5).Sub(extreme(marks[k], -1, -0.5)))
				}
			}
		}
		// Together they show the whole outline, and nothing else of that kind.
		var whole [][]mgl64.Vec2
		drawn := map[[2]int][][]mgl64.Vec2{}
		for k, page := range pages {
			for _, p := range page.paths {
				if math.Abs(p.stroke-framePen.width) < 0.005 {
					for _, line := range p.lines {
						if len(line) > 6 { // no bar and no box
							drawn[k] = append(drawn[k], moved(line, place[k]))
						}
					}
				}
			}
			whole = append(whole, drawn[k]...)
		}
		lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
		for _, line := range whole {
			for _, p := range line {
				lo, hi = mgl64.Vec2{min(lo[0], p[0]), min(lo[1], p[1])}, mgl64.Vec2{max(hi[0], p[0]), max(hi[1], p[1])}
			}
		}
		assert.InDelta(t, 400, hi[0]-lo[0], 0.05)
		assert.InDelta(t, 260, hi[1]-lo[1], 0.05)
		origin := lo.Add(hi).Mul(0.5)
		near := newCrowd(whole)
		for _, p := range longPiece().Outer {
			on := origin.Add(mgl64.Vec2{p[0], -p[1]})
			assert.Less(t, near.room(on, mgl64.Vec2{}), crowdStep, "the outline at %v is on no sheet", p)
		}
		outline := [][]mgl64.Vec2{moved(longPiece().Outer, origin)} // the same upside down
		for k, lines := range drawn {
			for _, line := range lines {
				for _, p := range line {
					assert.Less(t, clearance(outline, p), 0.04, "sheet %v", k)
				}
			}
		}
	}
}

func moved(line []mgl64.Vec2, by mgl64.Vec2) []mgl64.Vec2 {
	out := make([]mgl64.Vec2, len(line))
	for i, p := range line {
		out[i] = p.Add(by)
	}
	return out
}

// cropCrosses finds the places where two lines of 3 mm cross in their middles.
func cropCrosses(page seenPage) []mgl64.Vec2 {
	var middles, crosses []mgl64.Vec2
	for _, p := range page.paths {
		if len(p.lines) == 1 && len(p.lines[0]) == 2 && math.Abs(p.lines[0][1].Sub(p.lines[0][0]).Len()-3) < 0.02 && math.Abs(p.stroke-finePen.width) < 0.01 {
			middle := p.lines[0][0].Add(p.lines[0][1]).Mul(0.5)
			for _, other := range middles {
				if other.Sub(middle).Len() < 0.02 {
					crosses = append(crosses, middle)
				}
			}
			middles = append(middles, middle)
		}
	}
	return crosses
}

// extreme returns the place that is farthest in a direction. Marks of strips to
// the left and right stand at the upper and lower edges, of strips above and
// below at the left and right ones; the heavier weight tells them apart.
func extreme(places []mgl64.Vec2, x, y float64) mgl64.Vec2 {
	best := places[0]
	for _, p := range places {
		if x*p[0]+y*p[1] > x*best[0]+y*best[1] {
			best = p
		}
	}
	return best
}

func TestTilesCoverTheWholeAndOverlap(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lo := mgl64.Vec2{rapid.Float64Range(-300, 300).Draw(r, "left"), rapid.Float64Range(-300, 300).Draw(r, "low")}
		hi := lo.Add(mgl64.Vec2{rapid.Float64Range(1, 900).Draw(r, "width"),
			rapid.Float64Range(1, 900).Draw(r, "height")})
		window := rectangle{20, 30, 20 + rapid.Float64Range(60, 180).Draw(r, "window"), 200}
		tiles := newTiling(lo, hi, window)
		const rounding = 1e-9
		for column := range tiles.columns {
			left := tiles.corner(0, column)[0]
			if column > 0 {
				require.InDelta(t, tiles.corner(0, column-1)[0]+window.width()-tileOverlap, left, rounding)
			} else {
				require.Equal(t, lo[0], left)
			}
		}
		last := tiles.corner(tiles.rows-1, tiles.columns-1)
		require.GreaterOrEqual(t, last[0]+window.width()+rounding, hi[0])
		require.LessOrEqual(t, last[1]-window.height()-rounding, lo[1])
		if tiles.columns > 1 { // and no sheet too many
			require.Less(t, tiles.corner(0, tiles.columns-2)[0]+window.width(), hi[0])
		}
	})
}

func TestWordsOnTheEdgeOfASheetAreWholeOnOne(t *testing.T) {
	l, err := newLayout(Input{Plan: demoPlan(t, units.Left)})
	require.NoError(t, err)
	rapid.Check(t, func(r *rapid.T) {
		l.pages = nil
		f := figure{title: "x"}
		f.add(outlinePen, true, []mgl64.Vec2{{0, 0}, {500, 0}, {500, 400}, {0, 400}})
		at := mgl64.Vec2{rapid.Float64Range(20, 480).Draw(r, "x"), rapid.Float64Range(20, 380).Draw(r, "y")}
		f.labels = []label{{at: at, words: "Conchal vault, upper part  L", style: small}}
		l.pack("tiles", []figure{f})
		require.Greater(t, len(l.pages), 1)
		seen := 0
		for _, page := range l.pages {
			for _, m := range page.marks {
				if m.text != nil && m.text.words == f.labels[0].words {
					seen++
					require.GreaterOrEqual(t, m.text.at[0], l.area.left-1e-9)
					require.LessOrEqual(t, m.text.at[0]+m.text.width, l.area.right+1e-9)
				}
			}
		}
		require.NotZero(t, seen)
	})
}
