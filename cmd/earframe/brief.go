package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"unicode/utf8"

	"earframe/report/record"
	"earframe/report/verdict"
	"earframe/units"
	"earframe/units/casefile"

	"golang.org/x/term"
)

// A report in words that is read in a plain terminal, at a glance.
const (
	mostLines   = 40
	leastWidth  = 80 // columns: what a terminal has at least
	usualWidth  = 100
	allFlag     = "all"
	allFlagSays = "say every finding, table and unsourced default, not the verdict alone"
)

// brief is what a command says of its result: the verdict first, then what to do,
// worst first, then where the rest stands.
type brief struct {
	title     string
	verdicts  []record.Answer
	todo      []record.Task
	findings  []record.Finding // of which notes are counted
	unsourced []string         // values that no source is known for
	record    string           // the file that holds the rest
	wrote     string
	cautions  []string
	rest      func(w io.Writer) // tables, said if all is asked for
}

// say says it; all says all findings, tables and defaults too, else no more than
// mostLines lines are said.
func (b brief) say(w io.Writer, all bool) {
	lines := b.lines(all, widthOf(w))
	if !all {
		fmt.Fprintln(w, strings.Join(lines, "\n"))
		return
	}
	end := len(lines) - len(b.end(widthOf(w)))
	fmt.Fprintf(w, "%s\n\n", strings.Join(lines[:end], "\n"))
	b.rest(w)
	sayFindings(w, b.findings)
	sayUnsourced(w, b.unsourced)
	fmt.Fprintln(w, strings.Join(lines[end:], "\n"))
}

// lines returns the lines of the report, which are no more than mostLines unless all
// is to be said.
func (b brief) lines(all bool, width int) []string {
	lines := append(wrapped("", "", b.title, width), "")
	for _, v := range b.verdicts {
		lead := fmt.Sprintf("%s %-9s  %-9s  ", v.State.Sign(), v.Question, v.State)
		lines = append(lines, wrapped(lead, indent(lead), v.Says, width)...)
	}
	lines, end := append(lines, ""), b.end(width)
	if all {
		return slices.Concat(lines, b.todoIn(len(b.todo)*mostLines, width), end)
	}
	rest := append([]string{""}, wrapped("", "", b.whereTheRestStands(), width)...)
	todo := b.todoIn(mostLines-len(lines)-len(rest)-len(end), width)
	return slices.Concat(lines, todo, rest, end)
}

// end returns the lines that every report ends with.
func (b brief) end(width int) []string {
	lines := wrapped("", "", b.wrote, width)
	for _, text := range b.cautions {
		lines = append(lines, wrapped("", "", text, width)...)
	}
	return lines
}

// todoIn lists what to do in so many lines, worst first, and counts what has no room.
func (b brief) todoIn(room, width int) []string {
	if len(b.todo) == 0 {
		return []string{"Nothing to do."}
	}
	lines := []string{"To do, worst first:"}
	for i, t := range b.todo {
		item := sayTask(t, width)
		left := room - len(lines) - len(item)
		if left < 0 || left == 0 && i < len(b.todo)-1 {
			return append(lines, "  and more: "+counted(b.todo[i:])+": --"+allFlag)
		}
		lines = append(lines, item...)
	}
	return lines
}

// sayTask says one thing to do.
func sayTask(t record.Task, width int) []string {
	state := verdict.Mind
	if t.Severity == units.Error {
		state = verdict.Stop
	}
	text := t.Do
	if len(t.Where) > 0 {
		text = strings.Join(t.Where, ", ") + ": " + text
	}
	if t.Count > max(1, len(t.Where)) {
		text += fmt.Sprintf(" (%d places)", t.Count)
	}
	lead := fmt.Sprintf("%s %-9s  ", state.Sign(), state)
	return wrapped(lead, indent(lead), text, width)
}

// counted says how many errors and warnings there are among what is to do.
func counted(todo []record.Task) string {
	errors, warnings := 0, 0
	for _, t := range todo {
		if t.Severity == units.Error {
			errors++
		} else {
			warnings++
		}
	}
	var said []string
	for _, c := range []struct {
		n     int
		state verdict.State
	}{{errors, verdict.Stop}, {warnings, verdict.Mind}} {
		if c.n > 0 {
			said = append(said, fmt.Sprintf("%d %s %s", c.n, c.state.Sign(), c.state))
		}
	}
	return strings.Join(said, ", ")
}

// whereTheRestStands counts what is not said, and says where it is.
func (b brief) whereTheRestStands() string {
	notes := 0
	for _, f := range b.findings {
		if f.Severity == units.Note {
			notes++
		}
	}
	return fmt.Sprintf("The rest: %s, %s, tables: --%s, or %s.", count(notes, "note"),
		count(len(b.unsourced), "unsourced default"), allFlag, b.record)
}

func count(n int, of string) string {
	switch n {
	case 0:
		return "no " + of
	case 1:
		return "1 " + of
	}
	return fmt.Sprintf("%d %ss", n, of)
}

// unsourced names the values for which no source is known: all of them, or those
// that the framework and its skin take.
func unsourced(values []record.Value, practice bool) []string {
	var names []string
	for _, v := range values {
		if v.Origin == units.UnsourcedDefault && (practice || !casefile.OfPractice(v.Path)) {
			names = append(names, v.Path)
		}
	}
	return names
}

func sayUnsourced(w io.Writer, names []string) {
	if len(names) > 0 {
		fmt.Fprintf(w, "Unsourced defaults, to be replaced by your own: %s\n\n", strings.Join(names, ", "))
	}
}

// widthOf returns how many columns are written in: those of the terminal, within what
// is read with ease.
func widthOf(w io.Writer) int {
	if t, ok := w.(*told); ok {
		w = t.to
	}
	f, ok := w.(*os.File)
	if !ok {
		return usualWidth
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return usualWidth
	}
	return min(max(columns, leastWidth), usualWidth)
}

// wrapped breaks a text at its spaces into lines of so many columns; a word longer
// than a line stays whole. The first line begins with first, others with next.
func wrapped(first, next, text string, width int) []string {
	var lines []string
	line, used, begun := first, utf8.RuneCountInString(first), false
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case !begun:
			line, used, begun = line+word, used+n, true
		case used+1+n <= width:
			line, used = line+" "+word, used+1+n
		default:
			lines = append(lines, line)
			line, used = next+word, utf8.RuneCountInString(next)+n
		}
	}
	return append(lines, line)
}

func indent(lead string) string { return strings.Repeat(" ", utf8.RuneCountInString(lead)) }
