package mould

import (
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"
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

// The steps, mm, that are chosen from: blanks are round all over and need no
// more than a coarse one, the carved edges of units need finer ones.
const (
	finestStep = 0.2
	coarseStep = 0.4
	widestStep = 0.5
)

// finerSteps are those between the coarse and the finest one.
var finerSteps = [...]float64{0.3, 0.25}

// ChooseStep returns the step, mm, at which a solid's moulds are sampled: the
// coarsest at which its own surface is near enough to it; and that surface as
// contoured, nil at the finest step, where it is not looked at. ctx ends the
// work early with its error.
//
// What a facet misses grows with the square of its size at the least, so a step is
// tried only where it can be hoped for by what the coarse one misses: a coarser one
// by the farthest sample, a finer one by all but few, since corners of the lattice
// lie elsewhere then.
func ChooseStep(ctx context.Context, solid field.Field) (step float64, surface *mesh.Mesh, err error) {
	surface, coarse, err := sampledAt(ctx, solid, coarseStep)
	if err != nil {
		return 0, nil, err
	}
	scaled := func(off, step float64) float64 { return off * (step / coarseStep) * (step / coarseStep) }
	if near(coarse) {
		if scaled(farthest(coarse), widestStep) > nearEnough {
			return coarseStep, surface, nil
		}
		wide, off, err := sampledAt(ctx, solid, widestStep)
		if err == nil && near(off) {
			return widestStep, wide, nil
		}
		return coarseStep, surface, err
	}
	most := farthestButFew(coarse)
	for _, step := range finerSteps {
		if scaled(most, step) > nearEnough {
			continue
		}
		finer, off, err := sampledAt(ctx, solid, step)
		if err != nil {
			return 0, nil, err
		}
		if near(off) {
			return step, finer, nil
		}
	}
	return finestStep, nil, nil
}

// sampledAt returns the solid's surface at the step, and samples of it.
func sampledAt(ctx context.Context, solid field.Field, step float64) (*mesh.Mesh, []sample, error) {
	m, err := contour.Of(ctx, solid, contour.Options{Step: step})
	if err != nil {
		return nil, nil, err
	}
	// A facet gives one sample at the least.
	few := &mesh.Mesh{Vertices: m.Vertices, Triangles: spread(m.Triangles, len(m.Triangles)/mostAsked)}
	samples := piecesOf(few, finely*step)
	samples = spread(samples, (len(samples)+mostAsked-1)/mostAsked)
	return m, samples, ask(ctx, samples, solid)
}

// spread returns every so many-th of all.
func spread[T any](all []T, stride int) []T {
	if stride <= 1 {
		return all
	}
	few := make([]T, 0, len(all)/stride+1)
	for i := 0; i < len(all); i += stride {
		few = append(few, all[i])
	}
	return few
}

// near reports whether the samples lie near enough to their field's surface. An
// empty surface is not: what is smaller than a coarse step may be larger than the
// finest.
func near(samples []sample) bool {
	var off int
	for _, s := range samples {
		if math.Abs(s.off) > nearEnough {
			off++
		}
	}
	return len(samples) > 0 && farthest(samples) <= farthestOff && off*fewOff <= len(samples)
}

// farthest returns how far the farthest sample is off its field's surface, mm.
func farthest(samples []sample) (most float64) {
	for _, s := range samples {
		most = math.Max(most, math.Abs(s.off))
	}
	return most
}

// cornerShare is the share of samples that may lie in corners of the lattice when
// finer steps are hoped for.
const cornerShare = 1e-3

// farthestButFew returns how far the farthest of all but cornerShare of the
// samples is off its field's surface, mm; +Inf of none.
func farthestButFew(samples []sample) float64 {
	off := make([]float64, len(samples))
	for i, s := range samples {
		off[i] = math.Abs(s.off)
	}
	if len(off) == 0 {
		return math.Inf(1)
	}
	slices.Sort(off)
	return off[len(off)-1-int(cornerShare*float64(len(off)))]
}
