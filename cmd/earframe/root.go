package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"earframe/engine"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

// What the command's exit says.
const (
	exitGood        = 0
	exitFindings    = 1   // built, but with findings of severity error
	exitBad         = 2   // bad input or usage, nothing was written; or the words reached nobody
	exitInterrupted = 130 // stopped by the user: 128 + SIGINT, as shells count
)

// errFindings says that what was asked for was made, with findings of severity
// error that have been printed already.
var errFindings = errors.New("built, with findings of severity error")

// streams is where a command writes: results to out, progress and complaints to
// err.
type streams struct {
	out, err io.Writer
}

// told passes on what a command says and keeps the first error, so that words that
// reached nobody are noticed without asking after each of them.
type told struct {
	to  io.Writer
	err error
}

func (t *told) Write(p []byte) (int, error) {
	if t.err != nil {
		return 0, t.err
	}
	n, err := t.to.Write(p)
	t.err = err
	return n, err
}

// run carries out the command line and returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	out := &told{to: stdout}
	root := newRoot(streams{out, stderr})
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if out.err != nil && ctx.Err() == nil {
		err = fmt.Errorf("what there is to say could not be written to the standard output: %w; files that were made are in their place", out.err)
	}
	switch {
	case err == nil:
		return exitGood
	case errors.Is(err, errFindings):
		return exitFindings
	case ctx.Err() != nil:
		fmt.Fprintln(stderr, "earframe: stopped; no half-written file is left behind")
		return exitInterrupted
	default:
		fmt.Fprintln(stderr, "earframe:", err)
		return exitBad
	}
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "earframe",
		Short: "True-to-scale practice models of an ear framework from its template",
		Long: "earframe turns the outlines of an ear template into solid units, stacks them into a framework,\n" +
			"proves each mesh sound and writes it for printing.\n\n" + engine.Caution,
		SilenceUsage:  true,
		SilenceErrors: true,
		// Without a subcommand there is nothing to do but to say what there is.
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.CompletionOptions.DisableDefaultCmd = true
	root.AddCommand(newDemo(s), newNew(s), newBuild(s), newPocket(s), newPractice(s), newInspect(s))
	return root
}

// isTerminal reports whether w is a terminal that a person looks at.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
