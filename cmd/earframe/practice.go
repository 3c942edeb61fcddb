package main

import (
	"context"
	"path/filepath"

	"earframe/assemble"
	"earframe/practice"
	"earframe/publish"
	"earframe/report/record"

	"github.com/spf13/cobra"
)

// practiceRecordName is the record of a practice set, practiceMakes the names of
// what else a set holds.
const practiceRecordName = "practice.json"

var practiceMakes = []string{
	"blanks/*.stl", "moulds/*.stl", "moulds/*.3mf", "kit/*.stl", "kit/*.3mf", "sheets/*.pdf", "sheets/*.svg", "views/*.png",
}

func newPractice(s streams) *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "practice CASE.yaml",
		Short: "Make the practice set: rib blanks, moulds, a kit of prints, carving sheets, cartilage budget",
		Long: "practice makes everything for a carving session: blanks of rib cartilages 6 to 9 and casting moulds for them\n" +
			"and for the units, the units as a kit of separate prints laid out on plates, a plan of the fixations, carving\n" +
			"sheets at true size, the cartilage budget and a session sheet. It writes blanks/*, moulds/*, kit/*, sheets/*,\n" +
			"views/* and " + practiceRecordName + ".\n\n" +
			"Exit code 0: good; 1: made, with findings of severity error; 2: bad input, nothing written.\n\n" +
			caution + "\n" + practice.Caution,
		Example: "  earframe practice my-case/case.yaml\n  earframe practice my-case/case.yaml --out lab --json",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.check(cmd); err != nil {
				return err
			}
			if o.out == "" {
				o.out = filepath.Join(filepath.Dir(args[0]), "practice")
			}
			return makePractice(cmd.Context(), s, args[0], o)
		},
	}
	cmd.Flags().StringVar(&o.out, "out", "", "folder for the output (default: practice beside the case file)")
	o.flags(cmd)
	return cmd
}

// makePractice makes the practice set of the case at path and says what came of
// it.
func makePractice(ctx context.Context, s streams, path string, o buildOptions) error {
	plan, err := loadPlan(ctx, path, o)
	if err != nil {
		return err
	}
	to, err := publish.NewFolder(o.out)
	if err != nil {
		return err
	}
	defer to.Discard()
	bar := newBar(s.err, "making the practice set")
	defer bar.clear()
	framework, err := assemble.Build(ctx, plan, assemble.Options{Apart: true, Progress: bar.part(0, 15)})
	if err != nil {
		return err
	}
	set, err := practice.Make(ctx, framework, bar.part(15, 80))
	if err != nil {
		return err
	}
	record, err := writePractice(ctx, set, to, bar.part(80, allDone))
	bar.clear()
	if err != nil {
		return err
	}
	if err := sayPracticeAs(s, set, record, o); err != nil {
		return err
	}
	return verdictOn(record.Findings)
}

func sayPracticeAs(s streams, set *practice.Set, taken *record.Practice, o buildOptions) error {
	if !o.json {
		sayPractice(s.out, set, taken, o.out)
		return nil
	}
	data, err := taken.JSON()
	if err != nil {
		return err
	}
	_, err = s.out.Write(data)
	return err
}
