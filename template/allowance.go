package template

import (
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// Loss says what the skin allowance does to an outline that is too narrow for
// it.
type Loss string

// The losses, from the worst to the least.
const (
	Vanished   Loss = "vanished"    // nothing is left
	PinchedOff Loss = "pinched off" // it falls into pieces
	Opened     Loss = "opened"      // the wall between a hole and another edge is gone
)

// LossFinding is one place where the allowance takes away too much.
type LossFinding struct {
	Loss   Loss
	ID     string     // of the outline
	Part   string     // of the outline
	At     mgl64.Vec2 // middle of the narrowest place, mm on the sheet
	Width  float64    // mm there, as drawn
	Lacks  float64    // mm of width by which it is too narrow for the allowance
	Pieces int        // left in all
}

// String returns the finding as a sentence with what to do.
func (f LossFinding) String() string {
	left := fmt.Sprintf("%.2f mm too narrow", f.Lacks)
	if f.Lacks < 0.005 {
		left = "too little to be left" // less than the offset's lattice sees
	}
	where := fmt.Sprintf("x %.1f y %.1f mm, it is %.2f mm wide, %s; widen it there, or take off "+
		"less", f.At[0], f.At[1], f.Width, left)
	switch f.Loss {
	case Vanished:
		return f.ID + ": nothing is left under the skin allowance: at its widest, " + where
	case PinchedOff:
		return fmt.Sprintf("%s: the skin allowance pinches it off into %d pieces: at its neck, %s", f.ID, f.Pieces, where)
	}
	return f.ID + ": the skin allowance opens the wall beside a hole: at its thinnest, " + where
}

// Allowance is an outline with the skin taken off.
type Allowance struct {
	Outlines []Outline // what is left, none if it vanished
	Findings []LossFinding
}

// speck is the area in mm² below which a piece left is none: a dot a third of a
// millimetre across, which cannot be carved.
const speck = 0.1

// TakeOff takes the skin allowance in mm off all edges of an outline as a true
// planar offset, and finds where the outline is too narrow for it. Specks below
// 0.1 mm² are not kept. It fails where Offset does and for a negative allowance; ctx
// ends the work early with its error.
func TakeOff(ctx context.Context, o Outline, allowance float64) (Allowance, error) {
	if !(allowance >= 0) {
		return Allowance{}, fmt.Errorf("outline %s: skin allowance %g mm, expected 0 or more", o.ID, allowance)
	}
	left, err := Offset(ctx, o, -allowance)
	if err != nil {
		return Allowance{}, err
	}
	left = slices.DeleteFunc(left, func(piece Outline) bool { return piece.Area() < speck })
	taken := Allowance{Outlines: left}
	region, err := Region(o)
	if err != nil {
		return Allowance{}, err
	}
	if len(left) == 0 {
		at, depth := widest(ctx, region)
		taken.add(o, Vanished, at, 2*depth, allowance)
		return taken, ctx.Err()
	}
	if len(left) > 1 {
		for _, neck := range necks(ctx, region, left) {
			taken.add(o, PinchedOff, neck.at, 2*neck.depth, allowance)
		}
	}
	holes := 0
	for _, piece := range left {
		holes += len(piece.Holes)
	}
	if holes < len(o.Holes) {
		taken.walls(ctx, o, allowance)
	}
	return taken, ctx.Err()
}

func (a *Allowance) add(o Outline, loss Loss, at mgl64.Vec2, width, allowance float64) {
	a.Findings = append(a.Findings, LossFinding{
		Loss: loss, ID: o.ID, Part: o.Part, At: at, Width: width,
		Lacks: math.Max(0, 2*allowance-width), Pieces: len(a.Outlines),
	})
}

// walls finds the walls between a hole and the outer ring or another hole that
// the allowance takes away.
func (a *Allowance) walls(ctx context.Context, o Outline, allowance float64) {
	rings := o.Rings()
	for i := 1; i < len(rings); i++ {
		for j := range i {
			if ctx.Err() != nil {
				return
			}
			width, at := wall(rings[i], rings[j])
			if width <= 2*allowance {
				a.add(o, Opened, at, width, allowance)
			}
		}
	}
}

// wall returns the least distance of two rings that do not meet and its middle:
// at it one of them has a corner.
func wall(a, b Ring) (width float64, middle mgl64.Vec2) {
	width = math.Inf(1)
	for _, pair := range [2][2]Ring{{a, b}, {b, a}} {
		region, err := field.NewRegion(pair[1])
		if err != nil {
			continue // a ring of no extent bounds no wall
		}
		for _, p := range pair[0] {
			d, q := region.Nearest(p)
			if math.Abs(d) < width {
				width, middle = math.Abs(d), p.Add(q).Mul(0.5)
			}
		}
	}
	return width, middle
}
