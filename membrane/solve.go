package membrane

import (
	"context"
	"math"
)

// settled is the answer on one lattice.
type settled struct {
	u          []float64
	energies   []float64 // excess energy before and after every iteration, mm²
	iterations int
	cycles     int     // of multigrid
	residual   float64 // last correction before projection or line search, mm
}

// solver holds what one lattice's iterations need.
type solver struct {
	l    *lattice
	pull float64
	grid *multigrid
	cg   *conjugate
	u    []float64
	next []float64
	held []bool
}

// sweepsFirst is how many sweeps go before a correction. The sweeps move the
// edge of the contact, about a node each; two need fewer iterations on fine
// grids than one, which pays for the second.
const sweepsFirst = 2

// limits says when to stop.
type limits struct {
	correction float64 // mm
	iterations int
}

// settle minimises the energy from the start heights, which it takes over.
// At the iteration bound it returns where it got to with an *UnconvergedError.
func (l *lattice) settle(ctx context.Context, start []float64, pull float64, stop limits) (*settled, error) {
	s := &solver{
		l: l, pull: pull, grid: newMultigrid(l), cg: newConjugate(len(start)),
		u: start, next: make([]float64, len(start)), held: make([]bool, len(start)),
	}
	for k := range s.u {
		s.u[k] = l.within(s.u[k], k)
		if !l.free[k] {
			s.u[k] = 0
		}
	}
	answer := &settled{u: s.u, energies: []float64{l.energy(ctx, s.u, pull)}, residual: math.Inf(1)}
	for answer.iterations < stop.iterations {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		answer.iterations++
		copy(s.next, s.u)
		for range sweepsFirst {
			l.sweep(ctx, s.u, pull)
		}
		swept := s.furthest(s.next)
		energy := l.energy(ctx, s.u, pull)
		correction, energy := s.correct(ctx, energy)
		answer.energies = append(answer.energies, energy)
		answer.residual = max(swept, correction)
		answer.cycles = s.grid.cycles
		if answer.residual <= stop.correction {
			return answer, nil
		}
	}
	return answer, &UnconvergedError{Step: l.step, Iterations: answer.iterations, Residual: answer.residual,
		Want: stop.correction}
}

// furthest returns the largest change from the heights before, mm.
func (s *solver) furthest(before []float64) float64 {
	worst := 0.0
	for k, height := range s.u {
		worst = max(worst, math.Abs(height-before[k]))
	}
	return worst
}

// within returns the height nearest to the given one that frame and rolls leave
// to node k, mm.
func (l *lattice) within(height float64, k int) float64 {
	return min(max(height, l.lower[k]), l.upper[k])
}

// correct takes one multigrid correction of the nodes that neither frame nor roll
// holds, as far as it lowers the energy. It returns the correction's size before anything was
// cut from it, and the energy reached.
func (s *solver) correct(ctx context.Context, energy float64) (size, reached float64) {
	l := s.l
	for k, height := range s.u {
		s.held[k] = !l.moves[k] || height <= l.lower[k] || height >= l.upper[k]
	}
	s.grid.expand(ctx, l, s.u, s.pull, s.held)
	step := s.grid.solve(ctx, s.cg)
	for k := range step {
		size = max(size, math.Abs(step[k]))
	}
	const halvings = 12
	part := 1.0
	for range halvings {
		for k, height := range s.u {
			s.next[k] = height
			if !s.held[k] {
				s.next[k] = l.within(height+part*step[k], k)
			}
		}
		if tried := l.energy(ctx, s.next, s.pull); tried < energy {
			copy(s.u, s.next)
			return size, tried
		}
		part /= 2
	}
	return size, energy
}

// refine carries heights from a lattice to the next finer of the same span.
func (l *lattice) refine(ctx context.Context, coarse *lattice, heights []float64) []float64 {
	fine := make([]float64, l.columns*l.rows)
	overRows(ctx, stageLattice, l.rows, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			if l.free[k] {
				fine[k] = coarse.heightAt(l.at(k), heights)
			}
		}
	})
	return fine
}
