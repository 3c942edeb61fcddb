package sheet

import (
	"math"
	"strconv"

	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
)

// searchStep is the lattice on which roomy places are looked for, mm: well below
// the size of a letter.
const searchStep = 0.5

// obstacles are the lines and dots of a figure, for what is written on it to
// keep off.
func obstacles(f *figure) [][]mgl64.Vec2 {
	var lines [][]mgl64.Vec2
	for _, p := range f.paths {
		if p.pen.width == 0 && p.pen.colour != black {
			continue // a tint
		}
		for _, line := range p.lines {
			if p.closed {
				line = append(line[:len(line):len(line)], line[0])
			}
			lines = append(lines, line)
		}
	}
	return lines
}

// roomiest returns the place in outlines, and in none of others, where a box of
// the half size given is farthest from all lines, and how far; the room is below
// 0 if there is none.
func roomiest(outlines []template.Outline, near *crowd, half mgl64.Vec2, others ...template.Outline) (at mgl64.Vec2,
	room float64) {
	room = math.Inf(-1)
	for _, o := range outlines {
		forLattice(o, func(p mgl64.Vec2) {
			if d := near.room(p, half); d > room && !contains(others, p) {
				at, room = p, d
			}
		})
	}
	return at, room
}

// forLattice calls do for the places of a lattice in an outline.
func forLattice(o template.Outline, do func(p mgl64.Vec2)) {
	lo, hi := o.Bounds()
	for y := lo[1]; y <= hi[1]; y += searchStep {
		for x := lo[0]; x <= hi[0]; x += searchStep {
			if p := (mgl64.Vec2{x, y}); o.Contains(p) {
				do(p)
			}
		}
	}
}

// placeLetter writes L or R where the unit has most room: on the template
// itself, so that it goes with it when it is cut out. Larger letters are tried
// first; the smallest is written in any case.
func (l *layout) placeLetter(f *figure, u *units.Unit) {
	near := newCrowd(obstacles(f))
	letter := label{words: l.in.Plan.Side.Letter()}
	for _, points := range []float64{16, 13, 11, 9, leastPoints} {
		letter.style = style{points: points, bold: true}
		room := 0.0
		letter.at, room = roomiest(u.Outlines, near,
			mgl64.Vec2{l.fonts.width(letter.words, letter.style) / 2, letter.style.capitals() / 2})
		const air = 0.4
		if room > air {
			break
		}
	}
	f.labels = append(f.labels, letter)
}

// grainOf returns the direction along the rib at the places of a unit: along the
// centreline of a strip, which follows the rib as it is bent; along the piece
// that the unit is cut from, if that is known and it is cut whole; else along its
// greatest length (common practice, no source).
func (l *layout) grainOf(u *units.Unit) func(p mgl64.Vec2) mgl64.Vec2 {
	if c := u.Centreline; c != nil {
		return func(p mgl64.Vec2) mgl64.Vec2 { return along(c, p) }
	}
	_, low, high := largest(u.Outlines).GreatestDiameter()
	direction := high.Sub(low).Normalize()
	if n, placed, ok := l.placed(u); ok {
		lo, hi := placed.Outlines[0].Bounds()
		direction = mgl64.Rotate2D(-placed.Turn).Mul2x1(lengthOfPiece(n, lo.Add(hi).Mul(0.5)))
	}
	return func(mgl64.Vec2) mgl64.Vec2 { return direction }
}

// placed returns the piece that a unit is cut from whole, and how it lies in it.
func (l *layout) placed(u *units.Unit) (Nesting, Placed, bool) {
	for _, n := range l.in.Nestings {
		for _, placed := range n.Placed {
			if placed.Name == u.Name && placed.Words == "" && !placed.Strip {
				return n, placed, true
			}
		}
	}
	return Nesting{}, Placed{}, false
}

// lengthOfPiece returns the direction along a piece of cartilage at a place in
// it: along its centreline, or along x if it is too short to have one.
func lengthOfPiece(n Nesting, p mgl64.Vec2) mgl64.Vec2 {
	if len(n.Stock) == 1 {
		if c, err := centreline.New(n.Stock[0]); err == nil {
			return along(c, p)
		}
	}
	return mgl64.Vec2{1, 0}
}

// along returns the direction of a centreline nearest to a place.
func along(c *centreline.Line, p mgl64.Vec2) mgl64.Vec2 {
	const reach = 0.02 // of the centreline's length, to either side
	at, _ := c.Nearest(p)
	return c.At(min(1, at+reach)).Sub(c.At(max(0, at-reach))).Normalize()
}

// Room for the arrow along the grain, mm.
const (
	grainAir  = 0.9 // to the nearest line
	grainGap  = 5   // beside a unit without room
	grainHalf = 4   // half its length there
)

// placeGrain draws the arrow along the grain where it is farthest from all
// lines and letters, as long as it can be; beside the unit if it has no room.
func (l *layout) placeGrain(f *figure, u *units.Unit) {
	lines := obstacles(f)
	for _, letter := range f.labels {
		lo, hi := letter.box(l.fonts)
		lines = append(lines, []mgl64.Vec2{lo, {hi[0], lo[1]}, hi, {lo[0], hi[1]}, lo})
	}
	near := newCrowd(lines)
	if l.placePartGrain(f, u, near) {
		return
	}
	grain := l.grainOf(u)
	for _, length := range []float64{14, 11, 8, 6} {
		if a, b, ok := grainWithin(u.Outlines, grain, near, length); ok {
			f.add(finePen, false, arrow(a, b)...)
			return
		}
	}
	lo, hi := f.bounds(l.fonts)
	middle := mgl64.Vec2{hi[0] + grainGap, (lo[1] + hi[1]) / 2}
	half := grain(middle).Mul(grainHalf)
	f.add(finePen, false, arrow(middle.Sub(half), middle.Add(half))...)
}

// grainWithin finds the arrow of a length that has most room within outlines.
func grainWithin(outlines []template.Outline, grain func(mgl64.Vec2) mgl64.Vec2, near *crowd, length float64) (a,
	b mgl64.Vec2, ok bool) {
	room := grainAir
	for _, o := range outlines {
		forLattice(o, func(middle mgl64.Vec2) {
			if near.room(middle, mgl64.Vec2{}) <= room {
				return
			}
			half := grain(middle).Mul(length / 2)
			free := math.Inf(1)
			for _, share := range []float64{-1, 1, -0.5, 0.5, 0} {
				p := middle.Add(half.Mul(share))
				if !o.Contains(p) {
					return
				}
				free = min(free, near.room(p, mgl64.Vec2{}))
			}
			if free > room {
				a, b, ok, room = middle.Sub(half), middle.Add(half), true, free
			}
		})
	}
	return a, b, ok
}

// placeNumbers writes the number of each fixation as near to it as it can stand
// without covering another, with a thin line to it where that is not near.
func (l *layout) placeNumbers(f *figure, fixations []Fixation) {
	lines := obstacles(f)
	for _, fixation := range fixations {
		mark := fixation.At.Vec2()
		number := label{words: strconv.Itoa(fixation.Number), style: small}
		best, lowest := label{}, math.Inf(1)
		for _, far := range []float64{2.2, 3, 4, 5.2, 6.8, 8.8, 11.5, 15} {
			if far*0.6 > lowest {
				break
			}
			const directions = 24
			for k := range directions {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / directions)
				number.at = mark.Add(mgl64.Vec2{cos * far * 1.2, sin * far})
				if cost, ok := l.numberCost(f, lines, number, mark); ok && cost+far*0.6 < lowest {
					best, lowest = number, cost+far*0.6
				}
			}
		}
		if math.IsInf(lowest, 1) {
			continue
		}
		f.labels = append(f.labels, best)
		if leader := leaderOf(best, mark, l.fonts); leader != nil {
			f.add(greyPen, false, leader)
			lines = append(lines, leader)
		}
	}
}

// numberCost says how badly a number stands: by the lines that run through it.
// It may not stand on other writing.
func (l *layout) numberCost(f *figure, lines [][]mgl64.Vec2, number label, mark mgl64.Vec2) (float64, bool) {
	lo, hi := number.box(l.fonts)
	const air = 0.35
	room := rectangle{lo[0] - air, lo[1] - air, hi[0] + air, hi[1] + air}
	leader := leaderOf(number, mark, l.fonts)
	for _, other := range f.labels {
		low, high := other.box(l.fonts)
		taken := rectangle{low[0], low[1], high[0], high[1]}
		if room.overlaps(taken) || leader != nil && len(clipLine(leader, taken)) > 0 {
			return 0, false
		}
	}
	cost := 0.0
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			a, b := line[i-1], line[i]
			if max(a[0], b[0]) < room.left || min(a[0], b[0]) > room.right || max(a[1], b[1]) < room.top || min(a[1],
				b[1]) > room.bottom {
				continue
			}
			for _, inside := range clipLine(line[i-1:i+1], room) {
				cost += 2 + 2*inside[1].Sub(inside[0]).Len()
			}
		}
		if leader != nil && len(crossings(leader[0], leader[1], [][]mgl64.Vec2{line})) > 2 {
			cost += 0.5
		}
	}
	return cost, true
}

// leaderOf is the thin line from a mark to its number, nil if they are close.
func leaderOf(number label, mark mgl64.Vec2, fonts *typefaces) []mgl64.Vec2 {
	lo, hi := number.box(fonts)
	end := mgl64.Vec2{max(lo[0]-0.3, min(hi[0]+0.3, mark[0])), max(lo[1]-0.3, min(hi[1]+0.3, mark[1]))}
	away := end.Sub(mark)
	const near = 1.6
	if away.Len() < near {
		return nil
	}
	return []mgl64.Vec2{mark.Add(away.Normalize().Mul(0.4)), end}
}
