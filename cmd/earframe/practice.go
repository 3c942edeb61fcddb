package main

import (
	"context"

	"earframe/engine"
	"earframe/practice"
	"earframe/publish"

	"github.com/spf13/cobra"
)

func newPractice(s streams) *cobra.Command {
	var o buildOptions
	return o.command(&cobra.Command{
		Use:   "practice CASE.yaml",
		Short: "Make the practice set: rib blanks, moulds, a kit of prints, carving sheets, cartilage budget",
		Long: "practice makes everything for a carving session: blanks of rib cartilages 6 to 9 and casting moulds for " +
			"them\n" +
			"and for the units, the units as a kit of separate prints laid out on plates, a plan of the fixations, carving\n" +
			"sheets at true size, the cartilage budget and a session sheet. It writes blanks/*, moulds/*, kit/*, sheets/*,\n" +
			"views/* and " + engine.PracticeRecordName + ".\n\n" +
			"Exit code 0: good; 1: made, with findings of severity error; 2: bad input, nothing written.\n\n" +
			engine.Caution + "\n" + practice.Caution,
		Example: "  earframe practice my-case/case.yaml\n  earframe practice my-case/case.yaml --out lab --json",
	}, "practice", func(ctx context.Context, path string) error { return makePractice(ctx, s, path, o) })
}

// makePractice makes the practice set of the case at path and says what came of
// it.
func makePractice(ctx context.Context, s streams, path string, o buildOptions) error {
	e := engine.New(0)
	plan, err := o.plan(ctx, e, path)
	if err != nil {
		return err
	}
	out, err := publish.NewFolder(o.out, engine.PracticeMakes...)
	if err != nil {
		return err
	}
	defer out.Discard()
	bar := newBar(s.err, "making the practice set")
	defer bar.clear()
	set, err := e.Practice(ctx, plan, bar.tell.Part(0, practiceMade))
	if err != nil {
		return err
	}
	taken, err := engine.WritePractice(ctx, set, out, bar.tell.Part(practiceMade, allDone))
	if err != nil {
		return err
	}
	bar.clear()
	return conclude(s, o.json, taken.JSON, taken.Findings, func() {
		sayPractice(s.out, set, taken, o.out, o.all)
	})
}
