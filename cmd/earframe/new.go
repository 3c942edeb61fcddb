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

func newNew(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "new DIR",
		Short: "Start a case: a folder with a template and a case file to edit",
		Long: "new writes template.svg, case.yaml and the schema that lets an editor help with the case file.\n" +
			"It starts from the demo's template; replace it by your own tracing. An existing file is never overwritten.",
		Example: "  earframe new my-case\n  earframe build my-case/case.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := startCase(cmd.Context(), args[0]); err != nil {
				return err
			}
			fmt.Fprintf(s.out, "Wrote %s, template.svg and %s.\nEdit them, then: earframe build %s\n%s\n",
				filepath.Join(args[0], caseFile), units.SchemaFile, filepath.Join(args[0], caseFile), caution)
			return nil
		},
	}
}

const caseFile = "case.yaml"

// startCase writes the files of a new case into the folder. It first makes sure
// that none of them is there.
func startCase(ctx context.Context, dir string) error {
	files := []struct {
		name string
		text []byte
	}{
		{"template.svg", demo.Template},
		{caseFile, units.NewCase()},
		{units.SchemaFile, units.Schema()},
	}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		if _, err := os.Lstat(path); err == nil {
			return fmt.Errorf("%s is there already; choose another folder, or move it away", path)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("cannot make the folder: %w", err)
	}
	for _, f := range files {
		if err := writeFile(ctx, filepath.Join(dir, f.name), f.text); err != nil {
			return err
		}
	}
	return nil
}
