package workers

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEachTaskIsDoneOnce(t *testing.T) {
	for _, count := range []int{0, 1, 2, 1000} {
		done := make([]atomic.Int64, count)
		require.NoError(t, Each(t.Context(), "test", count, func(i int) error { done[i].Add(1); return nil }))
		for i := range done {
			assert.EqualValues(t, 1, done[i].Load(), "task %d of %d", i, count)
		}
	}
}

func TestTheLowestFailureIsTold(t *testing.T) {
	for range 200 {
		err := Each(t.Context(), "test", 64, func(i int) error {
			if i >= 5 {
				return fmt.Errorf("task %d", i)
			}
			return nil
		})
		assert.EqualError(t, err, "task 5")
	}
}

func TestNothingIsBegunAfterAFailure(t *testing.T) {
	var begun atomic.Int64
	require.Error(t, Each(t.Context(), "test", 1e6, func(int) error {
		begun.Add(1)
		return errors.New("no")
	}))
	assert.Less(t, begun.Load(), int64(1000))
}

func TestCancellingEndsEachAndJobs(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var begun atomic.Int64
	err := Each(ctx, "test", 1e6, func(int) error { begun.Add(1); cancel(); return nil })
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, begun.Load(), int64(1000))

	err = Jobs(ctx, 2, nil, func(ctx context.Context) error { return ctx.Err() })
	assert.ErrorIs(t, err, context.Canceled)
}

func TestBandsCoverAllOnce(t *testing.T) {
	covered := make([]atomic.Int64, 103)
	require.NoError(t, Bands(t.Context(), "test", len(covered), 8, func(from, to int) error {
		assert.LessOrEqual(t, to-from, 8)
		for i := from; i < to; i++ {
			covered[i].Add(1)
		}
		return nil
	}))
	for i := range covered {
		assert.EqualValues(t, 1, covered[i].Load(), "item %d", i)
	}
}

func TestJobsTellProgressOneAtATime(t *testing.T) {
	var told []int
	var jobs []Job
	for range 20 {
		jobs = append(jobs, func(context.Context) error { return nil })
	}
	require.NoError(t, Jobs(t.Context(), 4, func(done, all int) {
		told = append(told, done)
		assert.Equal(t, 20, all)
	}, jobs...))
	for i, done := range told {
		assert.Equal(t, i+1, done)
	}
	assert.Len(t, told, 20)
}

func TestAJobsFailureStopsTheOthers(t *testing.T) {
	failure := errors.New("disk full")
	err := Jobs(t.Context(), 2, nil,
		func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() },
		func(context.Context) error { return failure })
	assert.ErrorIs(t, err, failure)
}

func TestPartsOfProgressAddUp(t *testing.T) {
	var share float64
	var p Progress = func(done, all int) { share = float64(done) / float64(all) }
	p.Part(20, 70).Tell(1, 2)
	assert.InDelta(t, 0.45, share, 1e-12)
	p.Part(70, 100).Part(50, 100).Tell(1, 1)
	assert.InDelta(t, 1, share, 1e-12)
	Progress(nil).Part(0, 50).Tell(1, 1) // nobody is told
}

func TestATraceTellsStages(t *testing.T) {
	var trace Trace
	ctx := WithTrace(t.Context(), &trace)
	for range 2 {
		require.NoError(t, Each(ctx, "carve", 3, func(i int) error {
			if i == 1 {
				time.Sleep(3 * time.Millisecond)
			}
			return nil
		}))
	}
	require.NoError(t, Each(ctx, "", 2, func(int) error { return nil }))
	stages := trace.Stages()
	require.Len(t, stages, 1, "what has no name is not told of")
	s := stages[0]
	assert.Equal(t, "carve", s.Name)
	assert.Equal(t, 2, s.Runs)
	assert.Equal(t, 6, s.Tasks)
	assert.GreaterOrEqual(t, s.Longest, 3*time.Millisecond)
	assert.GreaterOrEqual(t, s.Wall, s.Longest)
	assert.GreaterOrEqual(t, s.Wall, s.Slowest)
}
