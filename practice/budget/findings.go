package budget

import (
	"fmt"
	"math"
	"strings"

	"earframe/units"
)

// findings returns what the maker should know of a unit.
func (c *checker) findings(r Unit) []units.Finding {
	var found []units.Finding
	if r.Verdict == Short || r.Verdict == NoPiece {
		found = append(found, c.shortFinding(r))
	}
	if r.Works() && spareOf(r) < closeFit {
		found = append(found, units.Finding{
			Rule: "cartilage-fits-closely", Severity: units.Warning, Unit: r.Unit,
			Value: spareOf(r), Limit: closeFit, Measure: "mm",
			Message: fmt.Sprintf("it comes out of the cartilage with only %.1f mm to spare beyond margin and kerf, "+
				"less than a pencil line", math.Max(spareOf(r), 0)),
			Advice: "Lay it as the sheet of cartilage shows and cut on the line, or take larger cartilage",
		})
	}
	return append(found, c.bendFindings(r)...)
}

// closeFit is the spare, mm, below which a unit is held to be hard to cut from its
// piece: a pencil's line (common practice, no source).
const closeFit = 0.3

// spareOf returns what is left around the unit as it is laid: of the alternative,
// if one is taken.
func spareOf(r Unit) float64 {
	if r.Taken >= 0 {
		return r.Alternatives[r.Taken].Spare
	}
	return r.Spare
}

// shortFinding says what is lacking and what to do.
func (c *checker) shortFinding(r Unit) units.Finding {
	f := units.Finding{Severity: units.Error, Unit: r.Unit, Measure: "mm"}
	// The text up to the alternative, which is the advice.
	f.Message, _, _ = strings.Cut(r.Text, ". Instead ")
	switch {
	case r.Verdict == NoPiece:
		f.Rule, f.Measure = "no-piece-of-rib", ""
	case r.Bend != nil && r.Bend.LengthSpare < 0:
		f.Rule = "strip-too-long-for-rib"
		f.Value, f.Limit = r.Bend.Available, r.Bend.Length+r.Bend.Reserve
	case r.HeightSpare < 0:
		f.Rule = "unit-too-thick-for-rib"
		f.Value, f.Limit = r.Height+r.HeightSpare, r.Height
	default:
		f.Rule = "unit-too-large-for-rib"
		f.Value, f.Limit = r.Spare, 0
	}
	switch {
	case r.Taken >= 0: // with one more cast: practice cartilage is poured as often as it takes
		f.Severity = units.Warning
		a := r.Alternatives[r.Taken]
		f.Advice = fmt.Sprintf("Carve it %s (%s)", a.Text, a.Cost)
		if a.Seams > 0 {
			f.Advice = fmt.Sprintf("Carve it in %s pieces (%s). That is %s", number(a.Seams+1), a.Cost, a.Text)
		}
	case r.Bend != nil && r.Bend.LengthSpare < 0 && -r.Bend.LengthSpare <= r.Bend.Reserve:
		f.Advice = fmt.Sprintf("Trim less: give cartilage.helix_reserve at most %.1f mm",
			r.Bend.Reserve-lack(r.Bend.LengthSpare))
	case r.Verdict == NoPiece:
		f.Advice = fmt.Sprintf("Have a piece of %s ready, or name another in units[%s].ribs", ribs(r.Ribs), r.Unit)
	case r.Spare >= -c.cartilage.Margin && r.HeightSpare >= 0 && !r.Drawn:
		f.Advice = fmt.Sprintf("It fits if the margin is given up: give cartilage.margin at most %.1f mm",
			c.cartilage.Margin-lack(r.Spare))
	default:
		f.Advice = fmt.Sprintf("Take larger cartilage (%s), or draw the unit smaller", c.larger())
	}
	if len(r.Alternatives) > 0 && r.Taken < 0 {
		f.Advice += fmt.Sprintf(". The nearest of %d alternatives: %s", len(r.Alternatives), r.Alternatives[0].Text)
	}
	return f
}

// larger names the keys by which larger cartilage is given.
func (c *checker) larger() string {
	if c.cartilage.Age >= units.AdultAge {
		return "measured cartilage.ribs"
	}
	return "a higher cartilage.age, or measured cartilage.ribs"
}
