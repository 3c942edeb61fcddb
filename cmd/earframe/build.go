package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"earframe/engine"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/publish"
	"earframe/report/record"
	"earframe/units"
	"earframe/units/casefile"

	"github.com/spf13/cobra"
)

// buildOptions is what the command line says beyond the case file.
type buildOptions struct {
	out             string
	json, all       bool
	step, tolerance *float64 // mm; nil if not given
}

// command gives a command that makes files of a case its argument and its flags.
// The folder is where they go, beside the case file.
func (o *buildOptions) command(
	cmd *cobra.Command, folder string, run func(ctx context.Context, path string) error,
) *cobra.Command {
	cmd.Args = cobra.ExactArgs(1)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := o.check(cmd); err != nil {
			return err
		}
		o.out = cmp.Or(o.out, filepath.Join(filepath.Dir(args[0]), folder))
		return run(cmd.Context(), args[0])
	}
	cmd.Flags().StringVar(&o.out, "out", "", "folder for the output (default: "+folder+" beside the case file)")
	o.flags(cmd)
	return cmd
}

func (o *buildOptions) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&o.json, "json", false, "print the record as JSON instead of the report in words")
	cmd.Flags().BoolVar(&o.all, allFlag, false, allFlagSays)
	cmd.Flags().Float64("step", contour.DefaultStep, "sampling step in mm, in place of the case file's")
	cmd.Flags().Float64("tolerance", simplify.DefaultTolerance,
		"how far in mm simplification may move the surface, in place of the case file's")
}

// check takes down which flags were given, and holds them to the limits that
// the case file is held to.
func (o *buildOptions) check(cmd *cobra.Command) error {
	for name, to := range map[string]**float64{"step": &o.step, "tolerance": &o.tolerance} {
		if !cmd.Flags().Changed(name) {
			continue
		}
		value, err := cmd.Flags().GetFloat64(name)
		if err != nil {
			return err
		}
		key, _ := casefile.Find(name)
		if !(value >= key.Least && value <= key.Most) {
			return fmt.Errorf("--%s %g: a length in mm from %g to %g is expected", name, value, key.Least, key.Most)
		}
		*to = &value
	}
	return nil
}

// plan reads and plans a case, and lets the command line's values take
// precedence.
func (o *buildOptions) plan(ctx context.Context, e *engine.Engine, path string) (*units.Plan, error) {
	c, err := e.Read(path)
	if err != nil {
		return nil, err
	}
	plan, err := e.Plan(ctx, c)
	if err != nil {
		return nil, err
	}
	if o.step != nil {
		plan = plan.WithStep(*o.step, "--step")
	}
	if o.tolerance != nil {
		plan = plan.WithTolerance(*o.tolerance, "--tolerance")
	}
	return plan, nil
}

func newBuild(s streams) *cobra.Command {
	var o buildOptions
	return o.command(&cobra.Command{
		Use:   "build CASE.yaml",
		Short: "Build a case: unit meshes, the assembled framework, pictures and a record",
		Long: "build makes each unit of the case solid, stacks them into a framework, proves every mesh sound and writes\n" +
			"framework.stl, framework.3mf, framework.glb, units/*.stl, views/*.png and record.json; then lays the skin\n" +
			"over the framework and writes what the pocket command does.\n\n" +
			"Exit code 0: good; 1: built, with findings of severity error; 2: bad input, nothing written.\n\n" + engine.Caution,
		Example: "  earframe build my-case/case.yaml\n  earframe build my-case/case.yaml --out print --step 0.1",
	}, "build", func(ctx context.Context, path string) error { return build(ctx, s, path, o) })
}

// Hundredths of a bar at which making is done and writing begins.
const (
	answered     = 70
	practiceMade = 80
	allDone      = 100
)

// build makes the case at path and says what came of it.
func build(ctx context.Context, s streams, path string, o buildOptions) error {
	e := engine.New(0)
	plan, err := o.plan(ctx, e, path)
	if err != nil {
		return err
	}
	out, err := publish.NewFolder(o.out, engine.BuildMakes...)
	if err != nil {
		return err
	}
	defer out.Discard()
	bar := newBar(s.err, "building")
	defer bar.clear()
	answer, err := e.Answer(ctx, plan, engine.Fine, bar.tell.Part(0, answered))
	if err != nil {
		return err
	}
	taken, err := answer.Write(ctx, out, bar.tell.Part(answered, allDone))
	if err != nil {
		return err
	}
	bar.clear()
	return conclude(s, o.json, taken.JSON, taken.Findings, func() {
		sayBuild(s.out, taken, o.out, o.all)
	})
}

// sayJSON prints a record as it is stored.
func sayJSON(w io.Writer, stored func() ([]byte, error)) error {
	data, err := stored()
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// conclude says what was made, as JSON or in words, and returns errFindings if any
// finding is an error.
func conclude(
	s streams, asJSON bool, stored func() ([]byte, error), findings []record.Finding, inWords func(),
) error {
	if !asJSON {
		inWords()
	} else if err := sayJSON(s.out, stored); err != nil {
		return err
	}
	if slices.ContainsFunc(findings, func(f record.Finding) bool { return f.Severity == units.Error }) {
		return errFindings
	}
	return nil
}
