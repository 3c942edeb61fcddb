package main

import (
	"context"
	"path/filepath"

	"earframe/engine"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report/record"

	"github.com/spf13/cobra"
)

// pocketOptions is what the command line says beyond the case file.
type pocketOptions struct {
	out       string
	json, all bool
	vary      string
}

func newPocket(s streams) *cobra.Command {
	var o pocketOptions
	cmd := &cobra.Command{
		Use:   "pocket CASE.yaml",
		Short: "Lay the skin over the framework: depth, skin demand, dead space, relief",
		Long: "pocket lays the skin over the framework inside its pocket and says how deep the frame is and whether the\n" +
			"pocket takes it, how much skin it asks for and how tight that is where, where the skin bridges, and which\n" +
			"groove will still be seen. It writes pocket.json, views/*.png, the healed skin on a base plate as\n" +
			"skin.stl and skin.3mf, and the framework's depth map as depth/*.\n\n" +
			"With --vary it does so for several values of one number of the case, and writes a table and a plot.\n\n" +
			"Exit code 0: good; 1: done, with findings of severity error; 2: bad input, nothing written.\n\n" +
			engine.Caution + "\n" + pocket.Caution,
		Example: "  earframe pocket my-case/case.yaml\n" +
			"  earframe pocket my-case/case.yaml --vary skin.lateral=1.0:3.0:0.5\n" +
			"  earframe pocket my-case/case.yaml --vary 'units[helix].thickness=3:5:0.5'",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.out == "" {
				o.out = filepath.Join(filepath.Dir(args[0]), "pocket")
			}
			if o.vary != "" {
				return varyPocket(cmd.Context(), s, args[0], o)
			}
			return checkPocket(cmd.Context(), s, args[0], o)
		},
	}
	cmd.Flags().StringVar(&o.out, "out", "", "folder for the output (default: pocket beside the case file)")
	cmd.Flags().BoolVar(&o.json, "json", false, "print the result as JSON instead of words")
	cmd.Flags().BoolVar(&o.all, allFlag, false, allFlagSays)
	cmd.Flags().StringVar(&o.vary, "vary", "", "a value of the case to vary: PATH=FROM:TO:STEP, such as "+
		"skin.lateral=1.0:3.0:0.5")
	return cmd
}

// checkPocket checks the case at path and says what came of it.
func checkPocket(ctx context.Context, s streams, path string, o pocketOptions) error {
	e := engine.New(0)
	plan, err := (&buildOptions{}).plan(ctx, e, path)
	if err != nil {
		return err
	}
	out, err := publish.NewFolder(o.out, engine.SkinMakes...)
	if err != nil {
		return err
	}
	defer out.Discard()
	result, err := e.Skin(ctx, plan, engine.Fine)
	if err != nil {
		return err
	}
	if err := engine.WriteSkin(ctx, result, out, nil); err != nil {
		return err
	}
	taken := record.NewPocket(result)
	return conclude(s, o.json, taken.JSON, taken.Findings, func() {
		sayPocketCheck(s.out, taken, o.out, o.all)
	})
}
