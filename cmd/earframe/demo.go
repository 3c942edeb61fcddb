package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"earframe/units/casefile"
	"earframe/units/demo"

	"github.com/spf13/cobra"
)

func newDemo(s streams) *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Build the built-in example: an invented left ear of a school-age child",
		Long: "demo writes the example's template and case file to DIR/case and builds them into DIR\n" +
			"(default: demo). Files that you edited there are not overwritten. Its measurements are invented; no person was measured.",
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

// writeDemoCase writes the example into the folder and returns the case file's
// path. Files that have been edited since are not overwritten.
func writeDemoCase(ctx context.Context, dir string) (string, error) {
	files := []caseText{{"template.svg", demo.Template}, {caseFile, demo.Case}, {casefile.SchemaFile, casefile.Schema()}}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		if there, err := os.ReadFile(path); err == nil && !bytes.Equal(there, f.text) {
			return "", fmt.Errorf("%s differs from the demo's: build it with earframe build %s, or give the demo another folder",
				path, shellWord(filepath.Join(dir, caseFile)))
		}
	}
	return filepath.Join(dir, caseFile), writeCase(ctx, dir, files)
}

// shellWord quotes a path that a shell would take for several words.
func shellWord(path string) string {
	if strings.ContainsAny(path, " \t'\"$&;()") {
		return strconv.Quote(path)
	}
	return path
}
