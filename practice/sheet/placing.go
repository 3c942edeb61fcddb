package sheet

import (
	"math"
	"strconv"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// searchStep is the lattice on which roomy places are looked for, mm: well below
// the size of a letter.
const searchStep = 0.5

// obstacles are the lines of a figure, for what is written on it to keep off.
func obstacles(f *figure) [][]mgl64.Vec2 {
	var lines [][]mgl64.Vec2
	for _, p := range f.paths {
		if p.pen.width == 0 {
			continue
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

// toLines returns how far a point is from the nearest of open lines.
func toLines(lines [][]mgl64.Vec2, p mgl64.Vec2) float64 {
	nearest := math.Inf(1)
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			nearest = min(nearest, toSegment(p, line[i-1], line[i]))
		}
	}
	return nearest
}

// roomiest returns the place in a unit that is farthest from all lines, and how
// far.
func roomiest(u *units.Unit, lines [][]mgl64.Vec2) (at mgl64.Vec2, room float64) {
	for _, o := range u.Outlines {
		lo, hi := o.Bounds()
		for y := lo[1]; y <= hi[1]; y += searchStep {
			for x := lo[0]; x <= hi[0]; x += searchStep {
				p := mgl64.Vec2{x, y}
				if !o.Contains(p) {
					continue
				}
				if d := toLines(lines, p); d > room {
					at, room = p, d
				}
			}
		}
	}
	return at, room
}

// placeLetter writes L or R where the unit has most room: on the template
// itself, so that it goes with it when it is cut out.
func (l *layout) placeLetter(f *figure, u *units.Unit) {
	at, room := roomiest(u, obstacles(f))
	letter := label{at: at, words: l.in.Plan.Side.Letter(), style: smallBold}
	for _, points := range []float64{16, 13, 11, 9} {
		s := style{points: points, bold: true}
		if math.Hypot(s.capitals()/2, l.fonts.width(letter.words, s)/2)+0.3 <= room {
			letter.style = s
			break
		}
	}
	f.labels = append(f.labels, letter)
}

// grainAt returns the direction along the rib at a place of a unit: along the
// centreline of a strip, which follows the rib as it is bent, else along the
// unit's greatest length (common practice, no source).
func grainAt(u *units.Unit, p mgl64.Vec2) mgl64.Vec2 {
	if c := u.Centreline; c != nil {
		const reach = 0.02 // of the centreline's length, to either side
		at, _ := c.Nearest(p)
		return c.At(min(1, at+reach)).Sub(c.At(max(0, at-reach))).Normalize()
	}
	_, low, high := largest(u.Outlines).GreatestDiameter()
	return high.Sub(low).Normalize()
}

// placeGrain draws the arrow along the grain where it is farthest from all
// lines and letters, as long as it can be; beside the unit if it has no room.
func (l *layout) placeGrain(f *figure, u *units.Unit) {
	lines := obstacles(f)
	for _, letter := range f.labels {
		lo, hi := letter.box(l.fonts)
		lines = append(lines, []mgl64.Vec2{lo, {hi[0], lo[1]}, hi, {lo[0], hi[1]}, lo})
	}
	for _, length := range []float64{14, 11, 8, 6} {
		best, room := [2]mgl64.Vec2{}, 0.9
		for _, o := range u.Outlines {
			lo, hi := o.Bounds()
			for y := lo[1]; y <= hi[1]; y += searchStep {
				for x := lo[0]; x <= hi[0]; x += searchStep {
					middle := mgl64.Vec2{x, y}
					if !o.Contains(middle) || toLines(lines, middle) < room {
						continue
					}
					half := grainAt(u, middle).Mul(length / 2)
					free := math.Inf(1)
					for _, share := range []float64{-1, 1, -0.5, 0.5, 0} {
						p := middle.Add(half.Mul(share))
						if !o.Contains(p) {
							free = 0
							break
						}
						free = min(free, toLines(lines, p))
					}
					if free > room {
						best, room = [2]mgl64.Vec2{middle.Sub(half), middle.Add(half)}, free
					}
				}
			}
		}
		if room > 0.9 {
			f.add(finePen, false, arrow(best[0], best[1])...)
			return
		}
	}
	lo, hi := f.bounds(l.fonts)
	middle := mgl64.Vec2{hi[0] + 5, (lo[1] + hi[1]) / 2}
	half := grainAt(u, middle).Mul(4)
	f.add(finePen, false, arrow(middle.Sub(half), middle.Add(half))...)
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
			if max(a[0], b[0]) < room.left || min(a[0], b[0]) > room.right || max(a[1], b[1]) < room.top || min(a[1], b[1]) > room.bottom {
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
