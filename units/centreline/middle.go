package centreline

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// How the middle line is found: how many points the sides and the line have,
// how often the line is moved, and how much it is smoothed.
const (
	sidePoints   = 240
	linePoints   = 200
	middleRounds = 6
	smoothRounds = 4

	// endTrust: a line that runs into the corner of a blunt end comes there along
	// the bisector, √2 half widths long; the rest is margin for a slanted end.
	endTrust = 1.5
)

// sides divides the ring at two of its points into the two long sides, both
// from the first end to the last.
func sides(ring []mgl64.Vec2, first, last int) (left, right []mgl64.Vec2) {
	walk := func(from, to int) []mgl64.Vec2 {
		side := []mgl64.Vec2{ring[from]}
		for i := from; i != to; {
			i = (i + 1) % len(ring)
			side = append(side, ring[i])
		}
		return side
	}
	return walk(first, last), backward(walk(last, first))
}

// middleOf returns the line between two sides that share both ends.
func middleOf(left, right []mgl64.Vec2) []mgl64.Vec2 {
	line := resample(pairMiddles(resample(left, sidePoints), resample(right, sidePoints)), linePoints)
	for range middleRounds {
		onLeft, onRight := follow(left), follow(right)
		for i := 1; i < len(line)-1; i++ {
			line[i] = towardMiddle(line[i], &onLeft, &onRight)
		}
		line = resample(line, linePoints)
	}
	for range smoothRounds {
		before := line[0]
		for i := 1; i < len(line)-1; i++ {
			here := line[i]
			line[i] = before.Add(here.Mul(2)).Add(line[i+1]).Mul(0.25)
			before = here
		}
	}
	return resample(line, linePoints)
}

// towardMiddle moves a point by half of what it is nearer to one side than to
// the other.
func towardMiddle(p mgl64.Vec2, left, right *follower) mgl64.Vec2 {
	a, toLeft := left.nearest(p)
	b, toRight := right.nearest(p)
	across := a.Sub(b)
	if across.Len() == 0 {
		return p
	}
	return p.Add(across.Normalize().Mul((toLeft - toRight) / 2))
}

// follower finds nearest points on a side for points that come in order, and
// looks only around the place found last.
type follower struct {
	side    []mgl64.Vec2
	longest float64 // of its edges
	at      int
}

func follow(side []mgl64.Vec2) follower { return follower{side: side, longest: longestEdge(side)} }

// followReach is the share of a side that is searched each way.
const followReach = 8

// nearest returns the point of the side nearest to p, and its distance.
func (f *follower) nearest(p mgl64.Vec2) (nearest mgl64.Vec2, distance float64) {
	reach := len(f.side)/followReach + 2
	at, along, square := nearestEdge(p, f.side, f.longest, max(1, f.at-reach), min(len(f.side), f.at+reach), max(1, f.at))
	f.at = at
	a, b := f.side[at-1], f.side[at]
	return a.Add(b.Sub(a).Mul(along)), math.Sqrt(square)
}

// pairMiddles pairs the points of both sides in order with the least sum of
// squared distances (dynamic time warping: Sakoe and Chiba 1978) and returns
// the middles.
func pairMiddles(left, right []mgl64.Vec2) []mgl64.Vec2 {
	n, m := len(left), len(right)
	cost := make([]float64, n*m)
	for i := range n {
		for j := range m {
			before := 0.0
			switch {
			case i > 0 && j > 0:
				before = min(cost[(i-1)*m+j-1], cost[(i-1)*m+j], cost[i*m+j-1])
			case i > 0:
				before = cost[(i-1)*m]
			case j > 0:
				before = cost[j-1]
			}
			cost[i*m+j] = before + left[i].Sub(right[j]).LenSqr()
		}
	}
	at := func(i, j int) float64 {
		if i < 0 || j < 0 {
			return math.Inf(1)
		}
		return cost[i*m+j]
	}
	var middles []mgl64.Vec2
	for i, j := n-1, m-1; ; {
		middles = append(middles, left[i].Add(right[j]).Mul(0.5))
		if i+j == 0 {
			return backward(middles)
		}
		both, one := at(i-1, j-1), at(i-1, j)
		switch other := at(i, j-1); {
		case both <= one && both <= other:
			i, j = i-1, j-1
		case one <= other:
			i--
		default:
			j--
		}
	}
}

// continueEnd returns where the line, continued beyond its first end, leaves
// the region. The end itself cannot be trusted where the line runs into a
// corner or round cap: what lies nearer to the end than endTrust times its
// distance from the boundary is cut off and drawn again with the bend that the line has
// there.
func continueEnd(region *field.Region, line []mgl64.Vec2) (mgl64.Vec2, bool) {
	keep, widest, arc := 0, 0.0, 0.0
	for i, p := range line {
		if i > 0 {
			arc += p.Sub(line[i-1]).Len()
		}
		r := -region.Distance(p)
		widest = math.Max(widest, r)
		if arc > 2*widest && i > 0 {
			break
		}
		if arc < endTrust*r {
			keep = i + 1
		}
	}
	spacing := LengthOf(line, false) / float64(len(line)-1)
	radius := math.Max(widest, 2*spacing)
	reach := max(2, int(radius/spacing))
	if keep+2*reach >= len(line) {
		return mgl64.Vec2{}, false
	}
	if keep == 0 {
		return line[0], true
	}
	a, b, c := line[keep], line[keep+reach], line[keep+2*reach]
	heading := a.Sub(b)
	turn := math.Atan2(heading[1], heading[0]) - math.Atan2(b[1]-c[1], b[0]-c[0])
	turn = math.Remainder(turn, 2*math.Pi)
	bend := turn / heading.Len()
	// The chord from b to a points where the line pointed half way between.
	angle := math.Atan2(heading[1], heading[0]) + turn/2
	step := radius / 20
	p := a
	for range 100 {
		angle += bend * step / 2
		next := p.Add(mgl64.Vec2{math.Cos(angle), math.Sin(angle)}.Mul(step))
		angle += bend * step / 2
		if region.Distance(next) > 0 {
			_, exit := region.Nearest(next)
			if within := crossing(region, p, next); within != nil {
				exit = *within
			}
			return exit, true
		}
		p = next
	}
	return mgl64.Vec2{}, false
}

// crossing returns where the way from a point inside to one outside leaves the
// region.
func crossing(region *field.Region, inside, outside mgl64.Vec2) *mgl64.Vec2 {
	if region.Distance(inside) > 0 {
		return nil
	}
	for range 30 { // halves the step below rounding
		middle := inside.Add(outside).Mul(0.5)
		if region.Distance(middle) > 0 {
			outside = middle
		} else {
			inside = middle
		}
	}
	return &inside
}
