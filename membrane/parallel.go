package membrane

import (
	"sync"
	"sync/atomic"
)

// bandRows is how many lattice rows are handed to a core at a time.
const bandRows = 8

// crew spreads work over rows. Every row's result depends on that row's input
// only, so the number of cores never shows in the answer.
type crew struct{ workers int }

// rows calls work for bands [from, to) that make up [0, count). Fewer than
// serialBelow items in all are not worth waking another core.
func (c crew) rows(count, columns int, work func(from, to int)) {
	const serialBelow = 4096
	bands := (count + bandRows - 1) / bandRows
	workers := min(c.workers, bands)
	if workers < 2 || count*columns < serialBelow {
		work(0, count)
		return
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for {
				band := int(next.Add(1)) - 1
				if band >= bands {
					return
				}
				work(band*bandRows, min((band+1)*bandRows, count))
			}
		})
	}
	group.Wait()
}

// sum adds row sums in row order, so that it rounds alike on any core count.
func (c crew) sum(partial []float64) float64 {
	total := 0.0
	for _, v := range partial {
		total += v
	}
	return total
}
