package membrane

import (
	"context"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// overTheBed is the height from which something counts as frame, mm: the
// accuracy to which contact is kept.
const overTheBed = 0.01

// beyond is what is found of the frame outside the pocket.
type beyond struct {
	framed, outside int // grid nodes
	by              float64
	where           mgl64.Vec2
	bad             error
}

// insidePocket looks at the frame's own bounds, which may reach beyond the
// pocket's, for frame outside the pocket.
func insidePocket(ctx context.Context, c Case, step float64) error {
	lo, hi := c.Frame.Bounds()
	size := hi.Sub(lo)
	if !(size[0] >= 0 && size[1] >= 0 && size[0] < 1e6 && size[1] < 1e6) {
		return &EmptyError{"the frame's bounds are not a rectangle in millimetres"}
	}
	columns, rows := int(size[0]/step)+2, int(size[1]/step)+2
	if columns > maxNodes/rows {
		return &EmptyError{"the frame is too large for the grid step: expected millimetres"}
	}
	found := make([]beyond, rows)
	overRows(ctx, stageLattice, rows, columns, func(from, to int) {
		points, heights := make([]mgl64.Vec2, columns), make([]float64, columns)
		for j := from; j < to; j++ {
			for i := range points {
				points[i] = lo.Add(mgl64.Vec2{float64(i), float64(j)}.Mul(step))
			}
			c.Frame.Heights(points, heights)
			found[j] = beyondRow(c.Pocket, step, points, heights)
		}
	})
	var all beyond
	for _, row := range found {
		if row.bad != nil {
			return row.bad
		}
		all.framed += row.framed
		all.outside += row.outside
		if row.by > all.by {
			all.by, all.where = row.by, row.where
		}
	}
	if all.outside == 0 {
		return nil
	}
	square := step * step
	return &FrameOutsideError{
		Where: all.where, By: all.by, Area: float64(all.outside) * square,
		FrameArea: float64(all.framed) * square, PocketArea: pocketArea(c.Pocket, step),
	}
}

// beyondRow looks at one row of places.
func beyondRow(pocket Region, step float64, points []mgl64.Vec2, heights []float64) beyond {
	var found beyond
	settled := 0 // nodes before it are inside, since distance is no faster than place
	for i, height := range heights {
		if math.IsNaN(height) || math.IsInf(height, 1) {
			return beyond{bad: &HeightError{points[i], height}}
		}
		if height <= overTheBed {
			continue
		}
		found.framed++
		if i < settled {
			continue
		}
		distance := pocket.Distance(points[i])
		if distance < 0 {
			settled = i + int(min(-distance/step, float64(len(points))))
		}
		if distance > 0 {
			found.outside++
			if distance > found.by {
				found.by, found.where = distance, points[i]
			}
		}
	}
	return found
}

// pocketArea counts grid squares, mm²; for messages.
func pocketArea(pocket Region, step float64) float64 {
	lo, hi := pocket.Bounds()
	count := 0
	for y := lo[1]; y <= hi[1]; y += step {
		for x := lo[0]; x <= hi[0]; x += step {
			if pocket.Distance(mgl64.Vec2{x, y}) < 0 {
				count++
			}
		}
	}
	return float64(count) * step * step
}
