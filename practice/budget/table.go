package budget

import (
	"context"
	"math"
	"slices"

	"earframe/template"
	"earframe/units"
)

// item is one thing to be laid: a unit, one of its outlines, or a part of it.
type item struct {
	unit   *units.Unit
	part   string // of the unit, empty for the whole
	shape  *shape
	height float64 // of the slab it is carved from, mm
	strip  bool    // laid along the piece's middle line where that is possible
	length float64 // of a strip, mm
	width  float64 // of a strip, mm
}

// laid is an item with its place in a piece.
type laid struct {
	item
	at       pose
	spare    float64
	gap      float64
	straight float64 // of a strip: its spare laid straight
}

// piece is a piece of stock on the table, with what is laid in it.
type piece struct {
	stock   Stock
	shape   *shape // of its outline
	index   int    // of the stock
	laid    []laid
	behind  []laid            // in the leaf behind those
	line    *units.Centreline // nil if it has none
	further bool              // one more cast of the stock
}

// fresh returns one more cast of the same piece.
func (p *piece) fresh() *piece {
	return &piece{stock: p.stock, shape: p.shape, index: p.index, line: p.line, further: true}
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
}

// room returns what is left of the piece for a slab of the height beside the
// laid ones.
func (t *table) room(p *piece, height float64, besides []laid) (*room, error) {
	r, err := newRoom(p.stock, t.margin, t.kerf, height)
	if err != nil {
		return nil, err
	}
	shapes := make([]laidShape, len(besides))
	for i, l := range besides {
		shapes[i] = laidShape{l.shape, l.at}
	}
	return r.without(shapes...)
}

// try finds the best place of an item in the piece beside what is laid there.
func (t *table) try(ctx context.Context, i item, p *piece, besides []laid, q quest) (laid, error) {
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
	return laid{item: i, at: found.at, spare: found.spare, gap: found.upper - found.spare}.inThickness(p), nil
}

// inThickness takes a thickness that the piece does not have for a lack of
// spare, so that whatever is compared by its spare is compared by that too.
func (l laid) inThickness(p *piece) laid {
	l.spare = math.Min(l.spare, heightSpare(l.height, p))
	return l
}

// heightSpare returns the piece's thickness beyond the height if that is
// negative, mm; what is beyond counts for nothing.
func heightSpare(height float64, p *piece) float64 {
	if lack := p.stock.Thickness - height; lack < -roundingLength {
		return lack
	}
	return math.Inf(1)
}

// tryStrip lays a strip along the piece's middle line, or straight if that is
// better or there is no such line. What the piece lacks in length counts as
// lacking.
func (t *table) tryStrip(ctx context.Context, i item, p *piece, besides []laid, q quest) (laid, error) {
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
	if !ok || straight.spare > found.spare {
		found = laid{item: i, at: straight.at, spare: straight.spare, gap: straight.upper - straight.spare}
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

// tryAlong lays a strip along the piece's middle line: at every alongStep mm,
// then the best of them moved to where it has more room.
func (t *table) tryAlong(i item, p *piece, r *room) (laid, bool, error) {
	if p.line == nil || p.line.Length() < i.length {
		return laid{}, false, nil
	}
	free := p.line.Length() - i.length
	n := int(math.Ceil(free/alongStep)) + 1
	best := laid{item: i, spare: math.Inf(-1)}
	for k := range n {
		from := free / 2
		if n > 1 {
			from = free * float64(k) / float64(n-1)
		}
		s, err := newShape(alongStrip(i.unit.Name, p.line, from, from+i.length, i.width))
		if err != nil {
			return laid{}, false, err
		}
		w := newSearch(s, r, quest{tolerance: spareTolerance, floor: best.spare, enough: math.Inf(1)})
		at := pose{s.centre[0], s.centre[1], 0}
		if spare, _ := w.look(at, pose{}, best.spare); spare <= best.spare {
			continue
		}
		w.polish(at)
		if w.best.spare > best.spare {
			best.shape, best.at, best.spare = s, w.best.at, w.best.spare
		}
	}
	return best, best.shape != nil, nil
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
		Spare: l.spare, Gap: l.gap, Strip: l.strip, Outline: l.outline(),
	}
}
