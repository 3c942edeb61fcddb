package main

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"earframe/engine"
	"earframe/internal/workers"
	"earframe/publish"
	"earframe/units"
)

// leastStage is the time, s, from which on a stage is worth a row.
const leastStage = 0.1

// stages goes through a build and a practice set of the demo within this process
// and tells each long stage: how long, in how many tasks, and the longest task.
func stages(out *bytes.Buffer, plan *units.Plan) error {
	fmt.Fprintf(out, "\n## Stages\n\nOf a build and of a practice set of the demo, those that take over %.1f s in all "+
		"their runs. A stage can be\n"+
		"shared out over as many cores as its slowest run takes times its longest task.\n\n"+
		"| of | stage | seconds | runs | tasks | longest task, s |\n|---|---|---|---|---|---|\n", leastStage)
	for _, work := range []struct {
		name string
		do   func(context.Context, *engine.Engine) error
	}{
		{"build", func(ctx context.Context, e *engine.Engine) error {
			answer, err := e.Answer(ctx, plan, engine.Fine, nil)
			if err != nil {
				return err
			}
			_, err = answer.Write(ctx, &publish.Memory{}, nil)
			return err
		}},
		{"practice", func(ctx context.Context, e *engine.Engine) error {
			set, err := e.Practice(ctx, plan, nil)
			if err != nil {
				return err
			}
			_, err = engine.WritePractice(ctx, set, &publish.Memory{}, nil)
			return err
		}},
	} {
		var trace workers.Trace
		if err := work.do(workers.WithTrace(context.Background(), &trace), engine.New(0)); err != nil {
			return fmt.Errorf("%s: %w", work.name, err)
		}
		for _, s := range trace.Stages() {
			if s.Wall.Seconds() < leastStage {
				continue
			}
			fmt.Fprintf(out, "| %s | %s | %.2f | %d | %d | %.3f "+
				"|\n", work.name, s.Name, s.Wall.Seconds(), s.Runs, s.Tasks, s.Longest.Seconds())
		}
	}
	return nil
}

// answered returns how long the session takes to answer at the level.
func answered(session *engine.Session, level engine.Level) (time.Duration, error) {
	begun := time.Now()
	_, err := session.Answer(context.Background(), level, nil)
	return time.Since(begun), err
}
