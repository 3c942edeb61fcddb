package membrane

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// maxNodes bounds every lattice, so that a wrong unit or step is an error and
// not an exhausted memory: 16 million nodes take about 2 GB while solving.
const maxNodes = 16 << 20

// A Frame is the top of the framework as the skin sees it from outside.
// Implementations must be safe for concurrent use, and cheap: every grid asks
// for each of its nodes once, and beside rims for some dozens of places more.
type Frame interface {
	// Bounds returns a rectangle outside of which the height is nowhere above
	// the bed, mm.
	Bounds() (lo, hi mgl64.Vec2)

	// Heights writes the height above the bed at points[i], mm, to out[i];
	// 0 or less where there is no frame.
	Heights(points []mgl64.Vec2, out []float64)
}

// A Region is the pocket seen from outside: a planar set given by signed
// distance in mm, negative inside. It must be safe for concurrent use.
type Region interface {
	Bounds() (lo, hi mgl64.Vec2)
	Distance(p mgl64.Vec2) float64
}

// Obstacle is a Frame given on a regular grid: row by row, node (i, j) at
// Origin + Step·(i, j), heights in mm above the bed, 0 or less where there is
// no frame. Between the nodes it is bilinear, outside the grid it is 0. A
// vertical wall is therefore known only to one Step: sample no coarser than
// the finest step that the drape is solved on.
type Obstacle struct {
	Origin        mgl64.Vec2
	Step          float64
	Columns, Rows int
	Heights       []float64
}

// gridFrame is an Obstacle that has been judged.
type gridFrame struct{ Obstacle }

// NewFrame judges an obstacle and makes it a Frame. The heights are not
// copied and must not be changed afterwards.
func NewFrame(o Obstacle) (Frame, error) {
	if !(o.Step > 0) || math.IsInf(o.Step, 0) {
		return nil, &ValueError{"step of the frame's height grid", o.Step, "a positive number of millimetres"}
	}
	if o.Columns < 2 || o.Rows < 2 || o.Columns > maxNodes/o.Rows {
		return nil, &EmptyError{fmt.Sprintf("the frame's height grid has %d columns and %d rows: expected at least 2 of "+
			"each and at most %d nodes", o.Columns, o.Rows, maxNodes)}
	}
	if len(o.Heights) != o.Columns*o.Rows {
		return nil, &EmptyError{fmt.Sprintf("the frame's height grid has %d heights: expected %d columns × %d rows = "+
			"%d", len(o.Heights), o.Columns, o.Rows, o.Columns*o.Rows)}
	}
	for _, coordinate := range o.Origin {
		if math.IsNaN(coordinate) || math.IsInf(coordinate, 0) {
			return nil, &ValueError{"origin of the frame's height grid", coordinate, "a finite number of millimetres"}
		}
	}
	for k, height := range o.Heights {
		if math.IsNaN(height) || math.IsInf(height, 0) {
			at := mgl64.Vec2{float64(k % o.Columns), float64(k / o.Columns)}.Mul(o.Step).Add(o.Origin)
			return nil, &HeightError{at, height}
		}
	}
	return &gridFrame{o}, nil
}

func (g *gridFrame) Bounds() (lo, hi mgl64.Vec2) {
	size := mgl64.Vec2{float64(g.Columns - 1), float64(g.Rows - 1)}.Mul(g.Step)
	return g.Origin, g.Origin.Add(size)
}

func (g *gridFrame) Heights(points []mgl64.Vec2, out []float64) {
	for k, p := range points {
		out[k] = bilinear(g.Obstacle, p)
	}
}

// bilinear returns the height at p, 0 outside the grid.
func bilinear(o Obstacle, p mgl64.Vec2) float64 {
	x, y := (p[0]-o.Origin[0])/o.Step, (p[1]-o.Origin[1])/o.Step
	if !(x >= 0 && y >= 0 && x <= float64(o.Columns-1) && y <= float64(o.Rows-1)) {
		return 0
	}
	i, j := min(int(x), o.Columns-2), min(int(y), o.Rows-2)
	fx, fy := x-float64(i), y-float64(j)
	row := o.Heights[j*o.Columns+i:]
	low := row[0] + fx*(row[1]-row[0])
	high := row[o.Columns] + fx*(row[o.Columns+1]-row[o.Columns])
	return low + fy*(high-low)
}
