package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"earframe/engine"
	"earframe/units/demo"

	"github.com/spf13/cobra"
)

func newDemo(s streams) *cobra.Command {
	var o buildOptions
	var hard bool
	cmd := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Build the built-in example: an invented left ear of a child of about ten years",
		Long: "demo writes the example's template and case file to DIR/case and builds them into DIR\n" +
			"(default: demo). Files that you edited there are not overwritten. Its measurements are invented; no person was " +
			"measured. With --hard it is another ear, which shows what the findings are for.",
		Example: "  earframe demo\n  earframe demo --hard hard-ear",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.check(cmd); err != nil {
				return err
			}
			dir := "demo"
			if len(args) > 0 {
				dir = args[0]
			}
			path, err := engine.StartDemo(cmd.Context(), filepath.Join(dir, "case"), example(hard))
			if errors.Is(err, engine.ErrEdited) {
				return fmt.Errorf("%w: build it with earframe build %s, or give the demo another folder",
					err, shellWord(filepath.Join(dir, "case", engine.CaseFile)))
			}
			if err != nil {
				return err
			}
			o.out = dir
			return build(cmd.Context(), s, path, o)
		},
	}
	o.flags(cmd)
	hardFlag(cmd, &hard)
	return cmd
}

func hardFlag(cmd *cobra.Command, hard *bool) {
	cmd.Flags().BoolVar(hard, "hard", false, "take the hard example: a large ear, thick skin, little cartilage")
}

func example(hard bool) demo.Example {
	if hard {
		return demo.Hard
	}
	return demo.Good
}

// shellWord quotes a path that a shell would take for several words.
func shellWord(path string) string {
	if strings.ContainsAny(path, " \t'\"$&;()") {
		return strconv.Quote(path)
	}
	return path
}
