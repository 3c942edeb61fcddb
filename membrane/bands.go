package membrane

import (
	"context"

	"earframe/internal/workers"
)

// bandRows is how many lattice rows are handed to a core at a time.
const bandRows = 8

// serialBelow is how many nodes are not worth waking another core for.
const serialBelow = 4096

// The stages of laying the skin, as a trace names them.
const (
	stageLattice   = "skin: lattice"   // frame and pocket sampled, nodes drawn to rims and walls
	stageSweep     = "skin: sweeps"    // projected Gauss–Seidel, energies
	stageMultigrid = "skin: multigrid" // linear corrections
	stageLift      = "skin: lift"      // what the frame comes through
	stageAnswer    = "skin: answer"    // drape read on the plain grid
	stageAdvice    = "skin: advice"    // what would bring a groove back
	stageOutside   = "skin: outside"   // envelope of balls
)

// overRows calls work for bands [from, to) that make up [0, count), on all cores
// where the rows hold many nodes. Every row's result depends on that row's input
// only, so the number of cores never shows in the answer. When ctx ends, rows are
// left undone: whoever began the solve asks ctx before anything is taken from it.
func overRows(ctx context.Context, stage string, count, columns int, work func(from, to int)) {
	if count*columns < serialBelow {
		work(0, count)
		return
	}
	_ = workers.Bands(ctx, stage, count, bandRows, func(from, to int) error {
		work(from, to)
		return nil
	})
}

// sumOf adds up row sums in row order, so that it rounds alike on any number of
// cores.
func sumOf(partial []float64) float64 {
	total := 0.0
	for _, v := range partial {
		total += v
	}
	return total
}
