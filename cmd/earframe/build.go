package main

import (
	"context"
	"fmt"
	"path/filepath"

	"earframe/assemble"
	"earframe/closure"
	"earframe/units"

	"github.com/spf13/cobra"
)

// buildOptions is what the command line says beyond the case file.
type buildOptions struct {
	out             string
	json            bool
	step, tolerance float64 // mm; 0: as the case file says
}

func (o *buildOptions) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&o.json, "json", false, "print the record as JSON instead of the report in words")
	cmd.Flags().Float64Var(&o.step, "step", 0, "sampling step in mm, over the case file's (default there: 0.2)")
	cmd.Flags().Float64Var(&o.tolerance, "tolerance", 0, "how far in mm simplification may move the surface, over the case file's (default there: 0.01)")
}

func newBuild(s streams) *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "build CASE.yaml",
		Short: "Build a case: unit meshes, the assembled framework, pictures and a record",
		Long: "build makes each unit of the case solid, stacks them into a framework, proves every mesh sound and writes\n" +
			"framework.stl, framework.3mf, framework.glb, units/*.stl, views/*.png and record.json; then lays the skin\n" +
			"over the framework and writes what the pocket command does.\n\n" +
			"Exit code 0: good; 1: built, with findings of severity error; 2: bad input, nothing written.\n\n" + caution,
		Example: "  earframe build my-case/case.yaml\n  earframe build my-case/case.yaml --out print --step 0.1",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.out == "" {
				o.out = filepath.Join(filepath.Dir(args[0]), "build")
			}
			return build(cmd.Context(), s, args[0], o)
		},
	}
	cmd.Flags().StringVar(&o.out, "out", "", "folder for the output (default: build beside the case file)")
	o.flags(cmd)
	return cmd
}

// build makes the case at path and says what came of it.
func build(ctx context.Context, s streams, path string, o buildOptions) error {
	plan, err := loadPlan(path, o)
	if err != nil {
		return err
	}
	bar := newBar(s.err)
	framework, err := assemble.Build(ctx, plan, bar.framework)
	if err != nil {
		bar.clear()
		return err
	}
	laid, refused, err := layOver(ctx, plan)
	if err != nil {
		bar.clear()
		return err
	}
	record, err := writeOutput(ctx, framework, laid, refused, o.out, bar.output)
	bar.clear()
	if err != nil {
		return err
	}
	if o.json {
		data, err := record.JSON()
		if err != nil {
			return err
		}
		if _, err := s.out.Write(data); err != nil {
			return err
		}
	} else {
		sayBuild(s.out, framework, record, o.out)
	}
	for _, f := range record.Findings {
		if f.Severity == units.Error {
			return errFindings
		}
	}
	return nil
}

// layOver lays the skin over the planned framework. Where that cannot be done it
// says why in a finding: the framework itself may still be built.
func layOver(ctx context.Context, plan *units.Plan) (*closure.Result, []units.Finding, error) {
	laid, err := closure.Check(ctx, plan, closure.Options{})
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case err != nil:
		return nil, []units.Finding{closure.Refusal(err)}, nil
	}
	return laid, nil, nil
}

// loadPlan reads the case and lets the command line's values take precedence.
func loadPlan(path string, o buildOptions) (*units.Plan, error) {
	plan, err := units.Load(path)
	if err != nil {
		return nil, err
	}
	for _, over := range []struct {
		flag  string
		given float64
		value *float64
	}{{"step", o.step, &plan.Step}, {"tolerance", o.tolerance, &plan.Tolerance}} {
		if over.given == 0 {
			continue
		}
		if !(over.given > 0) || over.given > 5 {
			return nil, fmt.Errorf("--%s %g: a length in mm above 0 and up to 5 is expected", over.flag, over.given)
		}
		*over.value = over.given
		plan.Override(over.flag, over.given, "--"+over.flag)
	}
	return plan, nil
}
