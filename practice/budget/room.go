package budget

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
	"earframe/template"
)

// room is what is left of a piece of stock: a signed distance, positive where a
// unit may be. It is the least of the depth within the piece less the margin and
// of the distances to what is laid already less the kerf, so it changes by no
// more than a point moves.
type room struct {
	stock  *known // the piece without its holes
	margin float64
	taken  []*obstacle
}

// obstacle is something that a unit must keep off: a unit that is laid, or a
// hole of the piece.
type obstacle struct {
	*known
	keep   float64      // distance to be kept, mm
	points []mgl64.Vec2 // some of its boundary, on every ring
}

func newObstacle(rings [][]mgl64.Vec2, keep float64) (*obstacle, error) {
	region, err := field.NewRegion(rings...)
	if err != nil {
		return nil, err
	}
	o := &obstacle{known: newKnown(region), keep: keep}
	for _, ring := range rings {
		for i := 0; i < len(ring); i += max(1, len(ring)/obstaclePoints) {
			o.points = append(o.points, ring[i])
		}
	}
	return o, nil
}

// obstaclePoints is about how many points of a ring are looked at to see whether
// it lies inside of a unit: one would do, more end the search sooner.
const obstaclePoints = 6

// holesOf returns the holes of an outline as obstacles.
func holesOf(o template.Outline, keep float64) ([]*obstacle, error) {
	var holes []*obstacle
	for _, hole := range o.Holes {
		ring := slices.Clone(hole)
		slices.Reverse(ring)
		taken, err := newObstacle([][]mgl64.Vec2{ring}, keep)
		if err != nil {
			return nil, err
		}
		holes = append(holes, taken)
	}
	return holes, nil
}

// at returns the room at a point in mm.
func (r *room) at(p mgl64.Vec2) float64 {
	least := -r.stock.region.Distance(p) - r.margin
	for _, o := range r.taken {
		if o.away(p)-o.keep < least {
			least = math.Min(least, o.region.Distance(p)-o.keep)
		}
	}
	return least
}

// bounds returns lo and hi with lo <= at(p) <= hi.
func (r *room) bounds(p mgl64.Vec2) (lo, hi float64) {
	near, far := r.stock.bounds(p)
	lo, hi = -far-r.margin, -near-r.margin
	for _, o := range r.taken {
		if away := o.away(p); away > 0 && away-o.keep >= lo {
			continue
		}
		near, far := o.bounds(p)
		lo, hi = math.Min(lo, near-o.keep), math.Min(hi, far-o.keep)
	}
	return lo, hi
}
