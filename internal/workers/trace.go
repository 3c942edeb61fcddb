package workers

import (
	"context"
	"slices"
	"sync"
	"time"
)

// Trace collects what the stages of some work took. Its zero value is ready.
type Trace struct {
	mutex  sync.Mutex
	stages []Stage
}

// Stage is what one stage took, all its runs added up.
type Stage struct {
	Name    string
	Runs    int           // how often it was gone through
	Tasks   int           // in all runs
	Longest time.Duration // task of all runs
	Wall    time.Duration // from the first task's begin to the last one's end, of all runs
	Slowest time.Duration // run
}

// Stages returns the stages in the order in which they ended first.
func (t *Trace) Stages() []Stage {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	return slices.Clone(t.stages)
}

type traceKey struct{}

// WithTrace returns a context under which stages are told to the trace.
func WithTrace(ctx context.Context, trace *Trace) context.Context {
	return context.WithValue(ctx, traceKey{}, trace)
}

func traceOf(ctx context.Context) *Trace {
	trace, _ := ctx.Value(traceKey{}).(*Trace)
	return trace
}

// measured is one run of a stage; nil where nothing is traced.
type measured struct {
	trace   *Trace
	stage   Stage
	started time.Time
	mutex   sync.Mutex
}

func (t *Trace) begin(stage string, tasks int) *measured {
	if t == nil || stage == "" {
		return nil
	}
	return &measured{trace: t, stage: Stage{Name: stage, Runs: 1, Tasks: tasks}, started: time.Now()}
}

func (m *measured) now() time.Time {
	if m == nil {
		return time.Time{}
	}
	return time.Now()
}

func (m *measured) task(started time.Time) {
	if m == nil {
		return
	}
	took := time.Since(started)
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.stage.Longest = max(m.stage.Longest, took)
}

func (m *measured) end() {
	if m == nil {
		return
	}
	m.stage.Wall = time.Since(m.started)
	m.stage.Slowest = m.stage.Wall
	m.trace.mutex.Lock()
	defer m.trace.mutex.Unlock()
	for i := range m.trace.stages {
		if s := &m.trace.stages[i]; s.Name == m.stage.Name {
			s.Runs++
			s.Tasks += m.stage.Tasks
			s.Longest = max(s.Longest, m.stage.Longest)
			s.Wall += m.stage.Wall
			s.Slowest = max(s.Slowest, m.stage.Slowest)
			return
		}
	}
	m.trace.stages = append(m.trace.stages, m.stage)
}
