package simplify

import (
	"context"
	"errors"
	"fmt"
	"math"

	"earframe/mesh"
)

// How a mesh gets fewer triangles and stays sound.
//
//  1. Flat regions are found. Vertices inside them and on straight edges between
//     them go at once (flat.go).
//  2. Edges are collapsed in passes over the whole mesh, each pass allowing more
//     than the one before, up to the tolerance. A collapse must keep the mesh
//     what it is topologically, sharp edges sharp, broad flat faces flat,
//     triangles facing as they did, and the bound on how far any point of the
//     surface has moved within what the pass allows (bound.go,
//     edges.go). The new vertex keeps the volume (place.go).
//  3. Only then are triangles tested against each other. Where some cross, all is
//     done again with the vertices round those places locked: from the start if
//     one of them went with the flat faces, else from the edges on. The
//     input has no crossings, so this comes to an end, at the latest with the
//     input itself.

// Options says how far a simplified mesh may be from its input.
type Options struct {
	// Tolerance in mm bounds the distance of each point of either surface from
	// the other; 0 takes away only what lies in one plane, or on one straight
	// edge, as exactly as a float32 tells.
	Tolerance float64
}

// DefaultTolerance is the tolerance of simplification in mm when none is asked
// for.
const DefaultTolerance = 0.01

// Of returns a mesh with fewer triangles whose surface is within the
// tolerance of the input's, both ways. The input must be closed, manifold and
// free of self-intersections, as package contour makes it; the result is that too, with
// the same shells and handles, and its coordinates are numbers that a float32
// holds, as those of package contour are. Sharp edges stay sharp, broad flat faces stay in their
// plane. Where crossings cannot be kept out, the result is the input itself, with
// its own coordinates. It is the same on any number of cores.
//
// It is an error if the input is not closed and manifold, or the tolerance is
// negative or not a number; ctx ends the work early with its error.
func Of(ctx context.Context, m *mesh.Mesh, options Options) (*mesh.Mesh, error) {
	if !(options.Tolerance >= 0) || math.IsInf(options.Tolerance, 0) {
		return nil, fmt.Errorf("simplify: tolerance %g mm, zero or a positive number needed", options.Tolerance)
	}
	if m == nil {
		return nil, errors.New("simplify: no mesh to simplify")
	}
	return simplifyWithout(ctx, m, options.Tolerance, mesh.Crossings)
}

// Judged is Of, and the judge's word on the result, which is searched for crossings
// once. The error wraps mesh.ErrUnsound where that is not sound.
func Judged(ctx context.Context, m *mesh.Mesh, options Options) (*mesh.Mesh, mesh.Verdict, error) {
	simple, err := Of(ctx, m, options)
	if err != nil {
		return nil, mesh.Verdict{}, err
	}
	judge := mesh.JudgeUncrossed
	if simple == m { // which was not searched
		judge = mesh.JudgeContext
	}
	verdict, err := judge(ctx, simple)
	if err == nil {
		err = verdict.Err()
	}
	return simple, verdict, err
}

// crossingTest lists pairs of triangles that cross.
type crossingTest func(ctx context.Context, m *mesh.Mesh, limit int) ([][2]int32, error)

// mostRounds bounds how often simplification starts again because triangles
// crossed. Each round locks more widely.
const mostRounds = 6

// simplifyWithout simplifies until the test finds no crossings.
func simplifyWithout(ctx context.Context, m *mesh.Mesh, tolerance float64, test crossingTest) (*mesh.Mesh, error) {
	locked := make([]bool, len(m.Vertices))
	reach := 0.0
	var s *simplifier
	for range mostRounds {
		var err error
		if s == nil {
			if s, err = newSimplifier(ctx, m, tolerance, locked); err != nil {
				return nil, err
			}
			if err := s.takeFlat(ctx); err != nil {
				return nil, err
			}
		}
		if err := s.collapse(ctx, locked); err != nil {
			return nil, err
		}
		out := s.surface.mesh()
		crossings, err := test(ctx, out, mostCrossings)
		if err != nil {
			return nil, err
		}
		if len(crossings) == 0 {
			return out, nil
		}
		reach = max(widerReach*reach, 2*max(tolerance, s.flatness))
		if reach, err = lockNear(ctx, m, locked, out, crossings, reach); err != nil {
			return nil, err
		}
		if s.hasTaken(locked) {
			s = nil
		}
	}
	return m, nil
}

// mostCrossings bounds the crossings that one round looks for; a few are usual.
// What it does not see is left to the next.
const mostCrossings = 1 << 13

// simplifier is one go at simplifying.
type simplifier struct {
	surface   *surface
	planes    []plane
	tolerance float64
	flatness  float64 // how far off a plane still counts as on it, mm
	altitude  float64 // least altitude of new triangles, mm
	locked    []bool
	changed   []int32   // last pass that changed triangles at the vertex
	merged    []int32   // last pass that drew two vertices together there; for edges only, as the next two
	cost      []float32 // bound that a collapse of the edge was found to need, at the lower half-edge
	seen      []int32   // pass in which that was
	schedule  schedule
	flat      *surface // where the flat faces are done
	left      []int32  // its vertices
	pass      int32    // passes so far
}

// leastAltitude is the least altitude of triangles, mm, where the coordinates
// are so small that float32 rounding asks for less.
const leastAltitude = 1e-5

// thinnestUnits is the least altitude in units of float32 rounding of the largest
// coordinate: rounding the corners must not turn a triangle over.
const thinnestUnits = 4

func newSimplifier(ctx context.Context, m *mesh.Mesh, tolerance float64, locked []bool) (*simplifier, error) {
	surface, err := newSurface(ctx, m)
	if err != nil {
		return nil, err
	}
	largest := 0.0
	for k := range surface.low {
		largest = max(largest, math.Abs(surface.low[k]), math.Abs(surface.high[k]))
	}
	n := len(surface.position)
	s := &simplifier{
		surface: surface, tolerance: tolerance, locked: locked,
		flatness: roundings * largest * floatRounding,
		altitude: max(leastAltitude, thinnestUnits*largest*floatRounding),
		changed:  make([]int32, n),
		schedule: newSchedule(n),
	}
	if err := surface.findCreases(ctx); err != nil {
		return nil, err
	}
	s.planes, err = surface.findRegions(ctx, s.flatness)
	return s, err
}

// pack leaves out what the flat faces lost, mostly three quarters of a contour, and
// makes room for what edges need: they are gone through several times.
func (s *simplifier) pack(locked []bool) {
	s.locked = make([]bool, len(s.left))
	for i, v := range s.left {
		s.locked[i] = locked[v]
	}
	s.surface = s.flat.packed(s.left)
	n, edges := len(s.left), len(s.surface.corner)
	s.changed, s.merged = make([]int32, n), make([]int32, n)
	s.cost, s.seen = make([]float32, edges), make([]int32, edges)
	s.schedule = newSchedule(n)
}

// hasTaken reports whether a locked vertex went with the flat faces. Where none did,
// locking them from the start would have changed nothing up to there.
func (s *simplifier) hasTaken(locked []bool) bool {
	for v, h := range s.flat.first {
		if locked[v] && h == removed {
			return true
		}
	}
	return false
}

// collapse does the passes over edges, from where the flat faces are done, with
// these vertices of the input locked.
func (s *simplifier) collapse(ctx context.Context, locked []bool) error {
	if s.tolerance == 0 {
		return nil
	}
	s.pack(locked)
	// Going through a smaller tolerance first would leave a tenth fewer
	// triangles and take a third longer.
	return s.collapseWithin(ctx, s.tolerance)
}

const (
	// leastGain ends the passes over edges: the share of the vertices that a pass must take
	// for another to follow.
	leastGain = 0.1

	// mostPasses bounds the passes over edges; three are usual.
	mostPasses = 8

	// mostFlatPasses bounds the passes over flat vertices; each takes about a
	// fifth of what is left.
	mostFlatPasses = 60

	// mostFlatRests bounds how often what is left is looked through once more: a
	// vertex that a neighbour held in one block may go when that is gone.
	mostFlatRests = 3
)

// takeFlat takes out the vertices inside flat regions and on straight edges.
func (s *simplifier) takeFlat(ctx context.Context) error {
	flat := task{
		stage:  "flat vertices",
		worth:  s.betweenTwoRegions,
		hand:   func(uint8) atHand { return (&flatWork{simplifier: s, chordHalf: removed}).take },
		passes: mostFlatPasses,
	}
	if err := s.round(ctx, flat); err != nil {
		return err
	}
	for range mostFlatRests {
		for _, v := range s.alive() {
			s.schedule.turn[v] = uint8(rest)
		}
		if taken, err := s.workOnRest(ctx, flat); err != nil {
			return err
		} else if taken == 0 {
			break
		}
	}
	s.flat, s.left = s.surface, s.alive()
	return nil
}

// collapseWithin collapses edges as long as no point moves further than allowed
// mm.
func (s *simplifier) collapseWithin(ctx context.Context, allowed float64) error {
	return s.round(ctx, task{
		stage: "edges",
		hand: func(turn uint8) atHand {
			return (&edgeWork{simplifier: s, turn: turn, allowed: float32(allowed)}).collapseAt
		},
		passes: mostPasses,
		gain:   leastGain,
	})
}
