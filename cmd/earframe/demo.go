package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"earframe/units"
	"earframe/units/demo"

	"github.com/spf13/cobra"
)

func newDemo(s streams) *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Build the built-in example: an invented left ear of a school-age child",
		Long: "demo writes the example's template and case file to DIR/case and builds them into DIR\n" +
			"(default: demo). Its measurements are invented; no person was measured.",
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
			path, err := writeDemoCase(cmd.Context(), filepath.Join(dir, "case"))
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

// writeDemoCase writes the example into the folder, over an earlier one, and
// returns the case file's path.
func writeDemoCase(ctx context.Context, dir string) (string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("cannot make the folder: %w", err)
	}
	if err := writeFile(ctx, filepath.Join(dir, "template.svg"), demo.Template); err != nil {
		return "", err
	}
	path := filepath.Join(dir, caseFile)
	if err := writeFile(ctx, filepath.Join(dir, units.SchemaFile), units.Schema()); err != nil {
		return "", err
	}
	return path, writeFile(ctx, path, demo.Case)
}
