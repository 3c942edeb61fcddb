package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"earframe/engine"
	"earframe/publish"
	"earframe/report/record"
	"earframe/units"
)

// sayBuild says what was made: the verdict, or all.
func sayBuild(w io.Writer, r *record.Build, dir string, all bool) {
	b := brief{
		title: fmt.Sprintf("%s, %s ear: %s, %.1f mm "+
			"deep", r.Case, r.Side, count(len(r.Units), "unit"), r.Framework.Size[2]),
		verdicts: r.Verdicts, todo: r.ToDo, findings: r.Findings, unsourced: unsourced(r.Inputs, false),
		record: engine.RecordName, wrote: wrote(r.Files, engine.RecordName, dir), cautions: []string{engine.Caution},
		rest: func(w io.Writer) { sayFramework(w, r) },
	}
	if r.Pocket != nil {
		b.cautions = append(b.cautions, r.Pocket.Caution)
	}
	b.say(w, all)
}

// wrote says what was written where.
func wrote(files []publish.File, record, dir string) string {
	return fmt.Sprintf("Wrote %d files to %s: %s", len(files)+1, dir, strings.Join(append(contents(files), record), ", "))
}

// sayFramework says in tables what the framework and the skin over it are.
func sayFramework(w io.Writer, r *record.Build) {
	fmt.Fprintf(w, "  %-18s %-10s %22s %10s %10s\n", "unit", "rib", "size, mm", "mm³", "thinnest")
	for _, u := range r.Units {
		saySolid(w, u.Label, ribs(u.Ribs), u.Solid)
	}
	saySolid(w, "Framework", "", r.Framework)
	fmt.Fprintf(w, "  thinnest: the thinnest wall of a unit, engraved letters aside\n")
	fmt.Fprintf(w, "\n  It is %.1f mm deep, from its lowest to its highest point.\n", r.Framework.Size[2])
	fmt.Fprintf(w, "  Every mesh is %s; each file was read back and compared.\n\n", r.Framework.Soundness)
	sayContacts(w, r.Contacts)
	fmt.Fprint(w, "No published table of layer heights is known: thickness and rise are the case file's own, or "+
		"unsourced "+
		"defaults.\n\n")
	if r.Pocket != nil {
		sayPocket(w, r.Pocket)
	}
}

// contents lists the files, those of a folder under its name.
func contents(files []publish.File) []string {
	var names []string
	for _, f := range files {
		name, _, _ := strings.Cut(f.Name, "/")
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

func saySolid(w io.Writer, label, rib string, s record.Solid) {
	size := fmt.Sprintf("%.1f × %.1f × %.1f", s.Size[0], s.Size[1], s.Size[2])
	thinnest := "-"
	if s.Thinnest != nil {
		thinnest = fmt.Sprintf("%.2f mm", s.Thinnest.Thickness)
	}
	fmt.Fprintf(w, "  %-18s %-10s %22s %10.0f %10s\n", label, rib, size, s.Volume, thinnest)
}

// ribs says which rib cartilages a unit is carved from.
func ribs(numbers []int) string {
	if len(numbers) == 0 {
		return "remainder"
	}
	return strings.Trim(strings.Join(strings.Fields(fmt.Sprint(numbers)), "+"), "[]")
}

// nearEnough is how far apart, in mm, two units may be for their gap to be
// worth a line.
const nearEnough = 1

func sayContacts(w io.Writer, contacts []record.Contact) {
	fmt.Fprintln(w, "How they fit:")
	for _, c := range contacts {
		switch {
		case c.Depth > 0:
			fmt.Fprintf(w, "  %s and %s overlap by %.1f mm³, %.2f mm at the deepest\n", c.A, c.B, c.Volume, c.Depth)
		case c.Area > 0 && c.Permitted:
			fmt.Fprintf(w, "  %s and %s touch over %.0f mm², notch included\n", c.A, c.B, c.Area)
		case c.Area > 0:
			fmt.Fprintf(w, "  %s and %s touch over %.0f mm²\n", c.A, c.B, c.Area)
		case c.Gap < nearEnough:
			fmt.Fprintf(w, "  %s and %s are %.2f mm apart at the nearest\n", c.A, c.B, c.Gap)
		}
	}
	fmt.Fprintln(w)
}

func sayFindings(w io.Writer, findings []record.Finding) {
	if len(findings) == 0 {
		fmt.Fprint(w, "No findings.\n\n")
		return
	}
	fmt.Fprintln(w, "All findings, worst first:")
	rank := map[units.Severity]int{units.Error: 0, units.Warning: 1, units.Note: 2}
	for _, f := range slices.SortedStableFunc(slices.Values(findings), func(a, b record.Finding) int {
		return rank[a.Severity] - rank[b.Severity]
	}) {
		fmt.Fprintf(w, "  %s\n", f)
	}
	fmt.Fprintln(w)
}
