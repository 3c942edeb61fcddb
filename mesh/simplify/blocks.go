package simplify

import (
	"context"
	"math"

	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// How the work is shared out so that the result is the same on any number of
// cores. A round goes through the mesh several times, each time cut into blocks
// otherwise: across its two longest sides, at places that depend on the mesh
// alone. Whatever is done at a vertex reads and writes nothing beyond the
// triangles at its neighbours. So the vertices whose neighbours have all their
// neighbours in the same block are free: they can be worked on block beside block,
// each block in order. Those near the sides of blocks wait for the next cut, which
// has its sides elsewhere; what is not free in any is worked on in the end, one
// after the other.

const (
	blockVertices = 1500 // fewer a block are not worth sharing out
	mostBlocks    = 64
	classes       = 4096 // coordinates are sorted into so many
)

// cuts says where in the share of a block, along both sides, the blocks begin.
var cuts = [...][2]float64{{0, 0}, {0.5, 0.5}, {0.25, 0.75}}

// rest is the turn of what is free in no cut.
const rest = len(cuts)

// schedule orders one round.
type schedule struct {
	active []int32 // all vertices that are left
	turn   []uint8 // the cut in which a vertex is worked on
	block  []uint8 // the block it lies in now
	stamp  uint8   // of this cut
	beside []uint8 // stamped where a neighbour lies in another block
	bound  []uint8 // stamped where the vertex or a neighbour is beside another block
	lists  [][]int32
}

func newSchedule(vertices int) schedule {
	return schedule{
		turn: make([]uint8, vertices), block: make([]uint8, vertices),
		beside: make([]uint8, vertices), bound: make([]uint8, vertices),
	}
}

// free reports whether the block's worker may change the vertex.
func (p *schedule) free(v int32) bool { return p.bound[v] != p.stamp }

// task is what a round does at vertices.
type task struct {
	stage  string
	worth  func(v int32) bool      // whether to look at a vertex in this round; nil: at all
	hand   func(turn uint8) atHand // makes what a worker needs
	passes int32                   // most passes over a list
	gain   float64                 // share of the list a pass must take for another to follow
}

// atHand works on a vertex in a pass, and reports whether it took one away.
type atHand func(v, pass int32) (taken bool)

// round carries out the task.
func (s *simplifier) round(ctx context.Context, t task) error {
	active := s.alive()
	for _, v := range active {
		s.schedule.turn[v] = uint8(rest)
	}
	if blocks := min(len(active)/blockVertices, mostBlocks); blocks > 1 {
		for turn := range cuts {
			if err := s.workInBlocks(ctx, t, turn, blocks); err != nil {
				return err
			}
		}
	}
	_, err := s.workOnRest(ctx, t)
	return err
}

// workOnRest works on all that has had no turn, and returns how many vertices it
// took.
func (s *simplifier) workOnRest(ctx context.Context, t task) (taken int, err error) {
	plan := &s.schedule
	plan.lists = append(plan.lists[:0], nil)
	for _, v := range plan.active {
		if plan.turn[v] == uint8(rest) && s.surface.first[v] != removed {
			plan.lists[0] = append(plan.lists[0], v)
		}
	}
	return s.work(ctx, t, rest)
}

// workInBlocks cuts the mesh into blocks and works on what is free and has not had
// its turn.
func (s *simplifier) workInBlocks(ctx context.Context, t task, turn, blocks int) error {
	plan := &s.schedule
	s.cutBlocks(plan.active, blocks, cuts[turn])
	if err := s.findFree(ctx); err != nil {
		return err
	}
	for i := range plan.lists {
		plan.lists[i] = plan.lists[i][:0]
	}
	for _, v := range plan.active {
		if plan.turn[v] == uint8(rest) && plan.free(v) && s.surface.first[v] != removed {
			plan.turn[v] = uint8(turn)
			plan.lists[plan.block[v]] = append(plan.lists[plan.block[v]], v)
		}
	}
	_, err := s.work(ctx, t, turn)
	return err
}

// work goes through all lists side by side and returns how many vertices it took.
func (s *simplifier) work(ctx context.Context, t task, turn int) (taken int, err error) {
	took := make([]int, len(s.schedule.lists))
	err = workers.Each(ctx, t.stage, len(took), func(i int) error {
		took[i] = s.passOver(ctx, t, t.hand(uint8(turn)), s.schedule.lists[i])
		return nil
	})
	s.pass += t.passes
	for _, n := range took {
		taken += n
	}
	return taken, err
}

// passOver works through a list as often as it pays, and returns how many vertices
// it took.
func (s *simplifier) passOver(ctx context.Context, t task, do atHand, list []int32) (all int) {
	kept := list[:0]
	for _, v := range list {
		if !s.locked[v] && (t.worth == nil || t.worth(v)) {
			kept = append(kept, v)
		}
	}
	list = kept
	for pass := range t.passes {
		taken, left := 0, list[:0]
		for i, v := range list {
			if i%checkEvery == 0 && ctx.Err() != nil {
				return all
			}
			if s.surface.first[v] == removed {
				continue
			}
			if do(v, s.pass+1+pass) {
				taken++
			}
			left = append(left, v)
		}
		all += taken
		if float64(taken) <= t.gain*float64(len(list)) {
			return all
		}
		list = left
	}
	return all
}

// checkEvery is how many vertices are worked on between looks at the context.
const checkEvery = 1024

// alive lists the vertices that are left.
func (s *simplifier) alive() []int32 {
	list := s.schedule.active[:0]
	for v, h := range s.surface.first {
		if h != removed {
			list = append(list, int32(v))
		}
	}
	s.schedule.active = list
	return list
}

// cutBlocks cuts the vertices into slabs across the longest side and each slab
// across the second longest, at places that leave blocks of about as many
// vertices; shift moves the places by a share of a block, at the cost of one more
// block each way.
func (s *simplifier) cutBlocks(active []int32, blocks int, shift [2]float64) {
	plan := &s.schedule
	grid := newGrid(s.surface.low, s.surface.high, blocks)
	if shift[0] > 0 {
		grid.columns++
	}
	if shift[1] > 0 {
		grid.rows++
	}
	along := make([]int32, classes)
	for _, v := range active {
		along[grid.class(0, s.surface.position[v])]++
	}
	columnOf := quantiles(along, grid.columns, shift[0])
	across := make([][]int32, grid.columns)
	for c := range across {
		across[c] = make([]int32, classes)
	}
	for _, v := range active {
		p := s.surface.position[v]
		across[columnOf[grid.class(0, p)]][grid.class(1, p)]++
	}
	rowOf := make([][]uint8, grid.columns)
	for c := range across {
		rowOf[c] = quantiles(across[c], grid.rows, shift[1])
	}
	for _, v := range active {
		p := s.surface.position[v]
		column := columnOf[grid.class(0, p)]
		plan.block[v] = column*uint8(grid.rows) + rowOf[column][grid.class(1, p)]
	}
	for len(plan.lists) < grid.columns*grid.rows {
		plan.lists = append(plan.lists, nil)
	}
	plan.lists = plan.lists[:grid.columns*grid.rows]
}

// grid is how blocks are laid out.
type grid struct {
	axis          [2]int
	low, scale    [2]float64
	columns, rows int
}

// newGrid lays out so many blocks at the most, about as long as they are broad.
func newGrid(low, high mgl64.Vec3, blocks int) (g grid) {
	size := high.Sub(low)
	for k := range size {
		if size[k] > size[g.axis[0]] {
			g.axis[0] = k
		}
	}
	g.axis[1] = (g.axis[0] + 1) % 3
	if other := (g.axis[0] + 2) % 3; size[other] > size[g.axis[1]] {
		g.axis[1] = other
	}
	for i, k := range g.axis {
		g.low[i] = low[k]
		if size[k] > 0 {
			g.scale[i] = (classes - 1) / size[k]
		}
	}
	ratio := max(size[g.axis[1]]/size[g.axis[0]], 1/float64(blocks))
	g.rows = max(int(math.Sqrt(float64(blocks)*ratio)), 1)
	g.columns = blocks / g.rows
	return g
}

// class sorts a coordinate into one of the classes.
func (g *grid) class(i int, p vector) int {
	x := [3]float64{p.x, p.y, p.z}[g.axis[i]]
	return min(max(int((x-g.low[i])*g.scale[i]), 0), classes-1)
}

// quantiles parts the classes into parts of about as many members, but for the
// first and last, which share one where there is a shift.
func quantiles(count []int32, parts int, shift float64) (part []uint8) {
	all := 0
	for _, n := range count {
		all += int(n)
	}
	whole := float64(parts)
	if shift > 0 {
		whole--
	}
	part = make([]uint8, len(count))
	before := 0
	for i, n := range count {
		part[i] = uint8(min(float64(before)/float64(max(all, 1))*whole+shift, float64(parts-1)))
		before += int(n)
	}
	return part
}

// trianglesABand is how many triangles one core takes at a time.
const trianglesABand = 1 << 13

// findFree marks the vertices that the blocks' workers must leave alone.
func (s *simplifier) findFree(ctx context.Context) error {
	plan := &s.schedule
	plan.stamp++
	err := s.markTriangles(ctx, plan.beside, func(a, b, c int32) bool {
		return plan.block[a] != plan.block[b] || plan.block[b] != plan.block[c]
	})
	if err != nil {
		return err
	}
	return s.markTriangles(ctx, plan.bound, func(a, b, c int32) bool {
		return plan.beside[a] == plan.stamp || plan.beside[b] == plan.stamp || plan.beside[c] == plan.stamp
	})
}

// markTriangles stamps the corners of the triangles that are picked.
func (s *simplifier) markTriangles(ctx context.Context, marks []uint8, picked func(a, b, c int32) bool) error {
	corner := s.surface.corner
	found := make([][]int32, (len(s.surface.region)+trianglesABand-1)/trianglesABand)
	err := workers.Bands(ctx, "sides of blocks", len(s.surface.region), trianglesABand, func(from, to int) error {
		var list []int32
		for h := 3 * from; h < 3*to; h += 3 {
			if a, b, c := corner[h], corner[h+1], corner[h+2]; a != removed && picked(a, b, c) {
				list = append(list, a, b, c)
			}
		}
		found[from/trianglesABand] = list
		return nil
	})
	for _, list := range found {
		for _, v := range list {
			marks[v] = s.schedule.stamp
		}
	}
	return err
}
