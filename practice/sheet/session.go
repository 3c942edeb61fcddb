package sheet

import (
	"errors"
	"fmt"
	"image"
	"slices"
	"strings"

	"earframe/units"
)

// SessionInput is what the session sheet says.
type SessionInput struct {
	Plan       *units.Plan
	Picture    image.Image // of the assembled frame; nil for none
	Seams      []Seam      // in the order they are wired
	Wire       string      // its diameter and gauges, as a sentence
	WireLength float64     // in all, mm
	Mixes      []Mix
	Bolsters   []Bolster
	Cartilage  []string        // verdicts on the pieces, a sentence each
	Findings   []units.Finding // what to mind; notes are left out
}

// Seam is where two units are wired together.
type Seam struct {
	Name    string   // as it is shown
	Numbers []int    // of its fixations
	Covered []int    // of those whose wires come out where a unit lies by then
	Over    []string // the names of those units
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
	if err := in.checkBolsters(); err != nil {
		return nil, err
	}
	size, err := paperOf(in.Plan.Practice.Sheets.Paper)
	if err != nil {
		return nil, err
	}
	fonts, err := newTypefaces()
	if err != nil {
		return nil, err
	}
	warnings := in.warnings()
	for _, try := range attempts(len(warnings)) {
		s := session{in: in, warnings: warnings[:try.warnings], left: len(warnings) - try.warnings,
			together: try.together, body: style{points: try.points}}
		s.page = &Page{Title: "Session sheet", fonts: fonts, paper: size}
		if s.compose(try.picture) {
			return &Document{Title: fmt.Sprintf("Session sheet, case %s, %s ear", in.Plan.ID, in.Plan.Side),
				Pages: []Page{*s.page}, paper: size}, nil
		}
	}
	return nil, in.tooMuch(fonts, size)
}

// tooMuch says what does not fit, and what to do: the mixes are to blame if all
// else would fit without them.
func (in *SessionInput) tooMuch(fonts *typefaces, size paper) error {
	rest := session{in: *in, together: true, body: style{points: leastPoints},
		page: &Page{Title: "Session sheet", fonts: fonts, paper: size}}
	rest.in.Mixes = nil
	advice := "plan fewer units for one session"
	if len(in.Mixes) > 0 && rest.compose(0) {
		advice = "the casting mix takes the room; give casting.mix fewer ingredients or shorter names"
	}
	return fmt.Errorf("sheet: %d units, %d seams and %d mixes do not fit one session sheet, even at %d pt: %s",
		len(in.Plan.Units), len(in.Seams), len(in.Mixes), leastPoints, advice)
}

// warnings returns what is to be minded, errors first, without what the verdicts
// on the cartilage say already.
func (in *SessionInput) warnings() []units.Finding {
	var all []units.Finding
	for _, severity := range []units.Severity{units.Error, units.Warning} {
		for _, f := range in.Findings {
			said := slices.ContainsFunc(in.Cartilage,
				func(words string) bool { return strings.Contains(words, f.Message) })
			if f.Severity == severity && !said {
				all = append(all, f)
			}
		}
	}
	return all
}

// attempt is one way to set the page.
type attempt struct {
	points   float64 // size of text
	picture  float64 // height of the picture, mm
	together bool    // all units are one step of the work, and seams are on the wiring sheet alone
	warnings int     // how many are shown
}

// attempts lists the ways to set the page, the best first: text gives way, then
// the picture's size, then findings, which are in the record too, and at last
// the list of single units and seams.
func attempts(warnings int) []attempt {
	sizes := []float64{10, 9.5, 9, 8.5, leastPoints}
	var all []attempt
	for _, picture := range []float64{78, 66, 54} {
		for _, points := range sizes {
			all = append(all, attempt{points, picture, false, warnings})
		}
	}
	for shown := warnings - 1; shown >= 0; shown-- {
		all = append(all, attempt{leastPoints, 54, false, shown})
	}
	for shown := warnings; shown >= 0; shown-- {
		for _, picture := range []float64{66, 54, 44, 34} {
			all = append(all, attempt{leastPoints, picture, true, shown})
		}
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
	drawn    bool // where bolsters lie
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
	if picture > 0 && (s.in.Picture != nil || len(s.in.Bolsters) > 0) {
		pictured = s.pictures(rectangle{at.left, y, at.left + half, y + picture})
		left, width = at.left+half+blockGap, half
	}
	y += max(pictured, s.list("Order of work", left, y, width, s.steps())) + blockGap
	y += s.unitTable(at.left, y, at.width()) + blockGap

	return y+s.flow(s.blocks(), at.left, y, half) <= bottom
}

// pictures draws the frame and where bolsters lie side by side, and returns their
// height.
func (s *session) pictures(room rectangle) float64 {
	if len(s.in.Bolsters) == 0 {
		return s.picture(room)
	}
	drawn := room
	if s.in.Picture != nil {
		drawn.left = room.right - bolsterShare*room.width()
		room.right = drawn.left - blockGap
		drawn.bottom = drawn.top + s.picture(room)
	}
	s.bolsterDrawing(drawn)
	return drawn.height()
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
