package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"image"
	"slices"
	"strings"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// SessionInput is what the session sheet says.
type SessionInput struct {
	Plan       *units.Plan
	Picture    image.Image // of the assembled frame; nil for none
	Seams      []Seam      // in the order they are wired
	Wire       string      // diameter and gauges, as it is shown
	WireLength float64     // in all, mm
	Mixes      []Mix
	Cartilage  []string        // verdicts on the pieces, a sentence each
	Findings   []units.Finding // what to mind; notes are left out
}

// Seam is where two units are wired together.
type Seam struct {
	Name    string // as it is shown
	Numbers []int  // of its fixations
}

// Mix is what is poured into one mould.
type Mix struct {
	Mould  string  // what is cast
	Volume float64 // to be mixed, ml
	Parts  []MixPart
}

// MixPart is one ingredient of a mix.
type MixPart struct {
	Name   string
	Volume float64 // ml
}

// Session draws the session sheet: one page for whoever carves, whatever there
// is to say. It is set smaller, down to 8 pt, until it fits; then findings give
// way, which the page says. It is an error if the units alone do not fit.
func Session(in SessionInput) (*Document, error) {
	if in.Plan == nil || len(in.Plan.Units) == 0 {
		return nil, errors.New("sheet: the plan has no units; draw at least a base frame")
	}
	size, err := paperOf(in.Plan.Practice.Sheets.Paper)
	if err != nil {
		return nil, err
	}
	fonts, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	warnings := slices.DeleteFunc(slices.Clone(in.Findings), func(f units.Finding) bool { return f.Severity == units.Note })
	for _, try := range attempts(len(warnings)) {
		s := session{in: in, warnings: warnings[:try.warnings], left: len(warnings) - try.warnings, together: try.together, body: style{points: try.points}}
		s.page = &Page{Title: "Session sheet", fonts: fonts, paper: size}
		if s.compose(try.picture) {
			return &Document{Title: fmt.Sprintf("Session sheet, case %s, %s ear", in.Plan.ID, in.Plan.Side), Pages: []Page{*s.page}, paper: size}, nil
		}
	}
	return nil, fmt.Errorf("sheet: %d units, %d seams and %d mixes do not fit one session sheet, even at %d pt: plan fewer units for one session",
		len(in.Plan.Units), len(in.Seams), len(in.Mixes), leastPoints)
}

// attempt is one way to set the page.
type attempt struct {
	points   float64 // size of text
	picture  float64 // height of the picture, mm
	together bool    // all units are one step of the work, and seams are on the wiring sheet alone
	warnings int     // how many are shown
}

// attempts lists the ways to set the page, the best first: text gives way before
// the picture does, then the list of single units and seams, then findings.
func attempts(warnings int) []attempt {
	var all []attempt
	for _, way := range []struct {
		together bool
		pictures []float64
	}{{false, []float64{78, 66, 54}}, {true, []float64{66, 54, 44, 34}}} {
		for _, picture := range way.pictures {
			for _, points := range []float64{10, 9.5, 9, 8.5, leastPoints} {
				all = append(all, attempt{points, picture, way.together, warnings})
			}
		}
	}
	for shown := warnings - 1; shown >= 0; shown-- {
		all = append(all, attempt{leastPoints, 34, true, shown})
	}
	return append(all, attempt{leastPoints, 0, true, 0})
}

// session sets one session sheet.
type session struct {
	in       SessionInput
	page     *Page
	body     style
	warnings []units.Finding
	left     int // warnings not shown
	together bool
}

const blockGap = 4

// compose sets the page and reports whether all of it fits.
func (s *session) compose(picture float64) bool {
	plan := s.in.Plan
	s.page.head(head{caseID: plan.ID, side: plan.Side, title: "Session sheet", number: 1, many: 1,
		note: "carve first, then wire   ·   heights in mm over the base frame’s underside"})
	s.page.foot()
	at := s.page.paper.printable()
	bottom := s.page.footTop()
	y := at.top + headHeight + 1

	half := (at.width() - blockGap) / 2
	pictured := 0.0
	left, width := at.left, at.width()
	if s.in.Picture != nil && picture > 0 {
		pictured = s.picture(rectangle{at.left, y, at.left + half, y + picture})
		left, width = at.left+half+blockGap, half
	}
	y += max(pictured, s.list("Order of work", left, y, width, s.steps())) + blockGap
	y += s.unitTable(at.left, y, at.width()) + blockGap

	columns := [2]float64{y, y}
	for _, block := range s.blocks() {
		shorter := 0
		if columns[1] < columns[0] {
			shorter = 1
		}
		x := at.left + float64(shorter)*(half+blockGap)
		columns[shorter] += s.list(block.title, x, columns[shorter], half, block.lines) + blockGap
	}
	return max(columns[0], columns[1])-blockGap <= bottom
}

// picture draws the picture as large as it can be, and returns its height.
func (s *session) picture(room rectangle) float64 {
	size := s.in.Picture.Bounds()
	if size.Empty() {
		return 0
	}
	width, height := room.width(), room.width()*float64(size.Dy())/float64(size.Dx())
	if height > room.height() {
		width, height = room.height()*float64(size.Dx())/float64(size.Dy()), room.height()
	}
	left := room.left + (room.width()-width)/2
	in := rectangle{left, room.top, left + width, room.top + height}
	s.page.marks = append(s.page.marks, mark{image: &placedImage{picture: s.in.Picture, in: in}})
	return height
}

func (s *session) title() style { return style{points: s.body.points + 1, bold: true} }

// list writes a title and lines under it, and returns the height taken. What
// stands before a tab hangs at the left of its line.
func (s *session) list(title string, x, y, width float64, lines []string) float64 {
	top := y
	y += s.page.writeLines(x, y, s.page.fonts.wrap(title, s.title(), width)) + 0.5
	for _, line := range lines {
		hang, words, hung := strings.Cut(line, "\t")
		indent := 0.0
		if hung {
			indent = 1.6 * s.body.size()
			s.page.write(mgl64.Vec2{x, y + s.body.ascent()}, hang, s.body, 0)
		} else {
			words = hang
		}
		y += s.page.writeLines(x+indent, y, s.page.fonts.wrap(words, s.body, width-indent)) + 0.4
	}
	return y - top
}

// inOrder returns the units in the order of work: by part, and within a part
// from the superior one downward.
func inOrder(plan *units.Plan) []*units.Unit {
	middle := func(u *units.Unit) float64 {
		sum, count := 0.0, 0
		for _, o := range u.Outlines {
			for _, p := range o.Outer {
				sum, count = sum+p[1], count+1
			}
		}
		return sum / float64(max(1, count))
	}
	parts := units.Parts()
	ordered := slices.Clone(plan.Units)
	slices.SortStableFunc(ordered, func(a, b *units.Unit) int {
		return cmp.Or(cmp.Compare(slices.Index(parts, a.Part), slices.Index(parts, b.Part)), cmp.Compare(middle(b), middle(a)))
	})
	return ordered
}

// steps is the order of work.
func (s *session) steps() []string {
	var steps []string
	add := func(words string) { steps = append(steps, fmt.Sprintf("%d\t%s", len(steps)+1, words)) }
	add("Print the carving sheets at 100 % and measure their check bars.")
	if s.together {
		add("Carve the units in the order of the table; fit each notch to the finished unit that it takes.")
	}
	for _, u := range inOrder(s.in.Plan) {
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
		add(words + ".")
	}
	add("Lay the units on one another and compare with the sheet of heights.")
	if n := s.fixations(); n > 0 {
		add(fmt.Sprintf("Wire %s, seam by seam, in the order of their numbers.", counted(n, "fixation")))
	}
	return steps
}

func (s *session) fixations() int {
	n := 0
	for _, seam := range s.in.Seams {
		n += len(seam.Numbers)
	}
	return n
}

func lowered(label string) string {
	return strings.ToLower(label[:min(1, len(label))]) + label[min(1, len(label)):]
}

// block is a titled list.
type block struct {
	title string
	lines []string
}

// blocks are the lists beneath the table; empty ones are left out.
func (s *session) blocks() []block {
	all := []block{
		{"Fixations", s.fixationLines()},
		{"Casting mix", s.mixLines()},
		{"Cartilage", s.in.Cartilage},
		{"To be minded", s.warningLines()},
	}
	return slices.DeleteFunc(all, func(b block) bool { return len(b.lines) == 0 })
}

func (s *session) fixationLines() []string {
	if s.fixations() == 0 {
		return nil
	}
	var lines []string
	for _, seam := range s.in.Seams {
		if !s.together {
			lines = append(lines, fmt.Sprintf("%s: %s", seam.Name, spans(seam.Numbers)))
		}
	}
	if s.together {
		lines = append(lines, fmt.Sprintf("On %s: see the wiring sheet for their numbers.", counted(len(s.in.Seams), "seam")))
	}
	total := counted(s.fixations(), "fixation") + " in all"
	if s.in.WireLength > 0 {
		total += fmt.Sprintf(", %.1f m of wire", s.in.WireLength/1000)
	}
	lines = append(lines, total+".")
	if s.in.Wire != "" {
		lines = append(lines, "Wire "+s.in.Wire+".")
	}
	return lines
}

func (s *session) mixLines() []string {
	var lines []string
	for _, m := range s.in.Mixes {
		var parts []string
		for _, part := range m.Parts {
			parts = append(parts, fmt.Sprintf("%s %.1f", part.Name, part.Volume))
		}
		lines = append(lines, fmt.Sprintf("%s, %.1f ml: %s", m.Mould, m.Volume, strings.Join(parts, ", ")))
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
	words = strings.TrimSuffix(capitalised(words), ".") + "."
	if f.Advice != "" {
		words += " " + strings.TrimSuffix(f.Advice, ".") + "."
	}
	return words
}

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
