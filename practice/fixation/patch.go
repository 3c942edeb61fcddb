package fixation

import (
	"fmt"
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// A contact is the patch over which one unit lies on another, asked about by
// plumb lines through both.
type contact struct {
	upper, lower *side
	reach        float64 // gap that still counts as touching, mm
}

const (
	// touching is the gap, mm, that still counts as touching: what package
	// assemble takes for its contacts.
	touching = 0.05

	// sinking is how far, mm, one may reach into the other: what a file takes
	// off, as package assemble allows.
	sinking = 0.3
)

// at returns the height between the two at a place, mm; ok is false where they
// do not touch.
func (c *contact) at(p mgl64.Vec2) (z float64, ok bool) {
	above := c.upper.plumb.Spans(p[0], p[1])
	if len(above) == 0 {
		return 0, false
	}
	below := c.lower.plumb.Spans(p[0], p[1])
	for _, u := range above {
		for _, l := range below {
			if gap := u.Low - l.High; gap <= c.reach && gap >= -sinking {
				return (u.Low + l.High) / 2, true
			}
		}
	}
	return 0, false
}

// patchStep is the spacing, mm, of the plumb lines that find a patch: about a
// tenth of the width of the narrowest contact that can be wired.
const patchStep = 0.25

// patch is a contact on a grid. Its border is found between the grid's places by
// halving, so that the region is exact to borderError.
type patch struct {
	contact
	origin        mgl64.Vec2
	columns, rows int
	inside        []bool
	region        *field.Region // nil if the patch is empty
}

// borderHalvings leave a border known to patchStep / 2^8: a thousandth of a
// millimetre.
const borderHalvings = 8

func newPatch(c contact) (*patch, error) {
	a, b := c.upper.piece.Solid.Bounds(), c.lower.piece.Solid.Bounds()
	p := &patch{contact: c}
	var count [2]int
	for k := range count {
		lo, hi := math.Max(a.Min[k], b.Min[k]), math.Min(a.Max[k], b.Max[k])
		if hi <= lo {
			return p, nil
		}
		// One place beyond on either side, so that every border closes.
		p.origin[k] = lo - patchStep/2
		count[k] = int(math.Ceil((hi-lo)/patchStep)) + 2
	}
	p.columns, p.rows = count[0], count[1]
	p.inside = make([]bool, p.columns*p.rows)
	any := false
	for i := range p.inside {
		column, row := i%p.columns, i/p.columns
		if column == 0 || row == 0 || column == p.columns-1 || row == p.rows-1 {
			continue
		}
		_, p.inside[i] = p.at(p.place(i))
		any = any || p.inside[i]
	}
	if !any {
		return p, nil
	}
	var err error
	if p.region, err = field.NewRegion(p.rings()...); err != nil {
		return nil, fmt.Errorf("contact of %s and %s: %w", c.upper.name(), c.lower.name(), err)
	}
	return p, nil
}

func (p *patch) place(i int) mgl64.Vec2 {
	return p.origin.Add(mgl64.Vec2{float64(i%p.columns) * patchStep, float64(i/p.columns) * patchStep})
}

// rings walks the border: marching squares, inside to the left, where places
// that meet at a corner count as joined. Every crossed edge of the grid has one
// point and one successor.
func (p *patch) rings() [][]mgl64.Vec2 {
	next := map[int]int{} // from crossed edge to crossed edge
	var order []int
	for row := range p.rows - 1 {
		for column := range p.columns - 1 {
			i := row*p.columns + column
			corners := [4]int{i, i + 1, i + 1 + p.columns, i + p.columns}
			edges := [4]int{2 * i, 2*(i+1) + 1, 2 * (i + p.columns), 2*i + 1}
			for k := range corners {
				if !p.inside[corners[k]] || p.inside[corners[(k+1)%4]] {
					continue
				}
				// Going round, the patch is left here; find where it is entered again.
				for j := k + 1; ; j++ {
					if p.inside[corners[(j+1)%4]] {
						next[edges[k]] = edges[j%4]
						order = append(order, edges[k])
						break
					}
				}
			}
		}
	}
	var rings [][]mgl64.Vec2
	done := map[int]bool{}
	for _, first := range order {
		if done[first] {
			continue
		}
		var ring []mgl64.Vec2
		for e := first; !done[e]; e = next[e] {
			done[e] = true
			ring = append(ring, p.crossing(e))
		}
		rings = append(rings, ring)
	}
	return rings
}

// crossing finds where the border crosses an edge of the grid.
func (p *patch) crossing(edge int) mgl64.Vec2 {
	from, to := edge/2, edge/2+1
	if edge%2 == 1 {
		to = edge/2 + p.columns
	}
	in, out := p.place(from), p.place(to)
	if !p.inside[from] {
		in, out = out, in
	}
	for range borderHalvings {
		middle := in.Add(out).Mul(0.5)
		if _, ok := p.at(middle); ok {
			in = middle
		} else {
			out = middle
		}
	}
	return in.Add(out).Mul(0.5)
}

// depth returns how far a place lies inside the patch, mm; 0 outside.
func (p *patch) depth(at mgl64.Vec2) float64 { return math.Max(0, -p.region.Distance(at)) }
