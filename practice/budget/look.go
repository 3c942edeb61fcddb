package budget

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// look returns an upper bound of the spare over the box of poses about one, and
// the spare at that pose itself: never less than it is, and more by no more than
// edgeTolerance and half of how far the box reaches, as long as the bound is
// above the cutoff. Once the bound is known not to be, look returns early.
func (w *looks) look(at, half pose, cutoff float64) (spare, upper float64) {
	sin, cos := math.Sincos(at.turn)
	shift := math.Hypot(half.x, half.y)
	swing := 2 * math.Sin(math.Min(half.turn, math.Pi)/2)
	if shift+swing*w.shape.reach > coarseReach {
		if spare, upper = w.glance(at, sin, cos, shift, swing, cutoff); spare <= cutoff || upper <= cutoff {
			return spare, upper
		}
	}
	spare = math.Inf(1)
	high := math.Inf(1) // the bound, as far as remembered distances tell
	for n, i := range w.first {
		e := &w.shape.edges[i]
		lo, hi := w.room.bounds(at.move(e.from, sin, cos))
		reach := shift + swing*e.away
		w.rooms[i] = lo
		spare, high = math.Min(spare, hi), math.Min(high, hi+reach)
		if high <= cutoff {
			w.ask(n)
			return spare, high
		}
	}
	// Only points that may have the least room, or rule the box out, are worth
	// an exact distance.
	least := spare
	spare, upper = math.Inf(1), high
	for n, i := range w.first {
		e := &w.shape.edges[i]
		reach := shift + swing*e.away
		if w.rooms[i] > math.Min(least, spare) && w.rooms[i]+reach > cutoff {
			continue
		}
		w.rooms[i] = w.room.at(at.move(e.from, sin, cos))
		spare, upper = math.Min(spare, w.rooms[i]), math.Min(upper, w.rooms[i]+reach)
		if upper <= cutoff {
			w.ask(n)
			return spare, upper
		}
	}
	for _, o := range w.room.taken {
		within := w.around(o, at, sin, cos, spare)
		spare = math.Min(spare, within)
		upper = math.Min(upper, within+shift+swing*w.shape.reach)
	}
	if upper <= cutoff {
		return spare, upper
	}
	l := lookAlong{w.room, spare, edgeTolerance + (shift+swing*w.shape.reach)/2, mgl64.Vec2{}}
	for i := range w.shape.edges {
		e := &w.shape.edges[i]
		if (w.rooms[i]+w.rooms[e.next]-e.length)/2 >= l.least-l.tolerance {
			continue
		}
		a, b := at.move(e.from, sin, cos), at.move(e.to, sin, cos)
		l.look(a, b, w.room.at(a), w.room.at(b))
	}
	if l.least < spare {
		away := math.Hypot(l.where[0]-at.x, l.where[1]-at.y)
		spare, upper = l.least, math.Min(upper, l.least+shift+swing*away)
	}
	return spare, upper
}

// coarseReach is how far in mm a box must move some point to be looked at by those
// edges first that lie about as far apart: the others would rule few of them out.
const coarseReach = 2.5

// glance looks at these edges only, by what is remembered of the room.
func (w *looks) glance(at pose, sin, cos, shift, swing, cutoff float64) (spare, upper float64) {
	spare, upper = math.Inf(1), math.Inf(1)
	for n, i := range w.first {
		e := &w.shape.edges[i]
		if !e.coarse {
			continue
		}
		_, hi := w.room.bounds(at.move(e.from, sin, cos))
		spare, upper = math.Min(spare, hi), math.Min(upper, hi+shift+swing*e.away)
		if upper <= cutoff {
			w.ask(n)
			break
		}
	}
	return spare, upper
}

// ask moves the n-th edge nearer to the front.
func (w *looks) ask(n int) {
	to := n / 2
	w.first[to], w.first[n] = w.first[n], w.first[to]
}

// around returns how far from the shape the obstacle's points are, less what is
// to be kept: well below 0 if the shape encloses it. What is not below the least
// spare is not looked at.
func (w *looks) around(o *obstacle, at pose, sin, cos, least float64) float64 {
	for _, q := range o.points {
		if math.Hypot(q[0]-at.x, q[1]-at.y)-w.shape.reach-o.keep < least {
			least = math.Min(least, w.shape.region.Distance(at.back(q, sin, cos))-o.keep)
		}
	}
	return least
}

// lookAlong looks for the least room along edges.
type lookAlong struct {
	room      *room
	least     float64    // found so far, mm
	tolerance float64    // of it, mm
	where     mgl64.Vec2 // it was found
}

// look looks along the edge from a to b, given the rooms there. On the way from
// one to the other the room falls by no more than the way is long, so that it is
// nowhere less than half of what both leave over.
func (l *lookAlong) look(a, b mgl64.Vec2, roomA, roomB float64) {
	if (roomA+roomB-b.Sub(a).Len())/2 >= l.least-l.tolerance {
		return
	}
	c := a.Add(b).Mul(0.5)
	room := l.room.at(c)
	if room < l.least {
		l.least, l.where = room, c
	}
	l.look(a, c, roomA, room)
	l.look(c, b, room, roomB)
}
