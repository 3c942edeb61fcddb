package budget

import (
	"container/heap"
	"context"
	"math"

	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// The best place of a shape in a room, by branch and bound (Land and Doig 1960)
// over place and turn.
//
// The spare at a pose is the least room along the shape's boundary. Over a box
// of poses no boundary point p moves farther from where it is at the box's
// centre than
//
//	half the diagonal in (x, y)  +  2 |p| sin(half the turn / 2)
//
// and the room changes by no more than that, so every boundary point gives an
// upper bound of the spare over the whole box: its room plus that. One point
// whose bound is not above the best spare found rules the box out; most boxes
// fall to the first points looked at, since points that ruled out a box are
// asked first the next time. A large box is asked by points some way apart first; if
// these neither rule it out nor let its centre be the best place, they are left at
// that. What is left is divided, the most promising box
// first, until no box can hold a spare better by more than the tolerance.
//
// The boxesABatch most promising boxes are divided together and their parts looked
// at on all cores, each a few with an order of points of its own; what was seen is
// entered in the order of the parts. So the search is the same on any number of
// cores.

// Tolerances of the search in mm.
const (
	spareTolerance = 0.05 // of the best spare
	edgeTolerance  = 0.01 // to which an edge is searched for its least room
)

// A search is cut short after mostBoxes boxes, or after provenShort if it is
// known by then that there is no room: by how much it lacks is then less
// certain, as where a unit lies across a narrow gap in many ways. The gap that is
// left is told.
const (
	mostBoxes   = 40_000
	provenShort = 12_000
)

// goal is what is looked for.
type goal struct {
	turns     [][2]float64 // ranges of turn allowed, radians; nil: every turn
	tolerance float64      // of the best spare, mm; 0 stands for spareTolerance
	floor     float64      // spares below it are of no interest; -Inf: any
	enough    float64      // a spare that ends the search; +Inf: the best is looked for
	boxes     int          // looked at, at the most; 0 stands for mostBoxes
	from      *pose        // a good place to begin with; nil: none is known
	rough     bool         // whether any place will do: climbs end sooner
}

// best returns the goal of the best place at every turn.
func best() goal { return goal{floor: math.Inf(-1), enough: math.Inf(1)} }

// answer is a place found.
type answer struct {
	at    pose
	spare float64 // mm; of a place below the floor: not the best one
	upper float64 // no place has a better spare, mm; with enough: see goal
	boxes int     // looked at
}

// box is a box of poses.
type box struct {
	at    pose
	half  pose // half its sides
	upper float64
	order int
}

type boxes []box

func (b boxes) Len() int      { return len(b) }
func (b boxes) Swap(i, j int) { b[i], b[j] = b[j], b[i] }
func (b boxes) Less(i, j int) bool {
	if b[i].upper != b[j].upper {
		return b[i].upper > b[j].upper
	}
	return b[i].order < b[j].order
}
func (b *boxes) Push(x any) { *b = append(*b, x.(box)) }
func (b *boxes) Pop() any {
	last := (*b)[len(*b)-1]
	*b = (*b)[:len(*b)-1]
	return last
}

// search is one search for a place.
type search struct {
	shape *shape
	room  *room
	goal  goal
	looks []*looks // one a task of a batch
	best  answer
	queue boxes
}

// looks is what looks at poses in turn need and leave for the next.
type looks struct {
	shape *shape
	room  *room
	first []int     // edges in the order in which they are asked
	rooms []float64 // at the edges' near ends, or lower bounds; of the last look
}

func newLooks(s *shape, r *room) *looks {
	l := &looks{shape: s, room: r, first: make([]int, len(s.edges)), rooms: make([]float64, len(s.edges))}
	for i := range l.first {
		l.first[i] = i
	}
	return l
}

// How many boxes are divided together, and how many of their parts one core looks
// at at a time: about 16 tasks of some ten microseconds.
const (
	boxesABatch = 16
	partsATask  = 2
)

// newSearch returns a search that has not looked anywhere yet.
func newSearch(s *shape, r *room, q goal) *search {
	if q.tolerance == 0 {
		q.tolerance = spareTolerance
	}
	if q.boxes == 0 {
		q.boxes = mostBoxes
	}
	if q.turns == nil {
		q.turns = [][2]float64{{-math.Pi, math.Pi}}
	}
	return &search{shape: s, room: r, goal: q, looks: []*looks{newLooks(s, r)}, best: answer{spare: math.Inf(-1)}}
}

// place finds the place with the best spare.
func place(ctx context.Context, s *shape, r *room, q goal) (answer, error) {
	w := newSearch(s, r, q)
	w.start()
	for w.queue.Len() > 0 && !w.ended() {
		if err := w.divideBatch(ctx); err != nil {
			return answer{}, err
		}
	}
	w.best.upper = w.cutoff() // no box ruled out could beat it
	if w.queue.Len() > 0 {
		w.best.upper = math.Max(w.best.upper, w.queue[0].upper)
	}
	return w.best, nil
}

// ended reports whether what was looked for is found, or the search is cut short.
func (w *search) ended() bool {
	q, top := w.goal, w.queue[0].upper
	return top <= w.cutoff() || w.best.spare >= q.enough || w.best.boxes >= q.boxes ||
		top < 0 && w.best.boxes >= provenShort
}

// divideBatch divides the most promising boxes and considers their parts.
func (w *search) divideBatch(ctx context.Context) error {
	cutoff := w.cutoff()
	var parts []box
	for len(parts) < 2*boxesABatch && w.queue.Len() > 0 && w.queue[0].upper > cutoff {
		halves := w.divide(heap.Pop(&w.queue).(box))
		parts = append(parts, halves[:]...)
	}
	for len(w.looks) < (len(parts)+partsATask-1)/partsATask {
		w.looks = append(w.looks, newLooks(w.shape, w.room))
	}
	spares, bounds := make([]float64, len(parts)), make([]float64, len(parts))
	err := workers.Bands(ctx, "places for units", len(parts), partsATask, func(from, to int) error {
		for i := from; i < to; i++ {
			spares[i], bounds[i] = w.looks[from/partsATask].look(parts[i].at, parts[i].half, cutoff)
		}
		return nil
	})
	for i, b := range parts {
		w.consider(b, spares[i], bounds[i])
	}
	return err
}

// cutoff is the spare that a box must be able to beat.
func (w *search) cutoff() float64 {
	return math.Max(w.best.spare, w.goal.floor) + w.goal.tolerance
}

// start looks at a few poses, climbs from the best of them, and lays out the
// boxes that hold every pose that could be better: where the shape's centre,
// which is within its hull, lies outside the piece's box, the shape sticks out
// at least as far.
func (w *search) start() {
	lo, hi := w.room.stock.lo, w.room.stock.hi
	middle := lo.Add(hi).Mul(0.5)
	w.polish(w.firstPose(middle, hi.Sub(lo)))
	beyond := math.Max(0, -math.Max(w.best.spare, w.goal.floor)-w.room.margin)
	half := hi.Sub(lo).Mul(0.5).Add(mgl64.Vec2{beyond, beyond})
	for _, turns := range w.goal.turns {
		parts := math.Max(1, math.Ceil((turns[1]-turns[0])/(math.Pi/4)-roundingLength))
		turn := (turns[1] - turns[0]) / parts
		for k := 0.0; k < parts; k++ {
			b := box{
				at:   pose{middle[0], middle[1], turns[0] + (k+0.5)*turn},
				half: pose{half[0], half[1], turn / 2}, upper: math.Inf(1),
			}
			spare, bound := w.look(b.at, b.half, w.cutoff())
			w.consider(b, spare, bound)
		}
	}
}

// firstPose returns the pose to begin with: the one given, or the best of a few
// turns in the middle of the piece and to both sides of it.
func (w *search) firstPose(middle, size mgl64.Vec2) pose {
	if w.goal.from != nil {
		return *w.goal.from
	}
	var first pose
	most := math.Inf(-1)
	for _, turns := range w.goal.turns {
		for k := range startTurns {
			turn := turns[0] + (turns[1]-turns[0])*(float64(k)+0.5)/startTurns
			for _, along := range [...]float64{0, -startAside, startAside} {
				at := pose{middle[0] + along*size[0], middle[1] + along*size[1], turn}
				if spare, _ := w.look(at, pose{}, most); spare > most {
					first, most = at, spare
				}
			}
			if turns[0] == turns[1] {
				break
			}
		}
	}
	return first
}

// The first poses: how many turns, and how far from the middle as a share of the
// piece's extent.
const (
	startTurns = 16
	startAside = 0.2
)

// divide halves a box along the side that moves points farthest.
func (w *search) divide(b box) [2]box {
	parts := [2]box{b, b}
	switch turn := b.half.turn * w.shape.reach; {
	case turn >= b.half.x && turn >= b.half.y:
		parts[0].half.turn, parts[1].half.turn = b.half.turn/2, b.half.turn/2
		parts[0].at.turn -= b.half.turn / 2
		parts[1].at.turn += b.half.turn / 2
	case b.half.x >= b.half.y:
		parts[0].half.x, parts[1].half.x = b.half.x/2, b.half.x/2
		parts[0].at.x -= b.half.x / 2
		parts[1].at.x += b.half.x / 2
	default:
		parts[0].half.y, parts[1].half.y = b.half.y/2, b.half.y/2
		parts[0].at.y -= b.half.y / 2
		parts[1].at.y += b.half.y / 2
	}
	return parts
}

// look looks at one box of poses.
func (w *search) look(at, half pose, cutoff float64) (spare, upper float64) {
	return w.looks[0].look(at, half, cutoff)
}

// consider enters what a look at a box found: it keeps its centre if that is the
// best place so far, and queues the box, whose upper bound is that of the box it is
// part of, unless it is ruled out.
func (w *search) consider(b box, spare, bound float64) {
	w.best.boxes++
	b.upper = math.Min(b.upper, bound)
	if b.upper <= w.cutoff() {
		return
	}
	if spare > w.best.spare {
		w.polish(b.at)
		if b.upper <= w.cutoff() {
			return
		}
	}
	b.order = w.best.boxes
	heap.Push(&w.queue, b)
}

func (w *search) keep(at pose, spare float64) {
	if spare > w.best.spare {
		w.best.at, w.best.spare = at, spare
	}
}

// polish climbs from a pose that is better than the best so far to a still better
// one nearby, by steps along each of place and turn that are halved when none
// helps (Hooke and Jeeves 1961).
func (w *search) polish(at pose) {
	spare, _ := w.look(at, pose{}, w.best.spare)
	if spare <= w.best.spare {
		return
	}
	w.keep(at, spare)
	turning := 1 / w.shape.reach // radians that move a point by 1 mm
	if w.fixed() {
		turning = 0
	}
	end := polishEnd
	if w.goal.rough {
		end = roughEnd
	}
	for step := 2.0; step > end && w.best.spare < w.goal.enough; {
		improved := false
		for _, by := range [...]pose{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, turning}, {0, 0, -turning}} {
			to := pose{at.x + by.x*step, at.y + by.y*step, at.turn + by.turn*step}
			if to == at {
				continue
			}
			if better, _ := w.look(to, pose{}, spare); better > spare {
				at, spare, improved = to, better, true
				w.keep(at, spare)
			}
		}
		if !improved {
			step /= 2
		}
	}
}

// fixed reports whether the turn is given.
func (w *search) fixed() bool {
	for _, turns := range w.goal.turns {
		if turns[1]-turns[0] < 2*math.Pi {
			return true
		}
	}
	return false
}

// The step in mm at which climbing ends.
const (
	polishEnd = 0.01
	roughEnd  = 0.2
)
