package practice

import (
	"fmt"
	"image"
	"math"
	"slices"

	"earframe/anatomy"
	"earframe/practice/sheet"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Carving returns the carving sheets.
func (s *Set) Carving() (*sheet.Document, error) {
	in := sheet.Input{Plan: s.asCut(), Contacts: s.Carved.Contacts, Heights: s.Heights, Nestings: s.nestings()}
	for _, p := range s.Wiring.Points {
		in.Fixations = append(in.Fixations, sheet.Fixation{Number: p.Number, Upper: p.Upper, Lower: p.Lower, At: p.At})
	}
	return sheet.Carving(in)
}

// asCut returns the plan in pieces, with the ribs that units are really cut from,
// where the budget found room for them elsewhere than in those named: what the sheets
// say is what is drawn on the cartilage.
func (s *Set) asCut() *units.Plan {
	plan := *s.Carved.Plan
	plan.Units = slices.Clone(plan.Units)
	for _, cut := range s.Budget.Units {
		i := slices.IndexFunc(plan.Units, func(u *units.Unit) bool { return u.Name == cut.Unit })
		if i < 0 || !cut.Works() {
			continue // in pieces, each with its ribs
		}
		unit := *plan.Units[i]
		unit.Ribs = ribsOf(s.Budget, cut, "")
		plan.Units[i] = &unit
	}
	return &plan
}

// nestings returns the pieces of cartilage with what is cut from them.
func (s *Set) nestings() []sheet.Nesting {
	var all []sheet.Nesting
	for _, piece := range slices.Concat(s.Budget.Pieces, s.Budget.Casts) {
		n := sheet.Nesting{Name: piece.Label, Stock: []template.Outline{piece.Outline}, Notes: []string{piece.Text}}
		for _, p := range piece.Placements {
			placed := sheet.Placed{
				Name: p.Unit, Words: p.Part, Outlines: []template.Outline{p.Outline}, Turn: p.Turn * math.Pi / 180,
				At: mgl64.Vec2{p.X, p.Y}, Strip: p.Strip,
			}
			for _, u := range s.Carved.Plan.Units {
				if u.Whole != nil && u.Whole.Name == p.Unit && u.Label == u.Whole.Label+", "+p.Part {
					placed.Name, placed.Words = u.Name, ""
				}
			}
			n.Placed = append(n.Placed, placed)
		}
		all = append(all, n)
	}
	return all
}

// Session returns the session sheet with a picture of the assembled frame.
func (s *Set) Session(picture image.Image) (*sheet.Document, error) {
	in := sheet.SessionInput{
		Plan: s.asCut(), Picture: picture,
		Wire: s.Wiring.Gauges.Text, WireLength: s.Wiring.WireMM,
		Findings: slices.Concat(s.Framework.Findings, s.Findings),
	}
	places, err := anatomy.Of(s.Framework.Plan)
	if err != nil {
		return nil, err
	}
	for _, b := range places.Bolsters(s.Framework.Plan) {
		if len(b.Along) > 0 {
			in.Bolsters = append(in.Bolsters, sheet.Bolster{Name: b.Name, Diameter: b.Diameter, Length: b.Length(), Line: b.Along})
		}
	}
	for i, seam := range s.Wiring.Seams {
		in.Seams = append(in.Seams, s.seam(i, seam.Name))
	}
	for _, mix := range s.Mix {
		m := sheet.Mix{Mould: s.castName(mix.Name), Volume: mix.MixedML}
		for _, portion := range mix.Ingredients {
			m.Parts = append(m.Parts, sheet.MixPart{Name: portion.Name, Volume: portion.ML})
		}
		in.Mixes = append(in.Mixes, m)
	}
	for _, u := range s.Budget.Units {
		in.Cartilage = append(in.Cartilage, fmt.Sprintf("%s: %s", u.Label, u.Text))
	}
	return sheet.Session(in)
}

// seam returns a seam's fixations, and which wires are covered later.
func (s *Set) seam(index int, name string) sheet.Seam {
	seam := sheet.Seam{Name: name}
	for _, p := range s.Wiring.Points {
		if p.Seam != index {
			continue
		}
		seam.Numbers = append(seam.Numbers, p.Number)
		if p.Under == "" {
			continue
		}
		seam.Covered = append(seam.Covered, p.Number)
		if !slices.Contains(seam.Over, p.Under) {
			seam.Over = append(seam.Over, p.Under)
		}
	}
	return seam
}

// castName says for a reader what is cast.
func (s *Set) castName(name string) string {
	for _, m := range s.Moulds {
		if m.Name == name {
			return m.Label
		}
	}
	return name
}
