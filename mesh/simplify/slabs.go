package simplify

import (
	"context"

	"earframe/internal/workers"
	"earframe/mesh"
)

// How the work is shared out so that the result is the same on any number of
// cores. A round cuts the mesh into slabs across its longest side, how many
// depends on the mesh alone. Whatever is done at a vertex reads and writes
// nothing beyond the triangles at its neighbours. So the vertices whose
// neighbours have all their neighbours in the same slab can be worked on slab
// beside slab, each in order; after that, the others one after the other.

const (
	slabs        = 6
	slabVertices = 3000 // fewer a slab are not worth sharing out
	levels       = 4096 // coordinates are sorted into so many classes
	border       = slabs
)

// schedule orders one round.
type schedule struct {
	active []int32            // all vertices that are left
	slab   []uint8            // slab a vertex lies in
	inner  []bool             // all neighbours lie in the same slab
	free   []bool             // all neighbours are inner: the slab's worker may change it
	lists  [slabs + 1][]int32 // vertices to work on in each slab, then the rest
}

// share sorts the vertices that are left into slabs, and lists those that are
// worth a look.
func (s *simplifier) share(ctx context.Context, worth func(v int32) bool) error {
	active := s.alive()
	plan := &s.schedule
	for i := range plan.lists {
		plan.lists[i] = plan.lists[i][:0]
	}
	if len(active) < slabs*slabVertices {
		for _, v := range active {
			plan.free[v] = false
		}
		for _, v := range active {
			if worth(v) {
				plan.lists[border] = append(plan.lists[border], v)
			}
		}
		return ctx.Err()
	}
	s.cutSlabs(active)
	const piece = 4096
	each := func(work func(v int32)) error {
		return workers.Bands(ctx, "slabs", len(active), piece, func(from, to int) error {
			for _, v := range active[from:to] {
				work(v)
			}
			return nil
		})
	}
	if err := each(func(v int32) { plan.inner[v] = s.around(v, func(u int32) bool { return plan.slab[u] == plan.slab[v] }) }); err != nil {
		return err
	}
	if err := each(func(v int32) {
		plan.free[v] = plan.inner[v] && s.around(v, func(u int32) bool { return plan.inner[u] })
	}); err != nil {
		return err
	}
	for _, v := range active {
		if !worth(v) {
			continue
		}
		i := uint8(border)
		if plan.free[v] {
			i = plan.slab[v]
		}
		plan.lists[i] = append(plan.lists[i], v)
	}
	return nil
}

// around reports whether ok holds for all neighbours of v.
func (s *simplifier) around(v int32, ok func(u int32) bool) bool {
	first := s.surface.first[v]
	for h := first; ; {
		if !ok(s.surface.corner[next(h)]) {
			return false
		}
		if h = s.surface.turn(h); h == first {
			return true
		}
	}
}

// cutSlabs cuts across the longest side into slabs of about as many vertices.
func (s *simplifier) cutSlabs(active []int32) {
	plan := &s.schedule
	lo, hi := (&mesh.Mesh{Vertices: s.surface.position}).Bounds()
	size := hi.Sub(lo)
	axis := 0
	for k := range size {
		if size[k] > size[axis] {
			axis = k
		}
	}
	class := func(v int32) int {
		return int((s.surface.position[v][axis] - lo[axis]) / size[axis] * (levels - 1))
	}
	var count [levels]int
	for _, v := range active {
		count[class(v)]++
	}
	var slabOf [levels]uint8
	before := 0
	for i, n := range count {
		slabOf[i] = uint8(min(before*slabs/len(active), slabs-1))
		before += n
	}
	for _, v := range active {
		plan.slab[v] = slabOf[class(v)]
	}
}

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

// task is what a round does at vertices.
type task struct {
	stage  string
	worth  func(v int32) bool                           // whether to look at a vertex in this round
	do     func(worker int, v, pass int32) (taken bool) // whether it took a vertex
	passes int32                                        // most passes over a list
	gain   float64                                      // share of the list a pass must take for another to follow
}

// round carries out the task, slab beside slab and then the rest, and returns how
// many vertices it took. The worker is one of slabs+1, the last of them for the
// rest.
func (s *simplifier) round(ctx context.Context, t task) (taken int, err error) {
	if err := s.share(ctx, t.worth); err != nil {
		return 0, err
	}
	var done [slabs + 1]int
	err = workers.Each(ctx, t.stage, slabs, func(slab int) error {
		done[slab] = s.passOver(ctx, t, slab, s.pass)
		return nil
	})
	if err != nil {
		return 0, err
	}
	done[border] = s.passOver(ctx, t, border, s.pass+t.passes)
	s.pass += 2 * t.passes
	for _, n := range done {
		taken += n
	}
	return taken, ctx.Err()
}

// passOver works through a list as often as it pays, in passes numbered after
// the given one.
func (s *simplifier) passOver(ctx context.Context, t task, worker int, pass int32) int {
	list := s.schedule.lists[worker]
	all := 0
	for range t.passes {
		pass++
		taken, left := 0, list[:0]
		for i, v := range list {
			if i%checkEvery == 0 && ctx.Err() != nil {
				return all
			}
			if s.locked[v] || s.surface.first[v] == removed {
				continue
			}
			if t.do(worker, v, pass) {
				taken++
			}
			left = append(left, v)
		}
		all += taken
		if float64(taken) <= t.gain*float64(len(list)) {
			break
		}
		list = left
	}
	return all
}

// checkEvery is how many vertices are worked on between looks at the context.
const checkEvery = 1024
