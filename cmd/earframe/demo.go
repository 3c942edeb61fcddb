package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"earframe/engine"

	"github.com/spf13/cobra"
)

func newDemo(s streams) *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Build the built-in example: an invented left ear of a school-age child",
		Long: "demo writes the example's template and case file to DIR/case and builds them into DIR\n" +
			"(default: demo). Files that you edited there are not overwritten. Its measurements are invented; no person was " +
			"measured.",
		Example: "  earframe demo\n  earframe demo my-first-frame",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.check(cmd); err != nil {
				return err
			}
			dir := "demo"
			if len(args) > 0 {
				dir = args[0]
			}
			path, err := engine.StartDemo(cmd.Context(), filepath.Join(dir, "case"))
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
	return cmd
}

// shellWord quotes a path that a shell would take for several words.
func shellWord(path string) string {
	if strings.ContainsAny(path, " \t'\"$&;()") {
		return strconv.Quote(path)
	}
	return path
}
