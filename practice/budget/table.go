package budget

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"
)

// item is one thing to be laid: a unit, one of its outlines, or a part of it.
type item struct {
	unit   *units.Unit
	part   string // of the unit, empty for the whole
	shape  *shape
	height float64    // of the slab it is carved from, mm
	strip  bool       // laid along the piece's middle line where that is possible
	length float64    // of a strip, mm
	width  float64    // of a strip, mm
	share  [2]float64 // of a strip: from which fraction of the unit's centreline to which
}

// laid is an item with its place in a piece.
type laid struct {
	item
	at       pose
	spare    float64
	gap      float64
	proven   bool    // no place is better by more than the gap, beside the others as they lay
	straight float64 // of a strip: its spare laid straight
	taken    *obstacle
	along    bool             // cut along the line: it stays there
	line     *centreline.Line // of the piece
	from     float64          // where it begins on that line, mm
}

// piece is a piece of stock on the table, with what is laid in it.
type piece struct {
	stock   Stock
	shape   *shape            // of its outline
	slabs   map[float64]*slab // by height; shared with further casts
	index   int               // on the table; -1 if it is not there yet
	kind    int               // of the stocks given
	laid    []laid
	behind  []laid             // in the leaf behind those
	lines   []*centreline.Line // along which strips are cut; none if it has none
	further bool               // one more cast of the stock
}

func newPiece(s Stock, index int) (*piece, error) {
	p := &piece{stock: s, index: index, kind: index}
	var err error
	if p.shape, err = newShape(s.Outline); err != nil {
		return nil, err
	}
	p.slabs = map[float64]*slab{}
	each := s.Each
	if len(each) == 0 {
		each = []template.Outline{s.Outline}
	}
	for _, o := range each {
		line, err := centreline.New(o)
		switch {
		case err == nil:
			p.lines = append(p.lines, line)
		case !errors.Is(err, centreline.ErrNotStrip):
			return nil, fmt.Errorf("piece %s: %w", s.Name, err)
		}
	}
	return p, nil
}

// fresh returns one more cast of the same piece.
func (p *piece) fresh() *piece {
	q := *p
	q.laid, q.behind, q.further, q.index = nil, nil, true, -1
	return &q
}

// copied returns the piece with lists of its own.
func (p *piece) copied() *piece {
	q := *p
	q.laid, q.behind = slices.Clone(p.laid), slices.Clone(p.behind)
	return &q
}

// table is the pieces and how close to their edges and to one another units are
// laid.
type table struct {
	pieces []*piece
	margin float64
	kerf   float64
	// What was looked for before, entered by whoever of several comes first: each
	// finds the same.
	mutex  sync.Mutex
	alone  map[alone]laid // any place
	rounds map[alone]float64
}

// room returns what is left of the piece for a slab of the height beside what is
// laid there.
func (t *table) room(p *piece, height float64, besides []laid) (*room, error) {
	s, err := t.slab(p, height)
	if err != nil {
		return nil, err
	}
	r := &room{stock: s.outer, margin: s.margin, taken: slices.Clone(s.holes)}
	for i := range besides {
		r.taken = append(r.taken, besides[i].taken)
	}
	return r, nil
}

// roundest returns the diameter of the largest circle in a slab of the empty piece, mm.
func (t *table) roundest(p *piece, height float64) (float64, error) {
	key := alone{nil, p.kind, height}
	r, err := t.room(p, height, nil)
	if err != nil {
		return 0, err
	}
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if round, known := t.rounds[key]; known {
		return round, nil
	}
	if t.rounds == nil {
		t.rounds = map[alone]float64{}
	}
	t.rounds[key] = r.measure().roundest
	return t.rounds[key], nil
}

// lies returns the item with its place, as an obstacle to others.
func (t *table) lies(i item, s *shape, at pose, spare, upper float64) (laid, error) {
	i.shape = s
	l := laid{item: i, at: at, spare: spare, gap: upper - spare, proven: true}
	var err error
	l.taken, err = newObstacle(l.outline().Rings(), t.kerf)
	return l, err
}

// try finds the best place of an item in the piece beside what is laid there.
// Where any place will do, an item that has none in the empty piece is not
// searched for one beside others.
func (t *table) try(ctx context.Context, i item, p *piece, besides []laid, q goal) (laid, error) {
	if !q.rough || q.turns != nil {
		return t.search(ctx, i, p, besides, q)
	}
	key := alone{i.shape, p.kind, i.height}
	t.mutex.Lock()
	l, known := t.alone[key]
	t.mutex.Unlock()
	if !known {
		var err error
		if l, err = t.search(ctx, i, p, nil, decide()); err != nil {
			return laid{}, err
		}
		t.mutex.Lock()
		if t.alone == nil {
			t.alone = map[alone]laid{}
		}
		t.alone[key] = l
		t.mutex.Unlock()
	}
	l.part = i.part
	switch {
	case len(besides) == 0:
		return l, nil
	case l.spare < 0:
		r, err := t.room(p, i.height, besides)
		if err != nil {
			return laid{}, err
		}
		w := newSearch(l.shape, r, q)
		spare, _ := w.look(l.at, pose{}, math.Inf(-1))
		l.spare, l.proven = math.Min(l.spare, spare), false
		return l, nil
	}
	return t.search(ctx, i, p, besides, q)
}

// alone is a shape in a piece of its own, as a slab of the height.
type alone struct {
	shape  *shape
	kind   int // of piece
	height float64
}

// search finds the best place of an item in the piece.
func (t *table) search(ctx context.Context, i item, p *piece, besides []laid, q goal) (laid, error) {
	if i.strip {
		return t.tryStrip(ctx, i, p, besides, q)
	}
	r, err := t.room(p, i.height, besides)
	if err != nil {
		return laid{}, err
	}
	found, err := place(ctx, i.shape, r, q)
	if err != nil {
		return laid{}, err
	}
	l, err := t.lies(i, i.shape, found.at, found.spare, found.upper)
	return l.inThickness(p), err
}

// inThickness takes a thickness that the piece does not have for a lack of
// spare, so that whatever is compared by its spare is compared by that too.
func (l laid) inThickness(p *piece) laid {
	if lack := p.stock.Thickness - l.height; p.stock.Slab == nil && lack < -roundingLength {
		l.spare = math.Min(l.spare, lack)
	}
	return l
}

// tryStrip lays a strip along the piece's middle line, or straight if that is
// better or there is no such line. What the piece lacks in length counts as
// lacking.
func (t *table) tryStrip(ctx context.Context, i item, p *piece, besides []laid, q goal) (laid, error) {
	r, err := t.room(p, i.height, besides)
	if err != nil {
		return laid{}, err
	}
	found, ok, err := t.tryAlong(i, p, r)
	if err != nil {
		return laid{}, err
	}
	if ok && found.spare >= q.enough {
		return found.inThickness(p), nil
	}
	lack := p.stock.length() - 2*t.margin - i.length
	if lack < 0 {
		q.boxes = shortBoxes
	}
	straight, err := place(ctx, i.shape, r, q)
	if err != nil {
		return laid{}, err
	}
	// Along the rib it is bent least: a carver lays it straight only where it must be.
	if !ok || found.spare < 0 && straight.spare > found.spare {
		if found, err = t.lies(i, i.shape, straight.at, straight.spare, straight.upper); err != nil {
			return laid{}, err
		}
	}
	found.straight = straight.spare
	if lack < 0 {
		found.spare = math.Min(found.spare, lack)
	}
	return found.inThickness(p), nil
}

// A strip longer than its piece is laid for the picture only: shortBoxes is
// enough to find a fair place.
const shortBoxes = 2000

// tryAlong lays a strip along one of the piece's middle lines: at every alongStep mm,
// then the best of them moved to where it has more room.
func (t *table) tryAlong(i item, p *piece, r *room) (laid, bool, error) {
	var best *search
	floor, begin := math.Inf(-1), 0.0
	var on *centreline.Line
	for _, line := range p.lines {
		free := line.Length() - i.length
		if free < 0 {
			continue
		}
		n := int(math.Ceil(free/alongStep)) + 1
		for k := range n {
			from := free / 2
			if n > 1 {
				from = free * float64(k) / float64(n-1)
			}
			s, err := newShape(alongStrip(i.unit.Name, line, from, from+i.length, i.width))
			if err != nil {
				return laid{}, false, err
			}
			w := newSearch(s, r, goal{floor: floor, enough: math.Inf(1)})
			at := pose{s.centre[0], s.centre[1], 0}
			if spare, _ := w.look(at, pose{}, floor); spare <= floor {
				continue
			}
			if w.polish(at); w.best.spare > floor {
				best, floor, begin, on = w, w.best.spare, from, line
			}
		}
	}
	if best == nil {
		return laid{}, false, nil
	}
	l, err := t.lies(i, best.shape, best.best.at, floor, floor)
	l.proven, l.along, l.line, l.from = false, true, on, begin
	return l, true, err
}

// alongStep is how far in mm the places tried along a piece are apart.
const alongStep = 1.0

// outline returns the item as it lies.
func (l laid) outline() template.Outline { return l.shape.laid(l.at) }

// placement returns the item's place as a result.
func (l laid) placement(p *piece, behind bool) Placement {
	sin, cos := math.Sincos(l.at.turn)
	origin := l.at.move(l.shape.centre.Mul(-1), sin, cos)
	return Placement{
		Unit: l.unit.Name, Part: l.part, Piece: p.stock.Name, Further: p.further, Behind: behind,
		X: origin[0], Y: origin[1], Turn: math.Remainder(l.at.turn, 2*math.Pi) * 180 / math.Pi,
		Spare: l.spare, Gap: l.gap, Proven: l.proven, Strip: l.strip, Outline: l.outline(),
	}
}
