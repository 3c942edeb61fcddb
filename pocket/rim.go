package pocket

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Rims. Skin leaves a steep wall at its top edge, which seldom runs through
// nodes; left alone, the frame would shrink by half a step all round. So the
// node next to a rim is drawn onto it, by at most half a step, and its cells
// become pieces.
//
//	  •───────•──╮      •  node, drawn to ╮
//	             │
//	plateau      •      •
//
// The place looked for is where a straight edge at 45° (or, on a low step, less
// steep than the step) would touch the frame: the rim itself on a sharp edge,
// the middle of the roundness on a carved one.
const (
	// rimSlope is the mean slope along a lattice edge that counts as a wall.
	rimSlope = 1.5
	// stepSlope is the mean slope from which a lattice edge is a wall if most of
	// its drop lies in one half of it.
	stepSlope = 0.1
	// stepShare is the share of the drop that the other half may have.
	stepShare = 0.1
	// rimReach is how far a node may be drawn, in steps.
	rimReach = 0.55
	// rimSliver is the least area of a triangle with drawn corners, in half
	// squares of the step.
	rimSliver = 0.2
)

// drawOntoRims moves nodes beside rims. Nodes whose neighbours lie outside the
// pocket stay, because the pocket's edge is cut on straight lattice lines.
func (l *lattice) drawOntoRims(frame Frame) {
	targets := make([]mgl64.Vec2, len(l.free))
	found := make([]bool, l.rows)
	l.crew.rows(l.rows, l.columns, func(from, to int) {
		probe := newRimProbe(frame)
		for k := from * l.columns; k < to*l.columns; k++ {
			targets[k] = l.place(k)
			if !l.free[k] || !l.surrounded(k) {
				continue
			}
			if target, ok := probe.target(l, k); ok {
				targets[k] = target
				found[k/l.columns] = true
			}
		}
	})
	for _, any := range found {
		if any {
			l.moved = targets
			l.sampleMoved(frame)
			for l.undoSlivers() || l.undoUncovered() {
			}
			return
		}
	}
}

func (l *lattice) surrounded(k int) bool {
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			if !l.free[k+dj*l.columns+di] {
				return false
			}
		}
	}
	return true
}

// rimProbe looks for rims on straight lines.
type rimProbe struct {
	frame   Frame
	points  [rimSamples + 1]mgl64.Vec2
	heights [rimSamples + 1]float64
}

const rimSamples = 16

func newRimProbe(frame Frame) *rimProbe { return &rimProbe{frame: frame} }

// touch returns the fraction of the way from high to low at which a
// tilted straight edge touches the frame.
func (r *rimProbe) touch(high, low mgl64.Vec2) float64 {
	way := low.Sub(high)
	length := way.Len()
	for n := range r.points {
		r.points[n] = high.Add(way.Mul(float64(n) / rimSamples))
	}
	r.frame.Heights(r.points[:], r.heights[:])
	tilt := min(length, (r.heights[0]-r.heights[rimSamples])/rimSlope)
	best, at := math.Inf(-1), 0.0
	for n, height := range r.heights {
		if score := height + tilt*float64(n)/rimSamples; score > best {
			best, at = score, float64(n)/rimSamples
		}
	}
	const halvings = 8
	beyond := at + 1.0/rimSamples
	for range halvings {
		middle := (at + beyond) / 2
		r.points[0] = high.Add(way.Mul(middle))
		r.frame.Heights(r.points[:1], r.heights[:1])
		if score := r.heights[0] + tilt*middle; score > best {
			best, at = score, middle
		} else {
			beyond = middle
		}
	}
	return min(at, 1)
}

// wall reports whether the lattice edge between two nodes crosses a wall.
func (r *rimProbe) wall(l *lattice, high, low int, drop float64) bool {
	if drop < stepSlope*l.step {
		return false
	}
	if drop >= rimSlope*l.step {
		return true
	}
	r.points[0] = l.place(high).Add(l.place(low)).Mul(0.5)
	r.frame.Heights(r.points[:1], r.heights[:1])
	upper := l.lower[high] - r.heights[0]
	return min(upper, drop-upper) < stepShare*drop
}

// target returns where node k is to be drawn, if it is.
func (r *rimProbe) target(l *lattice, k int) (mgl64.Vec2, bool) {
	upper, isUpper := r.shift(l, k, true)
	if isUpper {
		return r.settle(l, k, upper, true)
	}
	if lower, isLower := r.shift(l, k, false); isLower {
		return r.settle(l, k, lower, false)
	}
	return mgl64.Vec2{}, false
}

// shift returns the way from node k to the rim that crosses its lattice edges
// nearer to it than to their other ends; high says whether k is to be the upper
// or the lower end of those edges.
func (r *rimProbe) shift(l *lattice, k int, high bool) (mgl64.Vec2, bool) {
	var along [2]float64
	for axis, stride := range [2]int{1, l.columns} {
		for _, sign := range [2]int{-1, 1} {
			other := k + sign*stride
			drop := l.lower[k] - l.lower[other]
			from, to := k, other
			if !high {
				drop, from, to = -drop, other, k
			}
			if !r.wall(l, from, to, drop) {
				continue
			}
			part := r.touch(l.place(from), l.place(to))
			// Both ends ask this; exactly one of them may be drawn.
			if nearHigh := part <= 0.5+rounding; nearHigh != high {
				continue
			}
			if !high {
				part = 1 - part
			}
			if part > 0 && (along[axis] == 0 || part < math.Abs(along[axis])) {
				along[axis] = float64(sign) * part
			}
		}
	}
	x, y := along[0]*l.step, along[1]*l.step
	if x != 0 && y != 0 {
		// The foot on the line through both crossings.
		square := x*x + y*y
		x, y = x*y*y/square, y*x*x/square
	}
	return mgl64.Vec2{x, y}, x != 0 || y != 0
}

// settle looks for the rim once more, along the way found.
func (r *rimProbe) settle(l *lattice, k int, way mgl64.Vec2, high bool) (mgl64.Vec2, bool) {
	const overshoot = 1.5
	from := l.place(k)
	to := from.Add(way.Mul(overshoot))
	if !high {
		from, to = to, from
	}
	part := r.touch(from, to)
	if part == 0 {
		return mgl64.Vec2{}, false
	}
	target := from.Add(to.Sub(from).Mul(part))
	return target, target.Sub(l.place(k)).Len() <= rimReach*l.step
}
