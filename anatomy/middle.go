package anatomy

import (
	"container/heap"
	"math"
	"slices"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// The middle of a groove is the way from one of its ends to the other on which it is
// wide: the cheapest one on a lattice, where a step costs its length over the square
// of the room around it. Unlike a centreline it may branch, bulge and go round what
// stands in it, as the concha does round the crus of the helix.

const (
	middleStep   = 0.4 // mm, of the lattice
	middleRounds = 12  // of smoothing
	endRounds    = 6   // of looking for the node farthest from the one before
)

// groove is a groove as a roll sees it.
type groove struct {
	region  *field.Region
	stands  []*field.Region // in it or beside it
	origin  mgl64.Vec2
	columns int
	room    []float64 // around each node, mm; 0 or less outside
}

// MiddleOf returns the middle of a groove from its superior end to its inferior one,
// mm: between its edges and what stands on the frame, as far as there is so much room,
// mm, on either side, or half the most that there is; each end set back by a length,
// mm. It is nil if the plan has no such groove, and one place where the groove is
// shorter than both ends. Width is twice the greatest room on the way.
func (p *Places) MiddleOf(name string, room, setBack float64) (line []mgl64.Vec2, width float64) {
	landmark := p.Groove(name)
	if landmark == nil {
		return nil, 0
	}
	g := groove{region: landmark.Region}
	for _, l := range slices.Concat(p.Ridges, p.tragus) {
		g.stands = append(g.stands, l.Region)
	}
	return g.middle(room, setBack)
}

func (g *groove) middle(room, setBack float64) (line []mgl64.Vec2, width float64) {
	widest := g.measure()
	if !(g.room[widest] > 0) {
		return nil, 0
	}
	least := min(room, g.room[widest]/2)
	first, last := widest, widest
	for range endRounds {
		first, last = last, g.ways(last, least, plain).farthest()
	}
	route := g.ways(first, least, g.narrow).to(last)
	for _, k := range route {
		line = append(line, g.place(k))
		width = max(width, 2*g.room[k])
	}
	if line[0][1] < line[len(line)-1][1] {
		slices.Reverse(line)
	}
	return cutBack(smooth(line), setBack), width
}

// measure fills the room around every node, and returns the node with the most.
func (g *groove) measure() (widest int) {
	lo, hi := g.region.Bounds()
	g.origin = lo
	g.columns = int((hi[0]-lo[0])/middleStep) + 1
	rows := int((hi[1]-lo[1])/middleStep) + 1
	g.room = make([]float64, g.columns*rows)
	for k := range g.room {
		at := g.place(k)
		g.room[k] = -g.region.Distance(at)
		for _, region := range g.stands {
			if g.room[k] > 0 && boxDistance(region, at) < g.room[k] {
				g.room[k] = min(g.room[k], region.Distance(at))
			}
		}
		if g.room[k] > g.room[widest] {
			widest = k
		}
	}
	return widest
}

func (g *groove) place(k int) mgl64.Vec2 {
	return g.origin.Add(mgl64.Vec2{float64(k % g.columns), float64(k / g.columns)}.Mul(middleStep))
}

func plain(int, int) float64 { return 1 }

// narrow is how much a step between two nodes costs over its length.
func (g *groove) narrow(a, b int) float64 {
	room := (g.room[a] + g.room[b]) / 2
	return 1 / (room * room)
}

// ways are the cheapest ways from one node to all that can be reached.
type ways struct {
	cost   []float64
	before []int
}

// ways finds the cheapest ways over nodes with at least so much room, mm.
func (g *groove) ways(from int, least float64, price func(a, b int) float64) ways {
	w := ways{make([]float64, len(g.room)), make([]int, len(g.room))}
	for k := range w.cost {
		w.cost[k], w.before[k] = math.Inf(1), -1
	}
	w.cost[from] = 0
	queue := &reached{{from, 0}}
	for queue.Len() > 0 {
		now := heap.Pop(queue).(node)
		if now.cost > w.cost[now.k] {
			continue
		}
		i, j := now.k%g.columns, now.k/g.columns
		for dj := -1; dj <= 1; dj++ {
			for di := -1; di <= 1; di++ {
				next := now.k + dj*g.columns + di
				if i+di < 0 || i+di >= g.columns || j+dj < 0 || next >= len(g.room) || g.room[next] < least {
					continue
				}
				cost := now.cost + math.Hypot(float64(di), float64(dj))*price(now.k, next)
				if cost < w.cost[next] {
					w.cost[next], w.before[next] = cost, now.k
					heap.Push(queue, node{next, cost})
				}
			}
		}
	}
	return w
}

func (w ways) farthest() int {
	far, most := 0, -1.0
	for k, cost := range w.cost {
		if cost > most && !math.IsInf(cost, 1) {
			far, most = k, cost
		}
	}
	return far
}

// to returns the way to a node, from that node on.
func (w ways) to(k int) []int {
	var route []int
	for ; k >= 0; k = w.before[k] {
		route = append(route, k)
	}
	return route
}

// node is a node that was reached at a cost; of equal cost the lower index counts.
type node struct {
	k    int
	cost float64
}

type reached []node

func (r reached) Len() int { return len(r) }
func (r reached) Less(a, b int) bool {
	return r[a].cost < r[b].cost || r[a].cost == r[b].cost && r[a].k < r[b].k
}
func (r reached) Swap(a, b int) { r[a], r[b] = r[b], r[a] }
func (r *reached) Push(x any)   { *r = append(*r, x.(node)) }
func (r *reached) Pop() any {
	last := (*r)[len(*r)-1]
	*r = (*r)[:len(*r)-1]
	return last
}

// smooth evens out a way on a lattice; its ends stay.
func smooth(line []mgl64.Vec2) []mgl64.Vec2 {
	for range middleRounds {
		before := line[0]
		for i := 1; i < len(line)-1; i++ {
			here := line[i]
			line[i] = before.Add(here.Mul(2)).Add(line[i+1]).Mul(0.25)
			before = here
		}
	}
	return line
}

// cutBack takes a length, mm, off both ends of a line; of a shorter line its middle
// is left.
func cutBack(line []mgl64.Vec2, by float64) []mgl64.Vec2 {
	length := lengthOf(line)
	if by = min(by, length/2); by <= 0 {
		return line
	}
	var left []mgl64.Vec2
	at := 0.0
	for n := 1; n < len(line); n++ {
		from, to := line[n-1], line[n]
		step := to.Sub(from).Len()
		point := func(s float64) mgl64.Vec2 { return from.Add(to.Sub(from).Mul((s - at) / step)) }
		if step == 0 {
			continue
		}
		if len(left) == 0 && at+step >= by {
			left = append(left, point(by))
		}
		if end := length - by; at+step >= end {
			return append(left, point(max(end, by)))
		}
		if len(left) > 0 {
			left = append(left, to)
		}
		at += step
	}
	return left
}

func lengthOf(line []mgl64.Vec2) float64 {
	length := 0.0
	for n := 1; n < len(line); n++ {
		length += line[n].Sub(line[n-1]).Len()
	}
	return length
}
