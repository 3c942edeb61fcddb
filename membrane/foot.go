package membrane

import (
	"context"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Feet. Skin that clings to a wall drops from its rim at once. Were the next node
// a step away, the drape would stand off the wall by half a step times the drop,
// at hardly any cost in energy: as good as all of the error in the volume under
// it. So the node at the foot of a rim is drawn close to the wall.
//
//	•─────•╮                    •─────•╮
//	       │╲                          ││
//	       │  ╲                        │ ╲
//	       │    •─────•                │•──────•
const (
	// footGap is how far from the wall a node is drawn, in steps. A third of it
	// changes the volume under the demo's drape by 0.1 to 0.3 %, and makes the
	// equations stiffer.
	footGap = 0.2
)

// drawFeet moves nodes at the foot of walls that the skin clings to.
func (l *lattice) drawFeet(ctx context.Context, frame Frame, skin expected) {
	rims := l.moved
	feet := make([]mgl64.Vec2, len(rims))
	overRows(ctx, stageLattice, l.rows, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			feet[k] = rims[k]
			if l.free[k] && !l.hasMoved(k) && l.surrounded(k) {
				feet[k] = l.foot(frame, skin, k)
			}
		}
	})
	l.moved = feet
	takeBack := func(k int) bool {
		was := feet[k] != rims[k]
		feet[k] = rims[k]
		return was
	}
	for l.eachSliver(ctx, footSliver, takeBack) {
	}
	l.sampleMoved(ctx, frame)
}

// foot returns where node k is to be drawn.
func (l *lattice) foot(frame Frame, skin expected, k int) mgl64.Vec2 {
	p := l.at(k)
	height, top := math.NaN(), 0.0
	var nearest nearestWays
	for axis, stride := range [2]int{1, l.columns} {
		for _, other := range [2]int{k - stride, k + stride} {
			if l.lower[other] == l.lower[k] {
				continue
			}
			way := l.at(other).Sub(p)
			steep := rimSlope * math.Sqrt(way.LenSqr())
			if l.lower[other]-l.lower[k] < steep {
				continue
			}
			if math.IsNaN(height) {
				height = max(skin.at(p), l.lower[k])
			}
			if l.lower[other]-height > steep && nearest.take(axis, way) {
				top = max(top, l.lower[other])
			}
		}
	}
	way := nearest.foot()
	if top == 0 {
		return p
	}
	// The wall on the way, halfway up from the skin to the rim.
	const beyond, halvings = 1.25, 12
	near, far := 0.0, beyond
	for range halvings {
		if middle := (near + far) / 2; heightOf(frame, p.Add(way.Mul(middle))) > (height+top)/2 {
			far = middle
		} else {
			near = middle
		}
	}
	gap := footGap * l.step / way.Len()
	if near < gap || far == beyond {
		return p
	}
	return p.Add(way.Mul(near - gap))
}

// heightOf returns the frame's height at one place, mm.
func heightOf(frame Frame, p mgl64.Vec2) float64 {
	points, height := [1]mgl64.Vec2{p}, [1]float64{}
	frame.Heights(points[:], height[:])
	return height[0]
}
