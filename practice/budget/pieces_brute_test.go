package budget

import (
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"

	"earframe/template"
	"earframe/units"
)

// stair is a shape of square cells: row upon row, none longer than the one beneath.
type stair []int

// cellSize is a cell's side, mm; cellSlack is what a stock has beyond its cells.
const (
	cellSize  = 5.0
	cellSlack = 0.9
)

func (s stair) outline() template.Outline {
	ring := template.Ring{{0, 0}, {float64(s[0]), 0}}
	for y, width := range s {
		if y > 0 && width != s[y-1] {
			ring = append(ring, mgl64.Vec2{float64(s[y-1]), float64(y)}, mgl64.Vec2{float64(width), float64(y)})
		}
	}
	last := float64(len(s))
	ring = append(ring, mgl64.Vec2{float64(s[len(s)-1]), last}, mgl64.Vec2{0, last})
	for i := range ring {
		ring[i] = ring[i].Mul(cellSize)
	}
	return template.Outline{ID: "stair", Outer: ring}
}

// halves returns all ways to cut along one line between cells.
func (s stair) halves() (all [][2]stair) {
	for y := 1; y < len(s); y++ {
		all = append(all, [2]stair{s[:y], s[y:]})
	}
	for x := 1; x < s[0]; x++ {
		var left, right stair
		for _, width := range s {
			left = append(left, min(width, x))
			if width > x {
				right = append(right, width-x)
			}
		}
		all = append(all, [2]stair{left, right})
	}
	return all
}

// grid is a stock of cells, true where something lies.
type grid [][]bool

func newGrid(columns, rows int) grid {
	g := make(grid, rows)
	for i := range g {
		g[i] = make([]bool, columns)
	}
	return g
}

// lay calls back with each quarter turn and place of the shape in the grid, until one
// returns true.
func (g grid) lay(s stair, then func() bool) bool {
	for turn := range 4 {
		for row := range g {
			for column := range g[row] {
				var at [][2]int
				for y, width := range s {
					for x := range width {
						p := [][2]int{{x, y}, {-y, x}, {-x, -y}, {y, -x}}[turn]
						at = append(at, [2]int{column + p[0], row + p[1]})
					}
				}
				free := true
				for _, p := range at {
					free = free && p[1] >= 0 && p[1] < len(g) && p[0] >= 0 && p[0] < len(g[0]) && !g[p[1]][p[0]]
				}
				if !free {
					continue
				}
				for _, p := range at {
					g[p[1]][p[0]] = true
				}
				found := then()
				for _, p := range at {
					g[p[1]][p[0]] = false
				}
				if found {
					return true
				}
			}
		}
	}
	return false
}

// layAll reports whether all shapes lie in the grids at once.
func layAll(shapes []stair, grids []grid) bool {
	if len(shapes) == 0 {
		return true
	}
	for _, g := range grids {
		if g.lay(shapes[0], func() bool { return layAll(shapes[1:], grids) }) {
			return true
		}
	}
	return false
}

// What trying every cut between cells and every place of both halves finds, whole or
// in two, is found, in no more pieces; what is found lies apart and within.
func TestNestingInPiecesFindsWhatTryingEverythingFinds(t *testing.T) {
	const seed = 20261128
	random := rand.New(rand.NewPCG(seed, 2))
	cut := 0
	for n := range 30 {
		unit := stair{2 + random.IntN(3)}
		for len(unit) < 1+random.IntN(3) {
			unit = append(unit, 1+random.IntN(unit[len(unit)-1]))
		}
		var grids []grid
		var stocks []Stock
		for range 1 + random.IntN(2) {
			columns, rows := 2+random.IntN(3), 1+random.IntN(2)
			grids = append(grids, newGrid(columns, rows))
			stocks = append(stocks, Stock{
				Name: string(rune('a' + len(stocks))), Ribs: []int{7}, Thickness: 5,
				Outline: rectangle(cellSize*float64(columns)+cellSlack, cellSize*float64(rows)+cellSlack),
			})
		}
		whole := layAll([]stair{unit}, grids)
		inTwo := false
		for _, halves := range unit.halves() {
			inTwo = inTwo || layAll(halves[:], grids)
		}
		plan := planOf(t, unitOf(units.Base, unit.outline(), 3, 7))
		plan.Practice.Cartilage.Margin, plan.Practice.Cartilage.Kerf = 0, 0
		b := check(t, plan, stocks...)
		u := b.Units[0]
		atHand := u.Works() && len(b.Casts) == 0
		switch {
		case whole:
			assert.Empty(t, u.Parts, "seed %d, case %d: %v in %d stocks: %s", seed, n, unit, len(stocks), u.Text)
			assert.True(t, atHand)
		case inTwo:
			cut++
			assert.True(t, atHand, "seed %d, case %d: %v: %s", seed, n, unit, u.Text)
			assert.Len(t, u.Parts, 2, "seed %d, case %d: %v: %s", seed, n, unit, u.Text)
		}
		sound(t, plan, stocks, b)
	}
	assert.GreaterOrEqual(t, cut, 6, "units that come out only in two are among them")
}
