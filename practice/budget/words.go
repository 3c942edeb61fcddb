package budget

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/units"
	"earframe/units/casefile"
)

// toSpare says a spare in words.
func toSpare(spare float64) string {
	if spare >= 0 {
		return fmt.Sprintf("fits with %.1f mm to spare", spare)
	}
	return fmt.Sprintf("short by %.1f mm", lack(spare))
}

// lack returns by how much a negative spare is short, rounded up to a tenth of a
// millimetre, so that no lack is said to be 0.0 mm.
func lack(spare float64) float64 { return math.Ceil(-spare*10-roundingLength) / 10 }

// title returns what the piece of that name is called in a sentence: by its
// ribs, or by its label where another piece is of the same ribs.
func (c *checker) title(name string) string {
	var of *piece
	for _, p := range c.table.pieces {
		if p.stock.Name == name && !p.further {
			of = p
		}
	}
	if of == nil {
		return name
	}
	for _, p := range c.table.pieces {
		if p.kind != of.kind && slices.Equal(p.stock.Ribs, of.stock.Ribs) {
			return of.stock.title()
		}
	}
	return ribs(of.stock.Ribs)
}

// words says what becomes of the unit, in one or two sentences.
func (c *checker) words(r *Unit, u *units.Unit) string {
	if r.Verdict == FitsInPieces || r.Verdict == FitsElsewhere {
		return fmt.Sprintf("comes out %s (%s)", strings.Replace(r.Alternatives[0].Text, ": fits with", " with", 1),
			r.Alternatives[0].Cost) + c.lie(r.Bend)
	}
	piece := c.title(r.Piece)
	var s strings.Builder
	switch {
	case u.Pieces > 1 && r.Verdict == Short:
		fmt.Fprintf(&s, "no way was found to carve it in %s pieces", number(u.Pieces))
	case r.Verdict == NoPiece:
		fmt.Fprintf(&s, "no piece of %s is at hand", ribs(u.Ribs))
	case r.Bend != nil && bent(u) && r.Bend.LengthSpare < 0:
		fmt.Fprintf(&s, "%s is %.1f mm too short: %.1f mm of strip and %.1f mm to trim, %.1f mm between the margins",
			piece, lack(r.Bend.LengthSpare), r.Bend.Length, r.Bend.Reserve, r.Bend.Available)
	case r.HeightSpare < 0:
		fmt.Fprintf(&s, "%s is %.1f mm too thin: a slab of %.1f mm is needed", piece, lack(r.HeightSpare), r.Height)
	case r.Verdict == Fits && len(u.Ribs) == 0:
		fmt.Fprintf(&s, "comes out of what remains of %s with %.1f mm to spare", piece, r.Spare)
	case r.Verdict == Fits:
		fmt.Fprintf(&s, "comes out of %s with %.1f mm to spare", piece, r.Spare)
	case r.Verdict == FitsTurned:
		fmt.Fprintf(&s, "comes out of %s only turned, by %.0f degrees from lying along it: %.1f mm to spare, along "+
			"it short by %.1f mm",
			piece, math.Abs(r.Slant), r.Spare, lack(r.AlongSpare))
	default:
		fmt.Fprintf(&s, "short by %.1f mm in %s: its edge sticks out that far at the best place %s", lack(r.Spare),
			piece, found(r))
	}
	if r.Verdict == Short && len(u.Ribs) == 0 && u.Pieces < 2 {
		s.WriteString(", the largest remainder that it could take")
	}
	if r.Taken >= 0 {
		fmt.Fprintf(&s, ". Instead %s (%s)", r.Alternatives[0].Text, r.Alternatives[0].Cost)
	}
	if r.Works() {
		s.WriteString(c.lie(r.Bend))
	}
	return s.String()
}

// found says how sure it is that there is no better place.
func found(r *Unit) string {
	switch {
	case !r.Proven:
		return "that was found"
	case r.Gap > spareTolerance+edgeTolerance && r.Spare+r.Gap < 0:
		return "found, and there is room nowhere"
	case r.Gap > spareTolerance+edgeTolerance:
		return fmt.Sprintf("found, and none is better by more than %.1f mm", math.Ceil(r.Gap*10)/10)
	}
	return "there is"
}

// number writes how many pieces there are.
func number(n int) string { return [...]string{"no", "one", "two", "three", "four"}[n] }

// ribs names ribs in words: "rib 8", "ribs 6 and 7".
func ribs(numbers []int) string {
	if len(numbers) == 1 {
		return fmt.Sprintf("rib %d", numbers[0])
	}
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = fmt.Sprint(n)
	}
	last := len(words) - 1
	return "ribs " + strings.Join(words[:last], ", ") + " and " + words[last]
}

// describe says the alternative and its cost in words.
func (a *tried) describe(c *checker) {
	var parts []string
	for _, p := range a.Placements {
		from := c.title(p.Piece)
		if p.Further {
			from = "one more cast of " + from
		}
		if p.Behind {
			from = "the leaf behind what is carved from " + from
		}
		if p.Part != "" {
			from = p.Part + " from " + from
		} else {
			from = "from " + from
		}
		parts = append(parts, from)
	}
	text := strings.Join(parts, ", ")
	if a.Seams > 0 {
		text = "in " + number(a.Seams+1) + " pieces, " + text
	}
	a.Text = text + ": " + toSpare(a.Spare)
	var cost []string
	if a.ExtraCasts > 0 {
		cost = append(cost, "one more cast")
	}
	if a.Seams > 0 {
		cost = append(cost, fmt.Sprintf("a seam of %.0f mm more to wire", a.Length))
	}
	if a.Way == BehindUnits {
		cost = append(cost, "the piece is sawn into two leaves")
	}
	if len(cost) == 0 {
		cost = append(cost, "room in that piece")
	}
	a.Cost = strings.Join(cost, ", ")
}

// notes says what holds for every number of a budget.
func notes(plan *units.Plan) []string {
	c := plan.Practice.Cartilage
	return []string{
		fmt.Sprintf("Spare is beyond %.1f mm of margin to the piece's edge and %.1f mm of kerf between units; a unit "+
			"that is short sticks out that far at the best place there is.", c.Margin, c.Kerf),
		"A unit is carved from one face: it is turned, not turned over.",
		"The place of one unit is the best there is within the gap given; several in one piece are laid one after " +
			"another and moved about, which is good but not proven best.",
		fmt.Sprintf("Strain is half the width times the change of curvature, from the curve that a strip is cut with to "+
			"the one that it is bent to; %s is taken to break at %.0f percent. Published strength and stiffness of costal "+
			"cartilage are thin: try the strip before it counts.",
			casefile.MaterialOf(c.Material).Label, c.StrainLimit*percent),
		"For practice and teaching. Real cartilage is uneven, and what is taken from a patient is decided by the " +
			"licensed surgeon.",
	}
}
