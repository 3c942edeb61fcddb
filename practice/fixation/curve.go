package fixation

import (
	"math"
	"slices"

	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
)

// curve is a seam in the making, seen from the side.
type curve struct {
	points       []mgl64.Vec2
	closed       bool
	openA, openB bool // whether an end is a tip, and not a fork
}

const (
	curveStep    = 0.2 // mm between a seam's points
	smoothRounds = 12  // averages over about half a millimetre each way
	centreRounds = 4

	// chordReach is how many times the distance from the border the patch may
	// reach to either side of a seam for that to be its width: farther, it is the
	// end of the patch or the mouth of another limb that is looked at.
	chordReach = 1.6

	// endBack is the length, mm, over which a seam's direction is taken where it
	// is taken on to the border.
	endBack = 2.0
)

// middleLines returns the patch's seams, seen from the side: the thinned lines,
// smoothed, put in the middle between both borders, and taken on to the border
// at their tips.
func (p *patch) middleLines(island []int, spacing float64) []curve {
	g := p.newGraph(island)
	g.prune(spacing)
	if len(g.lines) == 0 {
		return []curve{p.axis(island)}
	}
	degree := g.degrees()
	var curves []curve
	for _, l := range g.lines {
		c := curve{points: l.points, closed: l.from < 0}
		if !c.closed {
			c.openA, c.openB = degree[l.from] == 1, degree[l.to] == 1
			p.outOfCorners(&c)
		}
		for range centreRounds {
			c = c.resampled()
			c.smooth()
			p.centre(&c)
		}
		c.smooth()
		p.takeOn(&c)
		curves = append(curves, c.resampled())
	}
	return curves
}

// corner is how fast a line must near the border, over its length, to run into a
// corner and not along a limb that tapers: a square corner's bisector does at
// sin 45°, a limb whose sides are closer than 70 degrees more slowly than this.
const corner = 0.58

// outOfCorners cuts a curve back at its tips as far as it runs into a corner: of
// the two at a blunt end, thinning may leave the line into one alone.
func (p *patch) outOfCorners(c *curve) {
	back := func() {
		gone, cut := 0.0, 0
		tip := p.depth(c.points[0])
		for k := 1; k < len(c.points)-1; k++ {
			gone += c.points[k].Sub(c.points[k-1]).Len()
			if p.depth(c.points[k])-tip > corner*gone {
				cut = k
			}
		}
		c.points = c.points[cut:]
	}
	if c.openA {
		back()
	}
	if c.openB {
		slices.Reverse(c.points)
		back()
		slices.Reverse(c.points)
	}
}

// axis is the seam of an island that is about as long as wide: straight through
// its middle along its longest extent, from border to border.
func (p *patch) axis(island []int) curve {
	var middle mgl64.Vec2
	for _, i := range island {
		middle = middle.Add(p.place(i).Mul(1 / float64(len(island))))
	}
	var xx, xy, yy float64
	for _, i := range island {
		d := p.place(i).Sub(middle)
		xx, xy, yy = xx+d[0]*d[0], xy+d[0]*d[1], yy+d[1]*d[1]
	}
	turn := math.Atan2(2*xy, xx-yy) / 2
	along := mgl64.Vec2{math.Cos(turn), math.Sin(turn)}
	c := curve{openA: true, openB: true}
	c.points = []mgl64.Vec2{
		middle.Sub(along.Mul(p.toBorder(middle, along.Mul(-1), math.Inf(1)))), middle,
		middle.Add(along.Mul(p.toBorder(middle, along, math.Inf(1)))),
	}
	return c.resampled()
}

// toBorder returns how far it is from a place inside the patch to its border in
// a unit direction, mm; at least most once that is passed. Each step is as long
// as the distance allows.
func (p *patch) toBorder(from, along mgl64.Vec2, most float64) float64 {
	const near = 1e-4 // mm: below what the border is known to
	gone := 0.0
	for gone < most {
		d := p.depth(from.Add(along.Mul(gone)))
		if d < near {
			break
		}
		gone += d
	}
	return gone
}

// resampled returns the curve with points evenly spaced, about curveStep apart.
func (c curve) resampled() curve {
	points := c.points
	if c.closed {
		points = append(append([]mgl64.Vec2(nil), points...), points[0])
	}
	length := centreline.LengthOf(points, false)
	n := max(2, int(math.Round(length/curveStep)))
	to := make([]mgl64.Vec2, 0, n+1)
	gone, k := 0.0, 1
	for i := range n + 1 {
		want := length * float64(i) / float64(n)
		for k < len(points)-1 && gone+points[k].Sub(points[k-1]).Len() < want {
			gone += points[k].Sub(points[k-1]).Len()
			k++
		}
		piece := points[k].Sub(points[k-1])
		share := 0.0
		if l := piece.Len(); l > 0 {
			share = math.Min((want-gone)/l, 1)
		}
		to = append(to, points[k-1].Add(piece.Mul(share)))
	}
	c.points = to
	if c.closed {
		c.points = to[:n]
	}
	return c
}

// neighbours returns the points before and after point i; ends have themselves.
func (c *curve) neighbours(i int) (before, after mgl64.Vec2) {
	n := len(c.points)
	if c.closed {
		return c.points[(i+n-1)%n], c.points[(i+1)%n]
	}
	return c.points[max(i-1, 0)], c.points[min(i+1, n-1)]
}

// smooth averages every point with its neighbours; ends stay.
func (c *curve) smooth() {
	to := make([]mgl64.Vec2, len(c.points))
	for range smoothRounds {
		for i, q := range c.points {
			before, after := c.neighbours(i)
			if !c.closed && (i == 0 || i == len(c.points)-1) {
				to[i] = q
				continue
			}
			to[i] = q.Mul(0.5).Add(before.Add(after).Mul(0.25))
		}
		copy(c.points, to)
	}
}

// centre moves every point to the middle between the borders on both sides.
func (p *patch) centre(c *curve) {
	to := make([]mgl64.Vec2, len(c.points))
	for i, q := range c.points {
		to[i] = q
		if !c.closed && (i == 0 && !c.openA || i == len(c.points)-1 && !c.openB) {
			continue
		}
		before, after := c.neighbours(i)
		along := after.Sub(before)
		if along.Len() == 0 {
			continue
		}
		across := mgl64.Vec2{-along[1], along[0]}.Mul(1 / along.Len())
		most := chordReach * p.depth(q)
		left, right := p.toBorder(q, across, most), p.toBorder(q, across.Mul(-1), most)
		if left < most && right < most {
			to[i] = q.Add(across.Mul((left - right) / 2))
		}
	}
	c.points = to
}

// takeOn takes the curve on to the border at its tips, in its own direction.
func (p *patch) takeOn(c *curve) {
	if c.openA {
		c.points = append([]mgl64.Vec2{p.onBorder(c.points)}, c.points...)
	}
	if c.openB {
		n := len(c.points)
		back := make([]mgl64.Vec2, n)
		for i, q := range c.points {
			back[n-1-i] = q
		}
		c.points = append(c.points, p.onBorder(back))
	}
}

// onBorder returns where a curve meets the border if it is taken on beyond its
// first point.
func (p *patch) onBorder(points []mgl64.Vec2) mgl64.Vec2 {
	tip := points[0]
	from, gone := tip, 0.0
	for k := 1; k < len(points) && gone < endBack; k++ {
		gone += points[k].Sub(points[k-1]).Len()
		from = points[k]
	}
	along := tip.Sub(from)
	if along.Len() == 0 {
		return tip
	}
	along = along.Normalize()
	return tip.Add(along.Mul(p.toBorder(tip, along, math.Inf(1))))
}
