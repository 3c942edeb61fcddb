package contour

import (
	"fmt"
	"math"

	"earframe/field"
)

// TooFine says that a contour would hold too much memory.
type TooFine struct {
	Step, Would float64 // mm: the step asked for, and one that would do
	Bytes       float64 // about what building at Step would hold
}

func (e *TooFine) Error() string {
	return fmt.Sprintf("at a sampling step of %g mm this would hold about %.1f GB of memory, more than the %.0f GB it "+
		"may; "+
		"a step of %g mm would do", e.Step, e.Bytes/1e9, mostBytes/1e9, e.Would)
}

const (
	// mostBytes is what building a framework may hold.
	mostBytes = 2e9

	// bytesABlock is what building a framework holds at its peak for each block of
	// the joined one by the estimate, and 30 to 60 percent more. Measured on two
	// cores (peak resident memory), of ears of 118 mm: 1.11 GB at a step of 0.14 mm
	// and 2.40 GB at 0.1 mm with a helix 30 mm thick and a fillet of 3 mm, for which
	// 1.77 and 3.48 GB are estimated; 1.29 GB at 0.07 mm with one of 4 mm and no
	// fillet, for which 1.68 GB are estimated. A single contour holds less.
	bytesABlock = 29e3

	// estimateBox is the side, mm, of the boxes that the surface is counted in.
	estimateBox = 1.6
)

// Affordable returns TooFine if the surfaces of the fields together are too large
// for the step. What a contour and what follows on it hold goes with the blocks that
// the surface passes through, and those go with its area over a block's face: boxes
// of a fixed side through which it may pass are counted by the field's word.
func Affordable(step float64, fields ...field.Field) error {
	side := blockSide * step
	perBox := (estimateBox / side) * (estimateBox / side) * bytesABlock
	all := 0.0
	for _, f := range fields {
		all += boxesIn(f.Bounds())
	}
	if perBox*all <= mostBytes {
		return nil // even if they passed through all of them
	}
	boxes := 0
	for _, f := range fields {
		boxes += boxesOnSurface(f)
	}
	bytes := perBox * float64(boxes)
	if bytes <= mostBytes {
		return nil
	}
	would := step * math.Sqrt(bytes/mostBytes)
	return &TooFine{Step: step, Would: math.Ceil(would*100) / 100, Bytes: bytes}
}

// boxesIn returns how many boxes the bounds hold.
func boxesIn(b field.Box) float64 {
	count := 1.0
	for k := range 3 {
		count *= math.Ceil((b.Max[k] - b.Min[k]) / estimateBox)
	}
	return count
}

// boxesOnSurface counts the boxes through which the surface may pass.
func boxesOnSurface(f field.Field) int {
	bounds := f.Bounds()
	count := 0
	box := field.Box{}
	for x := bounds.Min[0]; x < bounds.Max[0]; x += estimateBox {
		for y := bounds.Min[1]; y < bounds.Max[1]; y += estimateBox {
			for z := bounds.Min[2]; z < bounds.Max[2]; z += estimateBox {
				box.Min = [3]float64{x, y, z}
				box.Max = [3]float64{x + estimateBox, y + estimateBox, z + estimateBox}
				if lo, hi := f.Range(box); lo <= 0 && hi >= 0 {
					count++
				}
			}
		}
	}
	return count
}
