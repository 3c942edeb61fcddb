package budget

import (
	"cmp"
	"math"
	"slices"

	"earframe/internal/workers"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// halfway is a unit on its way to be cut in pieces.
type halfway struct {
	shapes []*shape
	spares []float64 // of each by itself, at the best of what is at hand beside what is laid
	alone  []bool    // whether each comes out of an empty piece
	cuts   [][]mgl64.Vec2
	cost   float64 // see cutting
}

func (h *halfway) least() float64 { return slices.Min(h.spares) }

// How widely is searched: of a unit mostFirst ways to cut it in two are looked at, the
// cheapest first; of those that come out worst alone, beamWidth are cut further, each
// at its worst piece in mostFurther ways; and layouts are looked for of mostLaid.
const (
	mostFirst   = 48
	mostFurther = 16
	beamWidth   = 3
	mostLaid    = 24
)

// inPieces tries the unit in as many pieces as are asked for, or as few as will do,
// out of the offers, and returns the best way; nil if there is no cut to try. It leaves
// the cuts that more cartilage may help.
func (c *checker) inPieces(u *units.Unit, whole item, offers []offer, bend *Bend) (best *tried, err error) {
	if len(u.Cuts) > 0 {
		list, err := c.drawnPieces(u, whole, bend)
		if err != nil {
			return nil, err
		}
		c.worth = list
		return c.layMoved(list, list, offers, nil)
	}
	c.worth = nil
	least, most := 2, template.MostPieces
	if u.Pieces > 0 {
		least, most = u.Pieces, u.Pieces
	}
	beam := []halfway{{shapes: []*shape{whole.shape}, spares: []float64{math.Inf(-1)}, alone: []bool{false}}}
	for count := 2; count <= most && (best == nil || !best.Works); count++ {
		var now, later []piecing
		if bent(u) {
			if now, err = c.stripPiecings(u, offers, bend, count); err != nil {
				return nil, err
			}
			later = now
		} else {
			if beam, err = c.cutFurther(u, whole, beam, offers); err != nil {
				return nil, err
			}
			now, later = c.fitting(whole, beam)
			beam = beam[:min(len(beam), beamWidth)]
		}
		if count < least {
			continue
		}
		c.worth = append(c.worth, later...)
		if best, err = c.layMoved(now, later, offers, best); err != nil {
			return nil, err
		}
	}
	return best, nil
}

// layMoved lays the pieces of each cut; if none comes out of what is at hand, those of
// the later ones once more with what was laid in remainders moved to the ends of its
// piece.
func (c *checker) layMoved(now, later []piecing, offers []offer, best *tried) (*tried, error) {
	best, err := c.layPieces(InPieces, now, offers, best, mostPushed)
	if err != nil || best == nil || best.Works {
		return best, err
	}
	for k := range offers {
		variants, err := c.table.compacted(offers[k].piece)
		if err != nil {
			return nil, err
		}
		for _, p := range variants {
			moved := slices.Clone(offers)
			moved[k].piece = p
			if again, err := c.layPieces(InPieces, later, moved, nil, 0); err != nil || again != nil && again.Works {
				return again, err
			}
		}
	}
	return best, nil
}

// fitting returns those of which each piece comes out by itself, or if there are none
// the one that lacks least; and those of which each comes out of an empty piece.
func (c *checker) fitting(whole item, all []halfway) (now, alone []piecing) {
	for i, h := range all {
		if len(now) < mostLaid && (h.least() >= 0 || i == 0) {
			now = append(now, c.planePieces(whole, h.shapes, h.cuts))
		}
		if len(alone) < mostLaid && !slices.Contains(h.alone, false) {
			alone = append(alone, c.planePieces(whole, h.shapes, h.cuts))
		}
	}
	return now, alone
}

// cutFurther cuts each once more, at the piece that comes out worst.
func (c *checker) cutFurther(u *units.Unit, whole item, from []halfway, offers []offer) ([]halfway, error) {
	var next []halfway
	var fresh []int // of each, the first of the two pieces that are new
	for _, h := range from {
		worst := slices.Index(h.spares, h.least())
		most := mostFurther
		if len(h.shapes) == 1 {
			most = mostFirst
		}
		cuttings, err := c.cuttings(u, h.shapes[worst], most)
		if err != nil {
			return nil, err
		}
		for _, k := range cuttings {
			next = append(next, halfway{cuts: slices.Concat(h.cuts, k.cuts), cost: h.cost + k.cost,
				shapes: slices.Concat(h.shapes[:worst], k.shapes, h.shapes[worst+1:]),
				spares: slices.Concat(h.spares[:worst], []float64{0, 0}, h.spares[worst+1:]),
				alone:  slices.Concat(h.alone[:worst], []bool{false, false}, h.alone[worst+1:]),
			})
			fresh = append(fresh, worst)
		}
	}
	err := workers.Each(c.ctx, "", 2*len(next), func(task int) (err error) {
		n, i := next[task/2], fresh[task/2]+task%2
		n.spares[i], n.alone[i], err = c.comesOut(whole, n.shapes[i], offers)
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(next, func(a, b halfway) int {
		return cmp.Or(cmp.Compare(math.Min(b.least(), 0), math.Min(a.least(), 0)), cmp.Compare(a.cost, b.cost))
	})
	return next, nil
}

// comesOut returns the spare of a piece of the unit by itself at the best of the
// offers, beside what is laid there, and whether it comes out of one of them were
// nothing laid there. What is rounder than the offer anywhere is not looked for a place.
func (c *checker) comesOut(whole item, s *shape, offers []offer) (spare float64, alone bool, err error) {
	whole.shape = s
	spare = math.Inf(-1)
	for _, o := range offers {
		round, err := c.table.roundest(o.piece, whole.height)
		if err != nil {
			return 0, false, err
		}
		if lack := (round - s.roundest()) / 2; lack < -spareTolerance {
			spare = math.Max(spare, lack)
			continue
		}
		empty, err := c.table.try(c.ctx, whole, o.piece, nil, decide())
		if err != nil {
			return 0, false, err
		}
		beside := empty
		if empty.spare >= 0 {
			if beside, err = c.table.tryOffer(c.ctx, whole, o, decide()); err != nil {
				return 0, false, err
			}
		}
		alone, spare = alone || empty.spare >= 0, math.Max(spare, beside.spare)
		if spare >= 0 {
			break
		}
	}
	return spare, alone, nil
}

// layPieces lays the pieces of each until one comes out whole, and returns that or the
// best so far; of a strip one whose longest piece comes from the rib named for it, if
// there is one. Of the first few that lack room, what lies side by side is pushed aside.
func (c *checker) layPieces(way Way, list []piecing, offers []offer, best *tried, push int) (*tried, error) {
	var elsewhere *tried
	for _, p := range list {
		worst := math.Inf(-1)
		if best != nil {
			worst = best.Spare
		}
		l, err := c.table.lay(c.ctx, p.items, offers, decide(), worst)
		if err == nil && l.spare < 0 && len(l.placed) == len(p.items) && push > 0 {
			push--
			l, err = c.table.pushed(c.ctx, l)
		}
		if err == nil && l.spare < 0 && l.spare > math.Max(-nearly, worst) {
			l, err = c.table.lay(c.ctx, p.items, offers,
				goal{floor: math.Inf(-1), enough: math.Inf(1), boxes: nearlyBoxes}, math.Inf(-1))
		}
		if err != nil {
			return nil, err
		}
		a := c.attempt(way, l, p)
		if a.Works && l.longestElsewhere() {
			if elsewhere == nil {
				elsewhere = &a
			}
			continue
		}
		if best == nil || a.Spare > best.Spare {
			best = &a
		}
		if best.Works {
			break // the cuts are in the order of preference
		}
	}
	if elsewhere != nil && (best == nil || !best.Works) {
		return elsewhere, nil
	}
	return best, nil
}

// mostPushed is of how many cuts what lies side by side is moved about: it takes long.
const mostPushed = 4

// A cut that lacks less than nearly mm is looked at again, more closely.
const (
	nearly      = 0.75
	nearlyBoxes = 6000
)
