package membrane

import (
	"context"
	"errors"
	"math"
)

// Case is what the skin is laid over.
type Case struct {
	Frame          Frame
	Pocket         Region
	BridgingRadius float64 // mm, above 0; +Inf for skin laid on without suction
	Rolls          []Roll  // that press the skin down; nil for none
}

// Options says how finely and how long to work. Zero values mean the defaults.
type Options struct {
	Step       float64 // of the first grid that is an answer, mm; default 0.4
	Finest     float64 // no finer grid is tried, mm; default a quarter of Step
	Change     float64 // refine while peak depth or skin demand change by more; default 0.005
	Tolerance  float64 // last correction, as a share of the frame's height; default 1e-4
	Iterations int     // bound on every grid; default 100
}

// Defaults of Options. The step and the change are ours; no source.
const (
	defaultStep       = 0.4
	defaultChange     = 0.005
	defaultTolerance  = 1e-4
	defaultIterations = 100
)

func (o Options) withDefaults() (Options, error) {
	if o.Step == 0 {
		o.Step = defaultStep
	}
	if o.Finest == 0 {
		o.Finest = o.Step / 4
	}
	if o.Change == 0 {
		o.Change = defaultChange
	}
	if o.Tolerance == 0 {
		o.Tolerance = defaultTolerance
	}
	if o.Iterations == 0 {
		o.Iterations = defaultIterations
	}
	for _, v := range []struct {
		name  string
		value float64
		want  string
	}{
		{"grid step", o.Step, "a positive number of millimetres"},
		{"finest grid step", o.Finest, "a positive number of millimetres"},
		{"change that ends refinement", o.Change, "a positive share"},
		{"solver tolerance", o.Tolerance, "a positive share"},
		{"iteration bound", float64(o.Iterations), "at least 1"},
	} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return o, &ValueError{v.name, v.value, v.want}
		}
	}
	return o, nil
}

// Lay lays the skin over the frame. It solves on coarse grids first, then on
// Options.Step, and refines until the peak depth and the skin demand change by
// less than Options.Change or the finest step is reached; Drape.Refinements
// tells what was seen. Errors: *ValueError, *HeightError, *EmptyError,
// *FrameOutsideError, *UnconvergedError, or the context's.
func Lay(ctx context.Context, c Case, options Options) (*Drape, error) {
	if !(c.BridgingRadius > 0) {
		return nil, badRadius(c.BridgingRadius)
	}
	return lay(ctx, c, 1/c.BridgingRadius, nil, options)
}

// LayUnder lays the skin over the frame under suction, from which the bridging
// radius follows: the case's own does not count. It looks for it on coarse grids
// first, so that few drapes are laid on fine ones; Drape.Balance tells what was found.
// Errors are those of Lay.
func LayUnder(ctx context.Context, c Case, s Suction, options Options) (*Drape, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return lay(ctx, c, 0, &Balance{Suction: s, slope: guessedSlope, next: s.Radius(guessedStrain)}, options)
}

func badRadius(radius float64) error {
	return &ValueError{"bridging radius", radius, "a positive number of millimetres, or infinity for skin laid on " +
		"without suction"}
}

// lay lays the skin with the pull, 1/mm, of either sign, or with the one that
// is balanced.
func lay(ctx context.Context, c Case, pull float64, balance *Balance, options Options) (*Drape, error) {
	options, err := options.withDefaults()
	if err != nil {
		return nil, err
	}
	if c.Frame == nil || c.Pocket == nil {
		return nil, &EmptyError{"a drape needs a frame and a pocket"}
	}
	for _, roll := range c.Rolls {
		if err := roll.check(); err != nil {
			return nil, err
		}
	}
	levels := levelsBelow(c.Pocket, options.Step)
	s, err := spanOf(c.Pocket, options.Step, levels)
	if err != nil {
		return nil, err
	}
	if err := insidePocket(ctx, c, options.Step); err != nil {
		return nil, err
	}
	var last *lattice
	var heights []float64
	drape := &Drape{
		frame: c.Frame, pocket: c.Pocket, rolls: c.Rolls, pull: pull, options: options, Balance: balance,
	}
	for level := 0; ; level++ {
		l, err := newLattice(ctx, s, level, c, expected{last, heights})
		if err != nil {
			return nil, err
		}
		if level == levels && l.freeNodes() == 0 {
			return nil, &EmptyError{"no grid node lies inside the pocket: expected a pocket wider than a few grid steps, take " +
				"a finer step or check the outline"}
		}
		if last == nil {
			heights = make([]float64, l.columns*l.rows)
		} else {
			heights = l.refine(ctx, last, heights)
		}
		// Coarse grids only give a start, so a bounded try is enough there.
		answer, err := drape.rest(ctx, l, heights, stepsOn(level-levels))
		var unsettled *UnconvergedError
		if err != nil && !(level < levels && errors.As(err, &unsettled)) {
			return nil, err
		}
		drape.note(answer)
		if level >= levels && drape.resolved(options, s) {
			drape.finish(ctx, answer)
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			return drape, nil
		}
		last, heights = l, answer.u
	}
}

// Again lays the skin with another bridging radius, mm, on this drape's grid and
// starting from it: a few iterations and no coarse grids. Nodes are drawn to the
// walls as this drape lies on them, so the nearer the radii are, the less the
// answer differs from Lay's.
func (d *Drape) Again(ctx context.Context, bridgingRadius float64) (*Drape, error) {
	if !(bridgingRadius > 0) {
		return nil, badRadius(bridgingRadius)
	}
	l, err := d.l.over(ctx, d.frame, d.rolls, expected{d.l, d.u})
	if err != nil {
		return nil, err
	}
	again := &Drape{frame: d.frame, pocket: d.pocket, rolls: d.rolls, pull: 1 / bridgingRadius, options: d.options}
	return again.restart(ctx, l, l.refine(ctx, d.l, d.u))
}

// restart lays the skin on a lattice from the start heights.
func (d *Drape) restart(ctx context.Context, l *lattice, start []float64) (*Drape, error) {
	answer, err := d.rest(ctx, l, start, stepsOn(0))
	if err != nil {
		return nil, err
	}
	d.note(answer)
	d.finish(ctx, answer)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return d, nil
}

// levelsBelow returns how many times the step is doubled for the coarsest
// lattice, which keeps half a dozen cells across the pocket.
func levelsBelow(pocket Region, step float64) int {
	const across, most = 6, 12
	lo, hi := pocket.Bounds()
	narrow := min(hi[0]-lo[0], hi[1]-lo[1])
	levels := 1
	for levels < most && step*float64(int(2)<<levels)*across <= narrow {
		levels++
	}
	return levels
}

// limits scales the tolerance with the height of what is solved for.
func (l *lattice) limits(o Options) limits {
	const level = 1e-6 // mm, for pockets without a frame
	highest := level
	for k, height := range l.lower {
		if l.free[k] {
			highest = max(highest, height)
		}
	}
	return limits{correction: o.Tolerance * highest, iterations: o.Iterations}
}

// freeNodes counts the nodes in the pocket.
func (l *lattice) freeNodes() int {
	count := 0
	for _, free := range l.free {
		if free {
			count++
		}
	}
	return count
}
