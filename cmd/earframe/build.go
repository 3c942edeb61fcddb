package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"

	"earframe/assemble"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report/record"
	"earframe/units"
	"earframe/units/casefile"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"
)

// buildOptions is what the command line says beyond the case file.
type buildOptions struct {
	out             string
	json            bool
	step, tolerance float64 // mm
	over            []override
}

// override is a number of the case that the command line replaces.
type override struct {
	path  string
	value float64
}

func (o *buildOptions) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&o.json, "json", false, "print the record as JSON instead of the report in words")
	cmd.Flags().Float64Var(&o.step, "step", contour.DefaultStep, "sampling step in mm, in place of the case file's")
	cmd.Flags().Float64Var(&o.tolerance, "tolerance", simplify.DefaultTolerance, "how far in mm simplification may move the surface, in place of the case file's")
}

// check takes down which flags were given, and holds them to the limits that
// the case file is held to.
func (o *buildOptions) check(cmd *cobra.Command) error {
	for _, flag := range []override{{"step", o.step}, {"tolerance", o.tolerance}} {
		if !cmd.Flags().Changed(flag.path) {
			continue
		}
		least, most, _ := casefile.Limits(flag.path)
		if !(flag.value >= least && flag.value <= most) {
			return fmt.Errorf("--%s %g: a length in mm from %g to %g is expected", flag.path, flag.value, least, most)
		}
		o.over = append(o.over, flag)
	}
	return nil
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
			if err := o.check(cmd); err != nil {
				return err
			}
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
	plan, err := loadPlan(ctx, path, o)
	if err != nil {
		return err
	}
	to, err := publish.NewFolder(o.out)
	if err != nil {
		return err
	}
	defer to.Discard()
	bar := newBar(s.err, "building")
	framework, laid, refused, err := make3D(ctx, plan, bar)
	if err != nil {
		bar.clear()
		return err
	}
	record, err := writeOutput(ctx, framework, laid, refused, to, bar.part(frameworkMade, allDone))
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
	return verdictOn(record.Findings)
}

// verdictOn returns errFindings if any finding is an error.
func verdictOn(findings []record.Finding) error {
	if slices.ContainsFunc(findings, func(f record.Finding) bool { return f.Severity == units.Error }) {
		return errFindings
	}
	return nil
}

// make3D builds the framework and lays the skin over it, side by side: neither
// keeps all cores busy by itself.
func make3D(ctx context.Context, plan *units.Plan, bar *bar) (*assemble.Framework, *pocket.Result, []units.Finding, error) {
	var framework *assemble.Framework
	var laid *pocket.Result
	var refused []units.Finding
	group, ctx := errgroup.WithContext(ctx)
	group.Go(func() (err error) {
		framework, err = assemble.Build(ctx, plan, assemble.Options{Progress: bar.part(0, frameworkMade)})
		return err
	})
	group.Go(func() (err error) {
		laid, refused, err = layOver(ctx, plan)
		return err
	})
	return framework, laid, refused, group.Wait()
}

// layOver lays the skin over the planned framework. Where that cannot be done it
// says why in a finding: the framework itself may still be built.
func layOver(ctx context.Context, plan *units.Plan) (*pocket.Result, []units.Finding, error) {
	laid, err := pocket.Check(ctx, plan, pocket.Options{})
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case err != nil:
		return nil, []units.Finding{pocket.Refusal(err)}, nil
	}
	return laid, nil, nil
}

// loadPlan reads the case and lets the command line's values take precedence.
func loadPlan(ctx context.Context, path string, o buildOptions) (*units.Plan, error) {
	plan, err := units.Load(ctx, path)
	if err != nil {
		return nil, err
	}
	for _, over := range o.over {
		switch over.path {
		case "step":
			plan = plan.WithStep(over.value, "--step")
		case "tolerance":
			plan = plan.WithTolerance(over.value, "--tolerance")
		}
	}
	return plan, nil
}
