package units

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"earframe/field"
	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/parts"
)

// draft is a unit to be: its part, its name, and its entry in the case, if any.
type draft struct {
	part  Part
	name  string
	scope casefile.Section
}

// drafts returns the units to be, base frame first: the case's entries, and the
// defaults for every drawn part without one.
func (p *planner) drafts(drawn []template.Outline) []draft {
	root, leftOut := p.Root(), p.leftOut()
	if given := root.Entry.Field("leave_out"); given != nil {
		var words []string
		for _, item := range given.Items {
			words = append(words, item.Text)
		}
		root.Record("leave_out", words, given, "")
	}
	var drafts []draft
	listed, entries := map[Part]bool{}, map[string]*casefile.Entry{}
	if given := root.Entry.Field("units"); given != nil {
		for _, item := range given.Items {
			part := Part(item.Field("part").Text)
			name := string(part)
			if own := item.Field("name"); own != nil {
				name = own.Text
			}
			switch {
			case entries[name] != nil:
				p.Fault(item, "a second unit named "+name, "Give each unit of a part a name of its own and say which outlines it "+
					"is made of")
				continue
			case reserved.MatchString(name):
				p.Fault(item.Field("name"), name+" is the name of a device in Windows, which makes no file of that name", "Give "+
					"another name")
				continue
			case leftOut[part]:
				p.Fault(item, string(part)+" is left out by leave_out", "Remove it here or there")
				continue
			}
			listed[part], entries[name] = true, item
			drafts = append(drafts, draft{part, name, root.Item("units", name, item)})
		}
	}
	for _, row := range parts.All() {
		part := row.Part
		if !listed[part] && !leftOut[part] && len(outlinesOf(drawn, string(part))) > 0 {
			if taken := entries[string(part)]; taken != nil {
				p.Fault(cmp.Or(taken.Field("name"), taken), fmt.Sprintf("a unit of the part %s is named %s, as the one that the "+
					"drawing's %[2]s becomes", taken.Field("part").Text, part),
					fmt.Sprintf("Give it another name, or say leave_out: %s", part))
				continue
			}
			drafts = append(drafts, draft{part, string(part), root.Item("units", string(part), nil)})
		}
	}
	slices.SortStableFunc(drafts, func(a, b draft) int { return a.part.Order() - b.part.Order() })
	return drafts
}

// reserved matches the names of devices, which Windows keeps for itself: units
// are written to files of their names (Microsoft, "Naming Files, Paths, and
// Namespaces").
var reserved = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)

// leftOut returns the parts that the case leaves out.
func (p *planner) leftOut() map[Part]bool {
	parts := map[Part]bool{}
	if given := p.Case.Root().Field("leave_out"); given != nil {
		for _, item := range given.Items {
			parts[Part(item.Text)] = true
		}
	}
	return parts
}

// unitBuilder makes units of drafts, in order.
type unitBuilder struct {
	*planner
	drawn   []template.Outline // as on the sheet
	drafts  []draft
	claimed map[claim]string // outline to the unit made of it
	base    []*field.Region  // what the other units lie on
	top     float64          // of the base frame, mm
}

// claim is an outline as one part; a drawing may give one outline to several.
type claim struct {
	part Part
	id   string
}

// planUnits makes the units. The drawn outlines are those of the sheet, the
// plan's those of the framework, from which skin has been taken off.
func (p *planner) planUnits(ctx context.Context, drawn []template.Outline) error {
	b := &unitBuilder{planner: p, drawn: drawn, drafts: p.drafts(drawn), claimed: map[claim]string{}}
	for _, d := range b.drafts {
		if err := ctx.Err(); err != nil {
			return err
		}
		if u := b.build(ctx, d); u != nil {
			p.Units = append(p.Units, u)
		}
	}
	b.checkLeftovers()
	if len(p.Units) == 0 && p.Err() == nil {
		b.faultNothing()
	}
	return ctx.Err()
}

// faultNothing says why there is nothing to build.
func (b *unitBuilder) faultNothing() {
	given := b.Case.Root().Field("leave_out")
	switch {
	case len(b.drafts) > 0:
		problem := "nothing to build: the skin leaves nothing of any part that is drawn"
		for _, f := range b.Findings {
			if f.Severity == Error {
				problem += "; " + f.Message
			}
		}
		b.Fault(b.Case.Root(), problem, "Give a smaller skin.lateral, or draw the frame itself (template.drawn: frame)")
	case given != nil && drawsParts(b.drawn):
		b.Fault(given, "nothing to build: every part that is drawn is left out", "Remove one from leave_out")
	default:
		problem := "nothing to build: no outline of the template is a part of the framework"
		if b.Sheet != nil && len(b.Sheet.Ignored) > 0 {
			problem += "; " + notUsed(b.Sheet.Ignored)
		}
		b.Fault(b.Case.Root(), problem, "Name outlines "+strings.Join(parts.Names(), ", ")+" in the drawing or under "+
			"template.names")
	}
}

// drawsParts reports whether any outline is a part of the framework.
func drawsParts(drawn []template.Outline) bool {
	return slices.ContainsFunc(drawn, func(o template.Outline) bool { return parts.Known(o.Part) })
}

// build makes one unit, or returns nil if faults or the skin left nothing of it.
func (b *unitBuilder) build(ctx context.Context, d draft) *Unit {
	outlines, ok := b.pickOutlines(d)
	if !ok || len(outlines) == 0 {
		return nil
	}
	u := &Unit{Name: d.name, Part: d.part, Label: d.part.Label(), Outlines: outlines}
	if d.name != string(d.part) {
		u.Label += " (" + d.name + ")"
	}
	usual := d.part.Row()
	u.Thickness = d.scope.NumberOr("thickness", usual.Thickness, "")
	if len(outlines) == 1 {
		if line, err := b.centreline(ctx, outlines[0]); err == nil {
			u.Centreline = b.oriented(line, d.part)
		}
	}
	b.readEdges(d, u, usual)
	b.readRise(d, u)
	if d.part == Base && b.base == nil {
		b.top = u.Rise.Height + u.Thickness
		for _, o := range outlines {
			if region, err := template.Region(o); err == nil {
				b.base = append(b.base, region)
			}
		}
	}
	b.readRecesses(d, u)
	b.readRibs(d, u, usual)
	b.readPieces(d, u)
	b.readNotches(d, u)
	return u
}

// pickOutlines returns the framework's outlines of a unit.
func (b *unitBuilder) pickOutlines(d draft) ([]template.Outline, bool) {
	given := d.scope.Entry.Field("outlines")
	siblings := 0
	for _, other := range b.drafts {
		if other.part == d.part {
			siblings++
		}
	}
	var ids []string
	switch {
	case given != nil:
		for _, item := range given.Items {
			if b.canUse(item, d.part) {
				ids = append(ids, item.Text)
			}
		}
		if len(ids) < len(given.Items) {
			return nil, false
		}
	case siblings > 1:
		b.Fault(d.scope.Entry, fmt.Sprintf("outlines missing: %d units are made of the part %s", siblings, d.part),
			"Say which outlines this one is made of: "+strings.Join(idsOf(b.drawn, string(d.part)), ", "))
		return nil, false
	default:
		ids = idsOf(b.drawn, string(d.part))
		if len(ids) == 0 {
			b.Fault(d.scope.Entry, "the template has no outline for the part "+string(d.part),
				"Draw one, name it under template.names, or remove this entry. Outlines "+
					"there: "+strings.Join(idsOf(b.drawn, ""), ", "))
			return nil, false
		}
	}
	for _, id := range ids {
		if owner, taken := b.claimed[claim{d.part, id}]; taken {
			b.Fault(given, "outline "+id+" is already part of the unit "+owner, "")
			return nil, false
		}
		b.claimed[claim{d.part, id}] = d.name
	}
	d.scope.Record("outlines", ids, given, "")
	var outlines []template.Outline
	for _, o := range b.Outlines {
		if o.Part == string(d.part) && slices.Contains(ids, o.ID) {
			outlines = append(outlines, o)
		}
	}
	return outlines, true
}

// canUse checks that the template has the outline and that it is the part's.
func (b *unitBuilder) canUse(item *casefile.Entry, part Part) bool {
	for _, o := range b.drawn {
		if o.ID == item.Text && o.Part == string(part) {
			return true
		}
	}
	known := idsOf(b.drawn, string(part))
	b.Fault(item, fmt.Sprintf("the template has no outline %q of the part "+
		"%s", item.Text, part), casefile.Known(item.Text, known))
	return false
}

// idsOf returns the ids of the outlines of a part, of all for "".
func idsOf(outlines []template.Outline, part string) []string {
	var ids []string
	for _, o := range outlines {
		if (part == "" || o.Part == part) && !slices.Contains(ids, o.ID) {
			ids = append(ids, o.ID)
		}
	}
	return ids
}

// checkLeftovers reports outlines of parts that no unit is made of.
func (b *unitBuilder) checkLeftovers() {
	for _, d := range b.drafts {
		for _, id := range idsOf(b.drawn, string(d.part)) {
			if _, used := b.claimed[claim{d.part, id}]; !used {
				b.claimed[claim{d.part, id}] = ""
				b.Findings = append(b.Findings, Finding{
					Rule: "outline-in-no-unit", Severity: Warning,
					Message: fmt.Sprintf("outline %s of the part %s is in no unit", id, d.part),
					Advice:  "Add it to the outlines of a unit, or make a unit of it",
				})
			}
		}
	}
}
