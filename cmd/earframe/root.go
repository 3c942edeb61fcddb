package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode"

	"earframe/engine"
	"earframe/report/record"

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
		err = fmt.Errorf("what there is to say could not be written to the standard output: %w; "+
			"files that were made are in their place", out.err)
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
		fmt.Fprintln(stderr, "earframe:", withoutControls(err.Error()))
		return exitBad
	}
}

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "earframe",
		Short: "True-to-scale practice models of an ear framework from its template",
		Long: "earframe turns the outlines of an ear template into solid units, stacks them into a framework,\n" +
			"proves each mesh sound and writes it for printing.\n\n" + engine.Caution,
		Version:       version(),
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

// version returns what --version says: release, commit, compiler.
func version() string {
	v := record.Versions()
	said := v["earframe"]
	if revision := v["revision"]; revision != "" {
		said += ", revision " + revision
	}
	return said + ", " + v["go"]
}

// withoutControls writes characters that a terminal would obey, and others that
// nobody sees, as Go writes them in a string; lines stay lines. What is said of a
// file may hold names out of it.
func withoutControls(text string) string {
	var out strings.Builder
	for _, r := range text {
		if unicode.IsPrint(r) || r == '\n' {
			out.WriteRune(r)
		} else {
			out.WriteString(strings.Trim(strconv.QuoteRune(r), "'"))
		}
	}
	return out.String()
}

// nameAsSaid returns a name out of a file, quoted where it could be taken for
// something else.
func nameAsSaid(name string) string {
	if said := withoutControls(name); said != name || strings.ContainsRune(name, '\n') {
		return strconv.Quote(name)
	}
	return name
}

// isTerminal reports whether w is a terminal that a person looks at.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
