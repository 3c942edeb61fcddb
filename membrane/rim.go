package membrane

import (
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Rims. Skin leaves a steep wall at its top edge, which seldom runs through
// nodes; left alone, the frame would shrink by half a step all round. So the
// node next to a rim is drawn onto it, by at most half an edge of the lattice,
// and its cells become pieces.
//
//	  •───────•──╮      •  node, drawn to ╮
//	             │
//	plateau      •      •
//
// The place looked for is where straight skin from the edge's lower end would
// touch the frame, as steep as the drape of the lattice before falls there: the
// rim itself on a sharp edge, some of the way down the roundness on a carved one.
const (
	// rimSlope is the mean slope along a lattice edge that counts as a wall.
	rimSlope = 1.5
	// stepSlope is the mean slope from which a lattice edge is a wall if most of
	// its drop lies in one half of it.
	stepSlope = 0.1
	// stepShare is the share of the drop that the other half may have.
	stepShare = 0.1
	// rimReach is how far a node may be drawn, as a share of the lattice edge
	// that the rim crosses.
	rimReach = 0.55
	// rimSamples is the number of parts in which a rim is first looked for.
	rimSamples = 8
)

// expected is the drape of the lattice before: what the skin is going to do.
type expected struct {
	l       *lattice // nil if there is none
	heights []float64
}

func (e expected) at(p mgl64.Vec2) float64 { return e.l.heightAt(p, e.heights) }

// drawOntoRims moves nodes beside rims. Nodes whose neighbours lie outside the
// pocket stay, because the pocket's edge is cut on straight lattice lines.
func (l *lattice) drawOntoRims(ctx context.Context, frame Frame, skin expected) {
	nodes := len(l.free)
	crossings := make([][2]crossing, nodes) // of the edges to the right and upward
	found := make([]bool, l.rows)
	overRows(ctx, stageLattice, l.rows-1, l.columns, func(from, to int) {
		probe := &rimProbe{frame: frame, skin: skin}
		for k := from * l.columns; k < to*l.columns; k++ {
			for axis, other := range [2]int{k + 1, k + l.columns} {
				if l.free[k] && l.free[other] {
					crossings[k][axis] = probe.find(l, k, other)
					found[k/l.columns] = found[k/l.columns] || crossings[k][axis].is
				}
			}
		}
	})
	if !slices.Contains(found, true) {
		return
	}
	l.moved = make([]mgl64.Vec2, nodes)
	overRows(ctx, stageLattice, l.rows, l.columns, func(from, to int) {
		probe := &rimProbe{frame: frame, skin: skin}
		for k := from * l.columns; k < to*l.columns; k++ {
			l.moved[k] = l.place(k)
			if l.free[k] && l.surrounded(k) {
				l.moved[k] = probe.target(l, crossings, k)
			}
		}
	})
	l.sampleMoved(ctx, frame)
	for l.undoSlivers(ctx) || l.undoUncovered() {
	}
	if skin.l != nil {
		l.drawFeet(ctx, frame, skin)
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

// crossing is where a rim crosses a lattice edge.
type crossing struct {
	is   bool
	down bool    // the edge falls in its own direction, rightward or upward
	part float64 // of the way from the higher end to the lower
	fall float64 // slope of straight skin along the edge
}

// rimProbe looks for rims on straight lines.
type rimProbe struct {
	frame   Frame
	skin    expected
	points  [rimSamples + 1]mgl64.Vec2
	heights [rimSamples + 1]float64
}

// find looks for a rim on the lattice edge between two nodes.
func (r *rimProbe) find(l *lattice, from, to int) crossing {
	c := crossing{down: l.lower[from] > l.lower[to]}
	if !c.down {
		from, to = to, from
	}
	drop := l.lower[from] - l.lower[to]
	if drop == 0 {
		return c
	}
	high, low := l.place(from), l.place(to)
	length := math.Sqrt(low.Sub(high).LenSqr())
	if !r.wall(l.lower[from], drop, length, high, low) {
		return c
	}
	c.is, c.fall = true, min(drop/length/rimSlope, 1)
	if r.skin.l != nil {
		c.fall = max(0, min(drop, l.lower[from]-r.skin.at(low))/length)
	}
	c.part = r.touch(high, low, c.fall*length)
	return c
}

// wall reports whether a line that drops from the height crosses a wall.
func (r *rimProbe) wall(height, drop, length float64, high, low mgl64.Vec2) bool {
	if drop < stepSlope*length {
		return false
	}
	if drop >= rimSlope*length {
		return true
	}
	upper := height - heightOf(r.frame, high.Add(low).Mul(0.5))
	return min(upper, drop-upper) < stepShare*drop
}

// touch returns the fraction of the way from high to low at which straight skin
// that drops by tilt on it touches the frame.
func (r *rimProbe) touch(high, low mgl64.Vec2, tilt float64) float64 {
	way := low.Sub(high)
	for n := range r.points {
		r.points[n] = high.Add(way.Mul(float64(n) / rimSamples))
	}
	r.frame.Heights(r.points[:], r.heights[:])
	best, at := math.Inf(-1), 0.0
	for n, height := range r.heights {
		if score := height + tilt*float64(n)/rimSamples; score > best {
			best, at = score, float64(n)/rimSamples
		}
	}
	const halvings = 6
	beyond := at + 1.0/rimSamples
	for range halvings {
		middle := (at + beyond) / 2
		if score := heightOf(r.frame, high.Add(way.Mul(middle))) + tilt*middle; score > best {
			best, at = score, middle
		} else {
			beyond = middle
		}
	}
	return min(at, 1)
}

// target returns where node k is to be drawn.
func (r *rimProbe) target(l *lattice, crossings [][2]crossing, k int) mgl64.Vec2 {
	for _, high := range [2]bool{true, false} {
		if way, edge, fall := l.shift(crossings, k, high); edge > 0 {
			return r.settle(l.place(k), way, edge, fall, high)
		}
	}
	return l.place(k)
}

// shift returns the way from node k to the rim that crosses its lattice edges
// nearer to it than to their other ends, the longest of those edges and the
// steepest fall of skin on them; high says whether k is to be the upper or the
// lower end of those edges.
func (l *lattice) shift(crossings [][2]crossing, k int, high bool) (way mgl64.Vec2, edge, fall float64) {
	var nearest nearestWays
	for axis, stride := range [2]int{1, l.columns} {
		for _, other := range [2]int{k - stride, k + stride} {
			c := crossings[min(k, other)][axis]
			if !c.is || (c.down == (other > k)) != high {
				continue
			}
			// Both ends ask this; exactly one of them may be drawn.
			if nearHigh := c.part <= 0.5+rounding; nearHigh != high {
				continue
			}
			part := c.part
			if !high {
				part = 1 - part
			}
			side := l.place(other).Sub(l.place(k))
			if part > 0 && nearest.take(axis, side.Mul(part)) {
				edge, fall = max(edge, side.Len()), max(fall, c.fall)
			}
		}
	}
	return nearest.foot(), edge, fall
}

// settle looks for the rim once more, along the way found from a node's place.
func (r *rimProbe) settle(place, way mgl64.Vec2, edge, fall float64, high bool) mgl64.Vec2 {
	const overshoot = 1.5
	from, to := place, place.Add(way.Mul(overshoot))
	if !high {
		from, to = to, from
	}
	part := r.touch(from, to, fall*overshoot*way.Len())
	target := from.Add(to.Sub(from).Mul(part))
	if part == 0 || target.Sub(place).Len() > rimReach*edge {
		return place
	}
	return target
}

// nearestWays are the shortest ways from a node to something that crosses its
// lattice edges, one along each axis.
type nearestWays struct {
	way   [2]mgl64.Vec2
	found [2]bool
}

// take takes a way if it is the shortest so far, and reports whether it is.
func (n *nearestWays) take(axis int, way mgl64.Vec2) bool {
	if n.found[axis] && way.LenSqr() >= n.way[axis].LenSqr() {
		return false
	}
	n.way[axis], n.found[axis] = way, true
	return true
}

// foot returns the way to the line through both crossings, or to the only one.
func (n *nearestWays) foot() mgl64.Vec2 {
	if !n.found[0] || !n.found[1] {
		return n.way[0].Add(n.way[1])
	}
	line := n.way[1].Sub(n.way[0])
	return n.way[0].Sub(line.Mul(n.way[0].Dot(line) / line.LenSqr()))
}
