package mould

import (
	"context"
	"math"

	"earframe/field"
	"earframe/mesh"
)

const (
	// nearEnough and farthestOff, mm, are how near to the part its surface has to
	// be at a coarse step for that to be taken: half of what the cavity may be
	// off, since the mould's own lattice lies otherwise; but for one sample in
	// fewOff, which may lie in a corner of the lattice, four fifths.
	nearEnough  = 0.025
	farthestOff = 0.04
	fewOff      = 10_000

	// Samples for this lie finely, in steps, so that none of a facet's bulges is
	// overlooked, but evenly spread ones are asked only, enough to find a share of
	// one in fewOff.
	finely    = 0.75
	mostAsked = 8 * fewOff

	// sampleSteps is how many steps lie between samples of a surface: about a
	// sample for each facet of a contour.
	sampleSteps = 1.5
)

// steps, mm, are those that are chosen from: blanks are round all over and need
// no more than a coarse one, the carved edges of units need the finest.
var steps = [...]float64{0.5, 0.4, 0.2}

// chooseStep returns the step, mm, at which the part's moulds are sampled: the
// coarsest at which its own surface is near enough to it; and that surface, nil at
// the finest step, where it is not looked at.
func chooseStep(ctx context.Context, solid field.Field) (float64, *mesh.Mesh, error) {
	for _, step := range steps[:len(steps)-1] {
		m, err := mesh.Contour(ctx, solid, mesh.ContourOptions{Step: step})
		if err != nil {
			return 0, nil, err
		}
		samples := thinned(piecesOf(m, finely*step))
		ask(samples, solid)
		if near(samples) {
			return step, m, nil
		}
	}
	return steps[len(steps)-1], nil, nil
}

// thinned returns mostAsked of the samples, evenly spread, or all of them.
func thinned(samples []sample) []sample {
	stride := (len(samples) + mostAsked - 1) / mostAsked
	if stride <= 1 {
		return samples
	}
	var few []sample
	for i := 0; i < len(samples); i += stride {
		few = append(few, samples[i])
	}
	return few
}

// near reports whether the samples lie near enough to their field's surface.
// An empty surface is not: what is smaller than a coarse step may be larger than
// the finest.
func near(samples []sample) bool {
	var worst float64
	var off int
	for _, s := range samples {
		worst = math.Max(worst, math.Abs(s.off))
		if math.Abs(s.off) > nearEnough {
			off++
		}
	}
	return len(samples) > 0 && worst <= farthestOff && off*fewOff <= len(samples)
}
