package report

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// bandRows is the height of the bands of rows that workers take. It is fixed,
// so that nothing drawn depends on the number of workers.
const bandRows = 32

// eachBand calls work for every band of rows, on all cores, each band once. It
// stops early with the context's error when that is cancelled.
func eachBand(ctx context.Context, rows int, work func(band, first, last int)) error {
	bands := (rows + bandRows - 1) / bandRows
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), bands) {
		workers.Go(func() {
			for ctx.Err() == nil {
				band := int(next.Add(1)) - 1
				if band >= bands {
					return
				}
				work(band, band*bandRows, min(rows, (band+1)*bandRows))
			}
		})
	}
	workers.Wait()
	return ctx.Err()
}
