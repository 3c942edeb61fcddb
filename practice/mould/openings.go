package mould

import (
	"container/heap"
	"math"
	"slices"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Funnel and vents of a mould in two parts. The funnel stands near the middle of
// each cavity, so that nothing flows farther than it must. Air is trapped where
// the cavity's ceiling has a high point of its own: each gets a vent. Further
// vents stand so that no place is farther from the air than a hand's breadth
// along the cavity. Sizes are earframe's own choice.
const (
	throatDiameter = 5.0  // mm, of the funnel where it meets the cavity
	mouthDiameter  = 14.0 // mm, of the funnel at the top, at the most
	ventDiameter   = 1.6  // mm, unless the printer's holes are larger
	throatShare    = 0.8  // of the cavity's width, at the most
	nearlyAsWide   = 0.7  // of the width that the whole throat needs, or of the cavity's largest
	trapHeight     = 0.2  // mm: a high point that rises less over its surroundings holds no air worth a vent
	ventReach      = 30.0 // mm, along the cavity, from the nearest opening
	ventSearch     = 3.0  // mm around a far end within which the highest place is taken
	channelGap     = 1.5  // mm, least mould between two channels
	channelDip     = 0.1  // mm that a channel reaches into the cavity, so that both meet
	mostVents      = 40   // of one cavity

	// coarse, mm, is between the lines on which high points and places for keys
	// are looked for.
	coarse          = 0.25
	mostCoarseLines = 200_000
)

// The reasons why a channel is where it is.
const (
	forPouring = "funnel, in the middle of the cavity"
	forAir     = "vent, at a high point where air is trapped"
	forFlow    = "vent, at a far end of the cavity"
)

// Channel is the funnel or a vent.
type Channel struct {
	At       mgl64.Vec3 // where it meets the cavity's ceiling, in the mould
	Diameter float64    // there
	Mouth    float64    // diameter at the top of the mould
	Reason   string

	tapers []*taper
}

// ceiling is the top of the cavities seen from above.
type ceiling struct {
	*columns
	part   []bool
	cavity []int32   // which of the cavities, from 1
	count  int       // of them
	height []float64 // of the ceiling, mm; -Inf beside the cavities
	width  []float64 // distance from the nearest wall, mm
}

func newCeiling(c *columns) *ceiling {
	t := &ceiling{columns: c, part: c.part(), height: make([]float64, c.nx*c.ny)}
	outside := make([]bool, len(t.part))
	for k, in := range t.part {
		t.height[k] = math.Inf(-1)
		if spans := c.at(k); in {
			t.height[k] = spans[len(spans)-1].High
		}
		outside[k] = !in
	}
	t.cavity, t.count = c.patches(t.part)
	t.width = c.distances(outside)
	return t
}

// peaks returns the columns at which the ceiling is highest among all that are
// reached without going down by trapHeight: persistence of the maxima in the
// order of descending height (Edelsbrunner, Letscher and Zomorodian,
// "Topological persistence and simplification", 2002). A level ridge gives one.
func (t *ceiling) peaks() []int {
	order := make([]int, 0, len(t.part))
	for k, in := range t.part {
		if in {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case t.height[a] > t.height[b]:
			return -1
		case t.height[a] < t.height[b]:
			return 1
		}
		return 0
	})
	peak := make([]int32, len(t.part)) // the parent in a forest whose roots are peaks
	for k := range peak {
		peak[k] = -1
	}
	root := func(k int) int {
		for int(peak[k]) != k {
			peak[k] = peak[peak[k]]
			k = int(peak[k])
		}
		return k
	}
	var kept []int
	for _, k := range order {
		peak[k] = int32(k)
		t.neighbours(k, func(n int) {
			if peak[n] < 0 {
				return
			}
			a, b := root(k), root(n)
			if a == b {
				return
			}
			if t.height[a] < t.height[b] || t.height[a] == t.height[b] && a > b {
				a, b = b, a
			}
			if t.height[b]-t.height[k] >= trapHeight {
				kept = append(kept, b)
			}
			peak[b] = int32(a)
		})
	}
	for _, k := range order {
		if int(peak[k]) == k {
			kept = append(kept, k)
		}
	}
	return kept
}

// along returns the length of the shortest way from the columns through the
// cavity to every other one, mm, by steps to eight neighbours; +Inf where none
// leads (Dijkstra, "A note on two problems in connexion with graphs", 1959).
func (t *ceiling) along(from ...int) []float64 {
	shortest := make([]float64, len(t.part))
	for k := range shortest {
		shortest[k] = math.Inf(1)
	}
	for _, k := range from {
		t.shorten(shortest, k)
	}
	return shortest
}

// shorten takes one more column to come from into account.
func (t *ceiling) shorten(shortest []float64, from int) {
	diagonal := t.step * math.Sqrt2
	shortest[from] = 0
	queue := &ways{{0, from}}
	for queue.Len() > 0 {
		w := heap.Pop(queue).(way)
		if w.length > shortest[w.column] {
			continue
		}
		t.neighbours(w.column, func(n int) {
			length := w.length + t.step
			if n%t.nx != w.column%t.nx && n/t.nx != w.column/t.nx {
				length = w.length + diagonal
			}
			if t.part[n] && length < shortest[n] {
				shortest[n] = length
				heap.Push(queue, way{length, n})
			}
		})
	}
}

// farthest returns the column of the cavity with the largest finite value, the
// first of equal ones, or -1.
func (t *ceiling) farthest(cavity int32, value []float64) int {
	best := -1
	for k, n := range t.cavity {
		if n == cavity && !math.IsInf(value[k], 1) && (best < 0 || value[k] > value[best]) {
			best = k
		}
	}
	return best
}

// middle returns the column from which the way to the cavity's ends is shortest,
// among those that are nearly as wide as the cavity is anywhere.
func (t *ceiling) middle(cavity int32) int {
	widest := t.farthest(cavity, t.width)
	one := t.along(widest)
	end := t.farthest(cavity, one)
	a := t.along(end)
	b := t.along(t.farthest(cavity, a))
	best := widest
	room := nearlyAsWide * math.Min(t.width[widest], throatDiameter/2/throatShare)
	longest := func(k int) float64 { return math.Max(a[k], b[k]) }
	for k, n := range t.cavity {
		if n == cavity && t.width[k] >= room && longest(k) < longest(best) {
			best = k
		}
	}
	return best
}

// channelPlan says where the channels of one cavity stand.
type channelPlan struct {
	funnel int
	vents  []int
	reason []string
}

// planChannels finds the places of one cavity's funnel and vents.
func (t *ceiling) planChannels(cavity int32, peaks []int, printer units.Printer) channelPlan {
	plan := channelPlan{funnel: t.middle(cavity)}
	throat, vent := t.throatAt(plan.funnel)/2, ventFor(printer)/2
	gap := throat + vent + channelGap
	near := func(k, n int, d float64) bool { return t.place(k).Sub(t.place(n)).Len() < d }
	for _, k := range peaks {
		if t.cavity[k] == cavity && near(k, plan.funnel, gap) && !near(k, plan.funnel, throat) {
			plan.funnel = k // two holes would run into one another
			break
		}
	}
	aired := func(k int) bool {
		if near(k, plan.funnel, gap) {
			return true
		}
		return slices.ContainsFunc(plan.vents, func(v int) bool { return near(k, v, 2*vent+channelGap) })
	}
	for _, k := range peaks {
		if t.cavity[k] == cavity && !aired(k) {
			plan.vents, plan.reason = append(plan.vents, k), append(plan.reason, forAir)
		}
	}
	ways := t.along(append([]int{plan.funnel}, plan.vents...)...)
	for len(plan.vents) < mostVents {
		far := t.farthest(cavity, ways)
		if far < 0 || ways[far] <= ventReach && len(plan.vents) > 0 {
			break
		}
		k := t.highestNear(far, func(k int) bool { return t.cavity[k] == cavity && !aired(k) })
		if k < 0 {
			break // the cavity is no larger than its funnel
		}
		plan.vents, plan.reason = append(plan.vents, k), append(plan.reason, forFlow)
		t.shorten(ways, k)
	}
	return plan
}

// highestNear returns the highest column within ventSearch of one that is
// allowed, or -1.
func (t *ceiling) highestNear(far int, allowed func(int) bool) int {
	best := -1
	reach := int(ventSearch / t.step)
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			x, y := far%t.nx+dx, far/t.nx+dy
			if x < 0 || y < 0 || x >= t.nx || y >= t.ny || dx*dx+dy*dy > reach*reach {
				continue
			}
			k := y*t.nx + x
			if t.part[k] && allowed(k) && (best < 0 || t.height[k] > t.height[best]) {
				best = k
			}
		}
	}
	return best
}

func ventFor(printer units.Printer) float64 { return math.Max(ventDiameter, printer.Hole) }

// throatAt returns the funnel's diameter at its foot: less in a narrow cavity.
func (t *ceiling) throatAt(k int) float64 {
	return math.Min(throatDiameter, 2*throatShare*t.width[k])
}

// lowestIn returns the lowest ceiling within a radius of the column, mm.
func (t *ceiling) lowestIn(k int, radius float64) float64 {
	lowest := t.height[k]
	reach := int(radius / t.step)
	for dy := -reach; dy <= reach; dy++ {
		for dx := -reach; dx <= reach; dx++ {
			x, y := k%t.nx+dx, k/t.nx+dy
			if n := y*t.nx + x; x >= 0 && y >= 0 && x < t.nx && y < t.ny && t.part[n] {
				lowest = math.Min(lowest, t.height[n])
			}
		}
	}
	return lowest
}
