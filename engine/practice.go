package engine

import (
	"context"

	"earframe/assemble"
	"earframe/internal/workers"
	"earframe/practice"
	"earframe/units"
)

// Practice makes the practice set of a plan.
func (e *Engine) Practice(ctx context.Context, plan *units.Plan, tell workers.Progress) (*practice.Set, error) {
	options := Fine.assembly()
	options.Apart, options.Kept, options.Progress = true, e.kept, tell.Part(0, 20)
	framework, err := assemble.Build(ctx, plan, options)
	if err != nil {
		return nil, err
	}
	return practice.Make(ctx, framework, tell.Part(20, 100))
}
