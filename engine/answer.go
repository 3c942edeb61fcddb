package engine

import (
	"context"
	"slices"

	"earframe/assemble"
	"earframe/internal/workers"
	"earframe/pocket"
	"earframe/units"
)

// Answer is what came of a case: the framework and the skin laid over it.
type Answer struct {
	Level     Level
	Plan      *units.Plan
	Framework *assemble.Framework
	Skin      *pocket.Result  // nil if it could not be laid, which Refused then says
	Refused   []units.Finding // why the skin could not be laid
}

// Findings returns all there is to mind, in the order in which it is shown.
func (a *Answer) Findings() []units.Finding {
	if a.Skin == nil {
		return slices.Concat(a.Framework.Findings, a.Refused)
	}
	return slices.Concat(a.Framework.Findings, a.Skin.Findings)
}

// Hundredths of the way: making the framework takes most of an answer's time.
const (
	frameworkMade = 90
	allDone       = 100
)

// Answer builds the framework of a plan and lays the skin over it, side by side:
// neither keeps all cores busy by itself. An unsound mesh is an error that wraps
// mesh.ErrUnsound; skin that cannot be laid is a finding.
func (e *Engine) Answer(ctx context.Context, plan *units.Plan, level Level, tell workers.Progress) (*Answer, error) {
	a := &Answer{Level: level, Plan: plan}
	err := workers.Jobs(ctx, 2, nil,
		func(ctx context.Context) (err error) {
			options := level.assembly()
			options.Kept, options.Progress = e.kept, tell.Part(0, frameworkMade)
			a.Framework, err = assemble.Build(ctx, plan, options)
			return err
		},
		func(ctx context.Context) (err error) {
			a.Skin, a.Refused, err = e.layOver(ctx, plan, level)
			return err
		})
	if err != nil {
		return nil, err
	}
	tell.Tell(allDone, allDone)
	return a, nil
}

// Skin lays the skin over a plan's framework, without making its meshes. A
// framework that does not fit into the pocket is an error.
func (e *Engine) Skin(ctx context.Context, plan *units.Plan, level Level) (*pocket.Result, error) {
	options := level.skin()
	options.Kept = e.kept
	return pocket.Check(ctx, plan, options)
}

// layOver lays the skin over the planned framework. Where that cannot be done it
// says why in a finding: the framework itself may still be built.
func (e *Engine) layOver(ctx context.Context, plan *units.Plan, level Level) (*pocket.Result, []units.Finding, error) {
	laid, err := e.Skin(ctx, plan, level)
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case err != nil:
		return nil, []units.Finding{pocket.Refusal(err)}, nil
	}
	return laid, nil, nil
}
