package engine

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"earframe/internal/workers"
	"earframe/pocket"
	"earframe/units"
	"earframe/units/casefile"
)

// Vary lays the skin once for each value of one number of the case. A value that
// the case cannot hold is an error; a framework that does not fit into its
// pocket is a row that says so.
func (e *Engine) Vary(
	ctx context.Context, c *casefile.Case, path string, values []float64, tell workers.Progress,
) (*pocket.Variation, error) {
	plan, err := e.Plan(ctx, c) // the case as it is must be good
	if err != nil {
		return nil, err
	}
	if err := variable(plan, path); err != nil {
		return nil, err
	}
	v := &pocket.Variation{Case: plan.ID, Path: path, Side: plan.Side, Rows: make([]pocket.VariationRow, 0, len(values))}
	for i, value := range values {
		row, unit, err := e.varied(ctx, c, path, value)
		if err != nil {
			return nil, err
		}
		v.Unit = unit
		v.Rows = append(v.Rows, row)
		tell.Tell(i+1, len(values))
	}
	return v, nil
}

// variable refuses to vary what is not a single value, such as a profile.
func variable(plan *units.Plan, path string) error {
	for _, v := range plan.Values {
		switch v.Value.(type) {
		case float64, string, bool:
		default:
			if v.Path == path {
				return fmt.Errorf("%s: it is not a single number", path)
			}
		}
	}
	return nil
}

// varied lays the skin with one value changed, and returns the value's unit.
func (e *Engine) varied(
	ctx context.Context, c *casefile.Case, path string, value float64,
) (row pocket.VariationRow, unit string, err error) {
	row.Value = value
	changed, err := c.With(path, value)
	if err != nil {
		return row, "", fmt.Errorf("%s, at %g: %w", path, value, withoutPlaces(err))
	}
	plan, err := e.Plan(ctx, changed)
	if err != nil {
		return row, "", fmt.Errorf("%s, at %g: %w", path, value, withoutPlaces(err))
	}
	used := false
	for _, v := range plan.Values {
		if v.Path == path {
			unit, used = v.Unit, true
		}
	}
	if !used {
		return row, "", fmt.Errorf("%s: the plan has no such value; record.json lists all of them under inputs", path)
	}
	options := Fine.skin()
	options.Kept, options.NoAdvice = e.kept, true
	result, err := pocket.Check(ctx, plan, options)
	switch {
	case ctx.Err() != nil:
		return row, unit, ctx.Err()
	case err != nil:
		row.Problem = err.Error()
		return row, unit, nil
	}
	return result.Row(value), unit, nil
}

// withoutPlaces says a case's faults without lines: those are of the changed
// case, which the user does not see.
func withoutPlaces(err error) error {
	var faults casefile.Errors
	if !errors.As(err, &faults) {
		return err
	}
	var said []string
	for _, f := range faults {
		said = append(said, strings.TrimSuffix(fmt.Sprintf("%s: %s. %s", f.Key, f.Problem, f.Advice), ". "))
	}
	return errors.New(strings.Join(said, "; "))
}
