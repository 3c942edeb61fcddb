package lettering

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// room is the free part of the base frame's underside on a grid: how deep each
// place lies inside it, in mm, negative.
type room struct {
	origin        mgl64.Vec2
	columns, rows int
	inside        []float64
	margin        float64
}

// roomSpacing of the grid, mm; places are tried at every second grid point and
// checked at every point of the grid that the text covers.
const (
	roomSpacing = 0.5
	Margin      = 0.6 // mm of flat underside around the text
	turnStep    = 15  // degrees
)

func newRoom(inside, taken []*field.Region, margin float64) *room {
	lo, hi := inside[0].Bounds()
	r := &room{origin: lo, margin: margin}
	r.columns = int(math.Ceil((hi[0]-lo[0])/roomSpacing)) + 1
	r.rows = int(math.Ceil((hi[1]-lo[1])/roomSpacing)) + 1
	r.inside = make([]float64, r.columns*r.rows)
	for i := range r.inside {
		p := r.at(i)
		d := math.Inf(1)
		for _, region := range inside {
			d = math.Min(d, region.Distance(p))
		}
		for _, region := range taken {
			if d < 0 {
				d = math.Max(d, -region.Distance(p))
			}
		}
		r.inside[i] = d
	}
	return r
}

func (r *room) at(i int) mgl64.Vec2 {
	return r.origin.Add(mgl64.Vec2{float64(i%r.columns) * roomSpacing, float64(i/r.columns) * roomSpacing})
}

// depth returns how deep a place lies in the free underside, 0 outside.
func (r *room) depth(p mgl64.Vec2) float64 {
	column := int(math.Round((p[0] - r.origin[0]) / roomSpacing))
	row := int(math.Round((p[1] - r.origin[1]) / roomSpacing))
	if column < 0 || row < 0 || column >= r.columns || row >= r.rows {
		return 0
	}
	return math.Max(0, -r.inside[row*r.columns+column])
}

// place finds the place and turn at which the text keeps the most distance from
// every edge; ok is false if it fits nowhere.
func (r *room) place(font *letters, text string, em float64) (*Text, bool) {
	var best *Text
	bestScore := math.Inf(-1)
	for _, lines := range layouts(text) {
		block := font.set(lines, em)
		half := block.size.Mul(0.5)
		for turn := -90; turn < 90; turn += turnStep {
			angle := float64(turn) * math.Pi / 180
			// A quarter turn costs half a millimetre: upright text reads best.
			cost := math.Abs(angle) / math.Pi
			for i := range r.inside {
				if i%r.columns%2 == 1 || i/r.columns%2 == 1 ||
					r.inside[i] > -math.Min(half[0], half[1])-r.margin-math.Max(bestScore, 0) {
					continue
				}
				centre := r.at(i)
				needed := math.Max(bestScore+cost, 0)
				if clearance := r.clearance(centre, half, angle, needed); clearance > needed {
					bestScore = clearance - cost
					best = &Text{Lines: lines, Centre: centre, Turn: angle, Em: em}
				}
			}
		}
	}
	if best == nil {
		return nil, false
	}
	for _, ring := range font.set(best.Lines, em).rings {
		var turned []mgl64.Vec2
		for _, p := range ring {
			turned = append(turned, onUnderside(best.Centre, p, best.Turn))
		}
		best.Rings = append(best.Rings, turned)
	}
	return best, true
}

// clearance returns by how much more than the margin the rectangle keeps from
// every edge, or 0 as soon as that is not more than needed.
func (r *room) clearance(centre, half mgl64.Vec2, angle, needed float64) float64 {
	least := math.Inf(1)
	nx, ny := int(math.Ceil(2*half[0]/roomSpacing)), int(math.Ceil(2*half[1]/roomSpacing))
	// Corners first: they fail most often.
	for _, corner := range []mgl64.Vec2{{-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
		p := onUnderside(centre, mgl64.Vec2{corner[0] * half[0], corner[1] * half[1]}, angle)
		if least = math.Min(least, r.depth(p)-r.margin); least <= needed {
			return 0
		}
	}
	for i := range nx + 1 {
		for j := range ny + 1 {
			local := mgl64.Vec2{half[0] * (2*float64(i)/float64(nx) - 1), half[1] * (2*float64(j)/float64(ny) - 1)}
			p := onUnderside(centre, local, angle)
			if least = math.Min(least, r.depth(p)-r.margin); least <= needed {
				return 0
			}
		}
	}
	return least
}

// onUnderside places a point of the text, given as it is read, on the
// underside: the reader looks from below with superior up, so that the text
// runs toward -x.
func onUnderside(centre, p mgl64.Vec2, turn float64) mgl64.Vec2 {
	sin, cos := math.Sincos(turn)
	return mgl64.Vec2{centre[0] - (p[0]*cos - p[1]*sin), centre[1] + p[0]*sin + p[1]*cos}
}
