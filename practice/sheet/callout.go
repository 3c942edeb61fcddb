package sheet

import (
	"cmp"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// callout is a word for a place of a figure, written beside it.
type callout struct {
	words string
	at    mgl64.Vec2
}

// calloutGap is how far from the figure callouts stand, mm.
const calloutGap = 7

// callOut writes words in columns to the left and the right of the figure, each
// as level with its place as the others let it be, with a line to a dot there.
// A column keeps the order of its places, so that its lines do not cross. Words
// for places in the middle go where there are fewer.
func (f *figure) callOut(words []callout, fonts *typefaces) {
	lo, hi := f.bounds(fonts)
	var sides [2][]callout // left and right
	for _, c := range words {
		across := (c.at[0] - lo[0]) / (hi[0] - lo[0])
		side := 0
		if across > 2.0/3 || across > 1.0/3 && len(sides[1]) < len(sides[0]) {
			side = 1
		}
		sides[side] = append(sides[side], c)
	}
	for side, column := range sides {
		slices.SortStableFunc(column, func(a, b callout) int { return cmp.Compare(b.at[1], a.at[1]) })
		var down, pitches []float64
		for _, c := range column {
			down, pitches = append(down, -c.at[1]), append(pitches, small.leading()*1.1)
		}
		down = spread(down, pitches)
		for i, c := range column {
			y := -down[i]
			half := fonts.width(c.words, small) / 2
			x, end := lo[0]-calloutGap-half, lo[0]-calloutGap+0.8
			if side == 1 {
				x, end = hi[0]+calloutGap+half, hi[0]+calloutGap-0.8
			}
			f.labels = append(f.labels, label{at: mgl64.Vec2{x, y}, words: c.words, style: small})
			f.point(mgl64.Vec2{end, y}, c.at)
		}
	}
}

// listBeneath writes words in a row under the figure, each as near under its
// place as the others let it be, with a line to a dot there.
func (f *figure) listBeneath(words []callout, fonts *typefaces) {
	lo, _ := f.bounds(fonts)
	slices.SortStableFunc(words, func(a, b callout) int { return cmp.Compare(a.at[0], b.at[0]) })
	var across, pitches []float64
	before := 0.0
	for _, c := range words {
		const gap = 6
		width := fonts.width(c.words, small)
		across, pitches = append(across, c.at[0]), append(pitches, before+gap+width/2)
		before = width / 2
	}
	y := lo[1] - calloutGap
	for i, x := range spread(across, pitches) {
		f.labels = append(f.labels, label{at: mgl64.Vec2{x, y}, words: words[i].words, style: small})
		f.point(mgl64.Vec2{x, y + small.capitals()/2 + 0.6}, words[i].at)
	}
}

// point draws a thin line that ends in a dot.
func (f *figure) point(from, to mgl64.Vec2) {
	f.add(finePen, false, []mgl64.Vec2{from, to})
	f.add(dotPen, true, circle(to, 0.45))
}

// spread moves ascending places until each is at least its pitch beyond the one
// before it, with the least sum of squared moves: places that would come too
// close form a block, which stands where its members would on average (pool
// adjacent violators: Ayer and others, "An empirical distribution function for
// sampling with incomplete information", 1955). The first pitch is not used.
func spread(places, pitches []float64) []float64 {
	type pool struct {
		sum   float64 // of where its members want the first place of all to be
		count int
	}
	var pools []pool
	offsets := make([]float64, len(places))
	for i, place := range places {
		if i > 0 {
			offsets[i] = offsets[i-1] + pitches[i]
		}
		pools = append(pools, pool{place - offsets[i], 1})
		for n := len(pools); n > 1; n = len(pools) {
			a, b := pools[n-2], pools[n-1]
			if a.sum/float64(a.count) <= b.sum/float64(b.count) {
				break
			}
			pools = append(pools[:n-2], pool{a.sum + b.sum, a.count + b.count})
		}
	}
	var moved []float64
	for _, p := range pools {
		for range p.count {
			moved = append(moved, p.sum/float64(p.count)+offsets[len(moved)])
		}
	}
	return moved
}
