package units

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
	roomMargin  = 0.6 // mm of flat underside around the text
	turnStep    = 15  // degrees
)

// freeUnderside returns where text can stand: inside the base frame's outline,
// not under the conchal vault, and where enough is left between it and a notch
// or recess above it.
func (p *Plan) freeUnderside(base *Unit) *room {
	least := p.Engrave.Depth + p.Printer.Wall
	var inside, taken []*field.Region
	add := func(to *[]*field.Region, u *Unit) {
		for _, o := range u.Outlines {
			if region, err := regionOf(o); err == nil {
				*to = append(*to, region)
			}
		}
	}
	add(&inside, base)
	for _, u := range p.Units {
		under, err := u.Underside()
		if u == base || err != nil {
			continue
		}
		lo, hi := u.bounds()
		if low, _ := under.Span(lo, hi); low-base.Rise.Height < least {
			if u.Rise.Profile == nil {
				add(&taken, u)
				continue
			}
			taken = append(taken, lowPart(u, under, base.Rise.Height+least)...)
		}
	}
	for _, r := range base.Recesses {
		if base.Thickness-r.Depth < least {
			add(&taken, &Unit{Outlines: r.Outlines})
		}
	}
	return newRoom(inside, taken, base.EdgeBottom+roomMargin)
}

// lowPart returns small squares over the places where a unit with a profile
// lies lower than the height.
func lowPart(u *Unit, under field.Surface, height float64) []*field.Region {
	region, err := regionOf(u.Outlines[0])
	if err != nil {
		return nil
	}
	return squaresWhere(region, func(p mgl64.Vec2) bool {
		z, _, _ := under.Height(p[0], p[1])
		return z < height
	})
}

// squaresWhere covers the places of a region that are picked with small squares.
func squaresWhere(region *field.Region, picked func(p mgl64.Vec2) bool) []*field.Region {
	var squares []*field.Region
	lo, hi := region.Bounds()
	const half = 0.5
	for x := lo[0]; x <= hi[0]; x += 2 * half {
		for y := lo[1]; y <= hi[1]; y += 2 * half {
			if p := (mgl64.Vec2{x, y}); region.Distance(p) > half || !picked(p) {
				continue
			}
			square, err := field.NewRegion([]mgl64.Vec2{{x - half, y - half}, {x + half, y - half}, {x + half, y + half}, {x - half, y + half}})
			if err == nil {
				squares = append(squares, square)
			}
		}
	}
	return squares
}

// bounds returns the lowest and highest coordinates of the unit's outlines.
func (u *Unit) bounds() (lo, hi mgl64.Vec2) {
	lo = mgl64.Vec2{math.Inf(1), math.Inf(1)}
	hi = lo.Mul(-1)
	for _, o := range u.Outlines {
		for _, p := range o.Outer {
			for k := range p {
				lo[k], hi[k] = math.Min(lo[k], p[k]), math.Max(hi[k], p[k])
			}
		}
	}
	return lo, hi
}

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
func (r *room) place(font *lettering, text string, em float64) (*Engraving, bool) {
	var best *Engraving
	bestScore := math.Inf(-1)
	for _, lines := range layouts(text) {
		block := font.set(lines, em)
		half := block.size.Mul(0.5)
		for turn := -90; turn < 90; turn += turnStep {
			angle := float64(turn) * math.Pi / 180
			// A quarter turn costs half a millimetre: upright text reads best.
			cost := math.Abs(angle) / math.Pi
			for i := range r.inside {
				if i%r.columns%2 == 1 || i/r.columns%2 == 1 || r.inside[i] > -math.Min(half[0], half[1])-r.margin-math.Max(bestScore, 0) {
					continue
				}
				centre := r.at(i)
				needed := math.Max(bestScore+cost, 0)
				if clearance := r.clearance(centre, half, angle, needed); clearance > needed {
					bestScore = clearance - cost
					best = &Engraving{Lines: lines, Centre: centre, Turn: angle, Em: em}
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
		best.rings = append(best.rings, turned)
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
