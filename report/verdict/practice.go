package verdict

import (
	"fmt"
	"slices"
	"strings"

	"earframe/practice"
	"earframe/practice/budget"
	"earframe/units"
)

// OfPractice answers the questions of a practice set.
func OfPractice(s *practice.Set) []Verdict {
	findings := slices.Concat(s.Framework.Findings, s.Findings)
	return append(drawing(findings),
		sound(s.Framework, findings), cartilage(s.Budget, findings), prints(s, findings), wiring(s, findings))
}

// cartilage answers whether the units come out of the ribs, and in how many pieces.
func cartilage(b *budget.Budget, findings []units.Finding) Verdict {
	had, lacking, pieces := 0, []string{}, []string{}
	for _, u := range b.Units {
		switch label := strings.ToLower(u.Label); {
		case !u.Works():
			lacking = append(lacking, label+short(u.Unit, findings))
		case len(u.Parts) > 1:
			had++
			pieces = append(pieces, fmt.Sprintf("%s in %d pieces", label, len(u.Parts)))
		default:
			had++
		}
	}
	says := fmt.Sprintf("all %d units come out of %s", had, ribs(b))
	if len(lacking) > 0 {
		says = fmt.Sprintf("%d of %d units come out of %s, short: "+
			"%s", had, len(b.Units), ribs(b), strings.Join(lacking, ", "))
	}
	if len(pieces) > 0 {
		says += "; " + strings.Join(pieces, ", ")
	}
	if n := len(b.Casts); n > 0 {
		says += "; with " + many(n, "more cast", "more casts")
	}
	return judge(units.AboutCartilage, findings, says, "no-piece-of-rib", "strip-too-long-for-rib",
		"unit-too-thick-for-rib", "unit-too-large-for-rib")
}

// short says by how many mm a unit does not come out of the cartilage.
func short(unit string, findings []units.Finding) string {
	for _, f := range findings {
		rule, _ := units.RuleOf(f.Rule)
		if f.Unit == unit && rule.Question == units.AboutCartilage && f.Severity == units.Error && f.Measure == "mm" {
			return " by " + f.Lack()
		}
	}
	return ""
}

// ribs names the ribs that are at hand.
func ribs(b *budget.Budget) string {
	var numbers []int
	for _, p := range b.Pieces {
		numbers = append(numbers, p.Ribs...)
	}
	slices.Sort(numbers)
	numbers = slices.Compact(numbers)
	switch n := len(numbers); {
	case n == 0:
		return "no rib"
	case n == 1:
		return fmt.Sprintf("rib %d", numbers[0])
	case numbers[n-1]-numbers[0] == n-1 && n > 2:
		return fmt.Sprintf("ribs %d to %d", numbers[0], numbers[n-1])
	}
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = fmt.Sprint(n)
	}
	last := len(words) - 1
	return "ribs " + strings.Join(words[:last], ", ") + " and " + words[last]
}

// prints answers whether a printer makes every wall of units, prints and moulds.
func prints(s *practice.Set, findings []units.Finding) Verdict {
	var t thinnest
	for i := range s.Framework.Pieces {
		t.take(s.Framework.Pieces[i].Walls.Least(), s.Framework.Pieces[i].Unit.Name)
	}
	for _, p := range s.Kit.Pieces {
		t.take(p.Thinnest, "print of "+p.Name)
	}
	for _, m := range s.Moulds {
		for _, p := range m.Pieces {
			t.take(p.Thinnest, "mould of "+m.Name)
		}
	}
	says := fmt.Sprintf("%s on %s, %s; %s", many(len(s.Kit.Pieces), "print", "prints"),
		many(len(s.Kit.Plates), "plate", "plates"), many(len(s.Moulds), "mould", "moulds"), t.says(s.Framework.Plan.Printer))
	return judge(units.AboutPrint, findings, says, "wall-too-thin", "notch-leaves-thin-wall", "notch-leaves-crumb",
		"print-wall-too-thin", "mould-wall-too-thin")
}

// wiring answers whether the fixations hold.
func wiring(s *practice.Set, findings []units.Finding) Verdict {
	const mmPerM = 1000
	return judge(units.AboutWiring, findings, fmt.Sprintf("%s with %.1f m of wire", many(s.Wiring.Count, "fixation",
		"fixations"), s.Wiring.WireMM/mmPerM))
}
