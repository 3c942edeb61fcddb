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
		heights := spread(column, small.leading()*1.1)
		for i, c := range column {
			half := fonts.width(c.words, small) / 2
			x, end := lo[0]-calloutGap-half, lo[0]-calloutGap+0.8
			if side == 1 {
				x, end = hi[0]+calloutGap+half, hi[0]+calloutGap-0.8
			}
			f.labels = append(f.labels, label{at: mgl64.Vec2{x, heights[i]}, words: c.words, style: small})
			f.point(mgl64.Vec2{end, heights[i]}, c.at)
		}
	}
}

// listBeneath writes words in a row under the figure, from left to right in the
// order of their places, with a line to a dot there.
func (f *figure) listBeneath(words []callout, fonts *typefaces) {
	if len(words) == 0 {
		return
	}
	lo, hi := f.bounds(fonts)
	slices.SortStableFunc(words, func(a, b callout) int { return cmp.Compare(a.at[0], b.at[0]) })
	total := 0.0
	const gap = 6
	for _, c := range words {
		total += fonts.width(c.words, small) + gap
	}
	x := (lo[0]+hi[0])/2 - (total-gap)/2
	y := lo[1] - calloutGap
	for _, c := range words {
		width := fonts.width(c.words, small)
		f.labels = append(f.labels, label{at: mgl64.Vec2{x + width/2, y}, words: c.words, style: small})
		f.point(mgl64.Vec2{x + width/2, y + small.capitals()/2 + 0.6}, c.at)
		x += width + gap
	}
}

// point draws a thin line that ends in a dot.
func (f *figure) point(from, to mgl64.Vec2) {
	f.add(finePen, false, []mgl64.Vec2{from, to})
	f.add(dotPen, true, circle(to, 0.45))
}

// spread returns heights for words in descending order of their places: at
// least pitch apart, otherwise as near to them as can be in the mean.
func spread(column []callout, pitch float64) []float64 {
	// Words that would come too close form a block, which stands where its members
	// would on average (pool adjacent violators: Ayer and others 1955).
	type pool struct {
		sum   float64 // of where its first word should be
		count int
	}
	var pools []pool
	for i, c := range column {
		pools = append(pools, pool{c.at[1] + float64(i)*pitch, 1})
		for n := len(pools); n > 1; n = len(pools) {
			a, b := pools[n-2], pools[n-1]
			if a.sum/float64(a.count) >= b.sum/float64(b.count) {
				break
			}
			pools = append(pools[:n-2], pool{a.sum + b.sum, a.count + b.count})
		}
	}
	var heights []float64
	for _, p := range pools {
		for range p.count {
			heights = append(heights, p.sum/float64(p.count)-float64(len(heights))*pitch)
		}
	}
	return heights
}
