package membrane

import (
	"fmt"

	"github.com/go-gl/mathgl/mgl64"
)

// ValueError says that one number given cannot be used.
type ValueError struct {
	Name  string  // what the number is, in words
	Value float64 // what was found
	Want  string  // what was expected
}

func (e *ValueError) Error() string {
	return fmt.Sprintf("%s is %g: expected %s", e.Name, e.Value, e.Want)
}

// HeightError says that the frame's height cannot be used at a place.
type HeightError struct {
	Where mgl64.Vec2 // mm
	Value float64
}

func (e *HeightError) Error() string {
	return fmt.Sprintf("the frame's height at x %.2f mm, y %.2f mm is %g: expected a finite number of millimetres (0 "+
		"where there is no frame)",
		e.Where[0], e.Where[1], e.Value)
}

// EmptyError says that there is nothing to solve, and why.
type EmptyError struct{ Reason string }

func (e *EmptyError) Error() string { return e.Reason }

// FrameOutsideError says that the frame reaches beyond the pocket.
type FrameOutsideError struct {
	Where      mgl64.Vec2 // the place farthest outside, mm
	By         float64    // how far outside the pocket that is, mm
	Area       float64    // area of frame outside the pocket, mm²
	FrameArea  float64    // area of the whole frame, mm²
	PocketArea float64    // area of the pocket, mm²
}

func (e *FrameOutsideError) Error() string {
	what := "the frame reaches outside the pocket"
	if e.PocketArea < e.FrameArea {
		what = fmt.Sprintf("the pocket (%.0f mm²) is smaller than the frame (%.0f mm²)", e.PocketArea, e.FrameArea)
	}
	return fmt.Sprintf("%s: %.1f mm² lie outside, at worst by %.2f mm at x %.2f mm, y %.2f mm: undermine wider there or "+
		"make the frame smaller",
		what, e.Area, e.By, e.Where[0], e.Where[1])
}

// UnconvergedError says that the iteration bound was reached before the drape
// was settled; no drape is given.
type UnconvergedError struct {
	Step       float64 // lattice step, mm
	Iterations int
	Residual   float64 // last correction, mm
	Want       float64 // correction asked for, mm
}

func (e *UnconvergedError) Error() string {
	return fmt.Sprintf("the drape did not settle on the %.3g mm grid: after %d iterations it still moves by %.3g mm, "+
		"expected at most %.3g mm; allow more iterations, a coarser step or a larger bridging radius",
		e.Step, e.Iterations, e.Residual, e.Want)
}
