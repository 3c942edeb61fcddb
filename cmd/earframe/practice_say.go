package main

import (
	"fmt"
	"io"
	"unicode/utf8"

	"earframe/engine"
	"earframe/practice"
	"earframe/practice/mould"
	"earframe/report/record"
)

// sayPractice says what the practice set holds: the verdict, or all.
func sayPractice(w io.Writer, set *practice.Set, r *record.Practice, dir string, all bool) {
	brief{
		title:    fmt.Sprintf("%s, %s ear: the practice set", r.Case, r.Side),
		verdicts: r.Verdicts, todo: r.ToDo, findings: r.Findings, unsourced: unsourced(r.Inputs, true),
		record: engine.PracticeRecordName, wrote: wrote(r.Files, engine.PracticeRecordName, dir),
		cautions: []string{engine.Caution, practice.Caution},
		rest: func(w io.Writer) {
			sayBlanks(w, set)
			sayMoulds(w, set)
			sayKit(w, set)
			sayWiring(w, set)
			sayBudget(w, set)
		},
	}.say(w, all)
}

func sayBlanks(w io.Writer, set *practice.Set) {
	fmt.Fprintln(w, "Rib blanks:")
	for _, b := range set.Blanks {
		fmt.Fprintf(w, "  %-*s  %5.1f mm along its curve, %4.1f mm high, %.1f to %.1f mm thick, %4.1f ml\n",
			longest(set), b.Label, b.Length, b.Height, b.Thickness, b.ThicknessMost, b.Verdict.Volume/1000)
	}
	fmt.Fprintln(w)
}

func sayMoulds(w io.Writer, set *practice.Set) {
	fmt.Fprintln(w, "Casting moulds, and what to mix for them:")
	for i, m := range set.Moulds {
		fmt.Fprintf(w, "  %-*s  %-9s %6.1f ml%s\n", longest(set), m.Label, m.Kind, set.Mix[i].MixedML, portions(set.Mix[i]))
	}
	all := set.Mix[len(set.Mix)-1]
	fmt.Fprintf(w, "  %-*s  %-9s %6.1f ml%s\n\n", longest(set), "all of them", "", all.MixedML, portions(all))
}

// longest returns the width of the column that what is cast is named in.
func longest(set *practice.Set) int {
	width := len("all of them")
	for _, m := range set.Moulds {
		width = max(width, utf8.RuneCountInString(m.Label))
	}
	return width
}

// portions says how much of each ingredient a mix takes.
func portions(m mould.Mix) string {
	said := ""
	for _, p := range m.Ingredients {
		said += fmt.Sprintf(", %s %.1f", p.Name, p.ML)
	}
	return said
}

func sayKit(w io.Writer, set *practice.Set) {
	k := set.Kit
	fmt.Fprintf(w, "Kit: %d prints with %.2f mm between faces, on %s. Put together in this "+
		"order:\n", len(k.Pieces), k.Clearance, plates(len(k.Plates)))
	for _, p := range k.Pieces {
		letter := ""
		if p.Letter != "" {
			letter = ", marked " + p.Letter
		}
		fmt.Fprintf(w, "  %d. %s%s; %s\n", p.Order, p.Name, letter, p.Pose.Text)
	}
	fmt.Fprintln(w)
}

func plates(n int) string {
	if n == 1 {
		return "one plate"
	}
	return fmt.Sprintf("%d plates", n)
}

func sayWiring(w io.Writer, set *practice.Set) {
	p := set.Wiring
	fmt.Fprintf(w, "Wiring: %d fixations about %g mm apart, %.2f m of wire in all: "+
		"%s.\n", p.Count, p.SpacingMM, p.WireMM/1000, p.Gauges.Text)
	for _, s := range p.Seams {
		fmt.Fprintf(w, "  %-44s %3d over %5.1f mm\n", s.Name, s.Count, s.Length)
	}
	fmt.Fprintln(w)
}

func sayBudget(w io.Writer, set *practice.Set) {
	fmt.Fprintf(w, "Cartilage: %s\n", set.Budget.Text)
	for _, u := range set.Budget.Units {
		fmt.Fprintf(w, "  %s: %s\n", u.Label, u.Text)
	}
	fmt.Fprintln(w)
}
