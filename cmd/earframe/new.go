package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"earframe/publish"
	"earframe/units/casefile"
	"earframe/units/demo"

	"github.com/spf13/cobra"
)

func newNew(s streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "new DIR",
		Short: "Start a case: a folder with a template and a case file to edit",
		Long: "new writes template.svg, case.yaml and the schema that lets an editor help with the case file.\n" +
			"It starts from the demo's template; replace it by your own tracing. An existing file is never overwritten.",
		Example: "  earframe new my-case\n  earframe build my-case/case.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			written, err := startCase(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			if asJSON {
				return json.NewEncoder(s.out).Encode(map[string][]string{"written": written})
			}
			fmt.Fprintf(s.out, "Wrote %s.\nEdit them, then: earframe build %s\n%s\n",
				strings.Join(written, ", "), shellWord(filepath.Join(args[0], caseFile)), caution)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the names of the written files as JSON")
	return cmd
}

// caseName makes a case's name out of its folder's.
func caseName(dir string) string {
	full, err := filepath.Abs(dir)
	if err != nil {
		full = dir
	}
	name := strings.Map(func(r rune) rune {
		if r < 128 && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" ._-", r)) {
			return r
		}
		return '-'
	}, filepath.Base(full))
	name = strings.TrimLeft(name, " ._-")
	const longest = 40 // letters that the case file takes
	if name = name[:min(len(name), longest)]; name == "" {
		return "my-case"
	}
	return name
}

const caseFile = "case.yaml"

// startCase writes the files of a new case into the folder and returns their
// names. It first makes sure that none of them is there.
func startCase(ctx context.Context, dir string) ([]string, error) {
	files := []caseText{
		{"template.svg", demo.Template},
		{caseFile, casefile.New(caseName(dir))},
		{casefile.SchemaFile, casefile.Schema()},
	}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		if _, err := os.Lstat(path); err == nil {
			return nil, fmt.Errorf("%s is there already; choose another folder, or move it away", path)
		}
	}
	var written []string
	for _, f := range files {
		written = append(written, filepath.Join(dir, f.name))
	}
	return written, writeCase(ctx, dir, files)
}

// caseText is a file of a case.
type caseText struct {
	name string
	text []byte
}

// writeCase writes the files of a case into the folder: all of them or none.
func writeCase(ctx context.Context, dir string, files []caseText) error {
	to, err := publish.NewFolder(dir)
	if err != nil {
		return err
	}
	defer to.Discard()
	for _, f := range files {
		if err := publish.WriteBytes(ctx, to, f.name, f.text); err != nil {
			return err
		}
	}
	_, err = to.Conclude(ctx, nil)
	return err
}
