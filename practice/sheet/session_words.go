package sheet

import (
	"fmt"
	"slices"
	"strings"

	"earframe/units"
)

// steps is the order of work.
func (s *session) steps() []string {
	var steps []string
	add := func(words string) { steps = append(steps, fmt.Sprintf("%d\t%s", len(steps)+1, words)) }
	add("Print the carving sheets at 100 % and measure their check bars.")
	if s.together {
		add("Carve the units in the order of the table; fit each notch to the finished unit that it takes.")
	}
	ordered := units.InAssembly(s.in.Plan.Units)
	for i, u := range ordered {
		if s.together {
			break
		}
		words := fmt.Sprintf("Carve the %s from %s", lowered(u.Label), ribWords(u))
		var carved []string
		for _, r := range u.Recesses {
			carved = append(carved, r.Name)
		}
		if len(carved) > 0 {
			words += ", with " + and(carved)
		}
		if len(u.NotchFor) > 0 {
			words += "; fit its notch to the finished " + and(u.NotchFor)
		}
		words += s.pieceWords(ordered, i)
		add(words + ".")
	}
	words := "Lay the units on one another and compare with the sheet of heights."
	if s.covered() {
		words += " Before a unit covers them, pass the wires that the list of fixations names."
	}
	add(words)
	if n := s.fixations(); n > 0 {
		add(fmt.Sprintf("Wire %s, seam by seam, in the order of their numbers.", counted(n, "fixation")))
	}
	return steps
}

// pieceWords says how what is carved by then is put together: the pieces of a unit,
// once its last one is carved, and the head of the helix.
func (s *session) pieceWords(ordered []*units.Unit, i int) string {
	u := ordered[i]
	last := i+1 == len(ordered) || ordered[i+1].Of() != u.Of()
	words := ""
	if u.Whole != nil && last {
		words = fmt.Sprintf("; wire the pieces of the %s together", lowered(u.Whole.Label))
		if u.Part == units.Base {
			words += ", rigidly"
		}
	}
	if rise := u.Rise.Profile; u.Part == units.Helix && last && len(rise) > 0 && rise[0].Height < 0 {
		words += "; the head of its crus goes to the posterior surface of the base frame"
	}
	return words
}

func (s *session) fixations() int {
	n := 0
	for _, seam := range s.in.Seams {
		n += len(seam.Numbers)
	}
	return n
}

// covered reports whether the list of fixations names wires that a unit comes to
// lie over.
func (s *session) covered() bool {
	return slices.ContainsFunc(s.in.Seams, func(seam Seam) bool { return len(seam.Covered) > 0 })
}

func lowered(label string) string {
	return strings.ToLower(label[:min(1, len(label))]) + label[min(1, len(label)):]
}

// blocks are the lists beneath the table; empty ones are left out.
func (s *session) blocks() []block {
	all := []block{
		{"Fixations", s.fixationLines()},
		{"Bolsters", s.bolsterLines()},
		{"Casting mix", s.mixLines()},
		{"Cartilage", s.cartilageLines()},
		{"To be minded", s.warningLines()},
	}
	return slices.DeleteFunc(all, func(b block) bool { return len(b.lines) == 0 })
}

func (s *session) cartilageLines() []string {
	var lines []string
	for _, words := range s.in.Cartilage {
		lines = append(lines, sentence(words))
	}
	return lines
}

func (s *session) fixationLines() []string {
	if s.fixations() == 0 {
		return nil
	}
	var lines []string
	for _, seam := range s.in.Seams {
		if !s.together {
			lines = append(lines, fmt.Sprintf("%s: %s", seam.Name, spans(seam.Numbers))+passedBefore(seam))
		} else if len(seam.Covered) > 0 {
			lines = append(lines, seam.Name+passedBefore(seam)+".")
		}
	}
	if s.together {
		lines = append(lines, fmt.Sprintf("On %s: see the wiring sheet for their numbers.",
			counted(len(s.in.Seams), "seam")))
	}
	total := counted(s.fixations(), "fixation") + " in all"
	if s.in.WireLength > 0 {
		total += fmt.Sprintf(", %.1f m of wire", s.in.WireLength/1000)
	}
	lines = append(lines, total+".")
	if s.in.Wire != "" {
		lines = append(lines, sentence(s.in.Wire))
	}
	return lines
}

// passedBefore says which of a seam's wires are out of reach once other units lie
// there.
func passedBefore(seam Seam) string {
	if len(seam.Covered) == 0 {
		return ""
	}
	verb := "are"
	if len(seam.Over) == 1 {
		verb = "is"
	}
	return fmt.Sprintf("; pass %s before %s %s laid on", spans(seam.Covered), and(seam.Over), verb)
}

// millilitres writes a volume as finely as it can be measured out: to a tenth, or
// to a hundredth below one.
func millilitres(v float64) string {
	if v < 0.995 {
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

func (s *session) mixLines() []string {
	var lines []string
	for _, m := range s.in.Mixes {
		var parts []string
		for _, part := range m.Parts {
			parts = append(parts, part.Name+" "+millilitres(part.Volume))
		}
		lines = append(lines, fmt.Sprintf("%s, %s ml: %s", capitalised(m.Mould), millilitres(m.Volume),
			strings.Join(parts, ", ")))
	}
	if len(lines) > 0 {
		lines = append(lines, "Silicone and resin per their data sheets.")
	}
	return lines
}

// findingWords says a finding without where it is: the picture shows that.
func findingWords(plan *units.Plan, f units.Finding) string {
	words := f.Message
	if u := plan.Unit(f.Unit); u != nil {
		words = u.Label + ": " + words
	}
	words = sentence(words)
	if f.Advice != "" {
		words += " " + sentence(f.Advice)
	}
	return words
}

// sentence begins with a capital and ends with a full stop.
func sentence(words string) string { return strings.TrimSuffix(capitalised(words), ".") + "." }

func (s *session) warningLines() []string {
	var lines []string
	for _, f := range s.warnings {
		lines = append(lines, "•\t"+findingWords(s.in.Plan, f))
	}
	if s.left > 0 {
		lines = append(lines, fmt.Sprintf("•\tand %s more: see the record.", counted(s.left, "finding")))
	}
	return lines
}
