package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"earframe/engine"
	"earframe/report/record"

	"github.com/spf13/cobra"
)

func newNew(s streams) *cobra.Command {
	var asJSON, hard bool
	cmd := &cobra.Command{
		Use:   "new DIR",
		Short: "Start a case: a folder with a template and a case file to edit",
		Long: "new writes template.svg, case.yaml and the schema that lets an editor help with the case file.\n" +
			"It starts from the built-in example; replace its drawing by your own tracing. An existing file is never " +
			"overwritten.",
		Example: "  earframe new my-case\n  earframe build my-case/case.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			written, err := engine.StartCase(cmd.Context(), args[0], example(hard))
			if err != nil {
				return err
			}
			if asJSON {
				data, err := record.Encode(map[string][]string{"written": written})
				if err != nil {
					return err
				}
				_, err = s.out.Write(data)
				return err
			}
			fmt.Fprintf(s.out, "Wrote %s.\nEdit them, then: earframe build %s\n%s\n",
				strings.Join(written, ", "), shellWord(filepath.Join(args[0], engine.CaseFile)), engine.Caution)
			return nil
		},
	}
	hardFlag(cmd, &hard)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the names of the written files as JSON")
	return cmd
}
