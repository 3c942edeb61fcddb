package workers

import (
	"context"
	"errors"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Each calls work(0) … work(count-1), begun in that order, on all cores. After a
// failure no further task is begun, and the error of the lowest task that failed
// is returned; ctx ends the work early with its error. stage names the work in a
// trace; work whose tasks are made of stages themselves has no name, "", and is not
// told of.
func Each(ctx context.Context, stage string, count int, work func(task int) error) error {
	measured := traceOf(ctx).begin(stage, count)
	defer measured.end()
	var next, failedAt atomic.Int64
	failedAt.Store(int64(count))
	var group errgroup.Group
	failures := make([]error, min(runtime.GOMAXPROCS(0), count))
	lowest := make([]int, len(failures))
	for worker := range failures {
		group.Go(func() error {
			for ctx.Err() == nil {
				task := int(next.Add(1)) - 1
				if task >= count || int64(task) > failedAt.Load() {
					return nil
				}
				started := measured.now()
				err := work(task)
				measured.task(started)
				if err != nil {
					failures[worker], lowest[worker] = err, task
					lower(&failedAt, int64(task))
					return err
				}
			}
			return ctx.Err()
		})
	}
	err := group.Wait()
	if stopped := ctx.Err(); stopped != nil {
		return stopped
	}
	for worker, failure := range failures {
		if failure != nil && int64(lowest[worker]) == failedAt.Load() {
			return failure
		}
	}
	return err
}

// lower sets the value to a smaller one, if it is.
func lower(value *atomic.Int64, to int64) {
	for {
		held := value.Load()
		if to >= held || value.CompareAndSwap(held, to) {
			return
		}
	}
}

// Bands calls work for bands [from, to) of at most size that make up [0, count),
// on all cores: for tasks too small to be handed out one by one.
func Bands(ctx context.Context, stage string, count, size int, work func(from, to int) error) error {
	return Each(ctx, stage, (count+size-1)/size, func(band int) error {
		return work(band*size, min((band+1)*size, count))
	})
}

// Progress is told how many of all steps are done. It may be called from several
// goroutines, one at a time.
type Progress func(done, all int)

// Tell passes the progress on; a nil Progress hears nothing.
func (p Progress) Tell(done, all int) {
	if p != nil {
		p(done, all)
	}
}

// Part returns what is told the progress of the work between two hundredths of
// the whole.
func (p Progress) Part(from, to int) Progress {
	return func(done, all int) { p.Tell(from*all+(to-from)*done, 100*all) }
}

// Steps returns what is to be called after each of all steps, from any
// goroutine.
func (p Progress) Steps(all int) func() {
	done := make(chan int, 1) // taken by one caller at a time
	done <- 0
	return func() {
		now := <-done + 1
		p.Tell(now, all)
		done <- now
	}
}

// Job is one of a few different things to do.
type Job func(context.Context) error

// Jobs does all jobs side by side, at most so many at once, begun in their
// order, and tells after each how many are done. The first error ends the
// others' context and is returned; of several, the one that was not caused by
// that ending.
func Jobs(ctx context.Context, atOnce int, tell Progress, jobs ...Job) error {
	group, shared := errgroup.WithContext(ctx)
	group.SetLimit(atOnce)
	step := tell.Steps(len(jobs))
	for _, job := range jobs {
		group.Go(func() error {
			if err := job(shared); err != nil {
				return err
			}
			step()
			return nil
		})
	}
	err := group.Wait()
	if stopped := ctx.Err(); stopped != nil && errors.Is(err, context.Canceled) {
		return stopped
	}
	return err
}
