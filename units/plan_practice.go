package units

import (
	"fmt"
	"math"
	"strconv"

	"earframe/units/casefile"
)

// readPractice reads what a practice set is made to.
func (p *planner) readPractice(root casefile.Section) {
	p.readCartilage(root.Into("cartilage"))
	p.readCasting(root.Into("casting"))
	p.readKit(root.Into("kit"))
	f := root.Into("fixation")
	p.Practice.Fixation = Fixation{
		Spacing:   f.Number("spacing", 3, Default, commonPractice),
		Wire:      f.Number("wire", 0.1, UnsourcedDefault, "38 gauge on the scale of sutures, from memory"),
		Allowance: f.Number("allowance", 60, UnsourcedDefault, ourChoice),
	}
	if f.Given("hole") {
		p.Practice.Fixation.Hole = f.Number("hole", 0, Given, "")
	}
	p.checkHole(f)
	s := root.Into("sheets")
	p.Practice.Sheets = Sheets{
		Paper:   s.Word("paper", A4, Default, ourChoice),
		Contour: s.Number("contour", 0.5, Default, ourChoice),
	}
}

// percent is what a number in percent is divided by.
const percent = 100

func (p *planner) readCartilage(s casefile.Section) {
	joint := s.Into("joint")
	c := Cartilage{
		Size:         s.Word("size", SizeChild, Default, ourChoice),
		Margin:       s.Number("margin", 1, UnsourcedDefault, ourChoice),
		Kerf:         s.Number("kerf", 0.5, UnsourcedDefault, ourChoice),
		StrainLimit:  s.Number("strain_limit", 10, UnsourcedDefault, "the lower end of the elongation of old costal cartilage, from memory; no published value was seen") / percent,
		HelixReserve: s.Number("helix_reserve", 3, UnsourcedDefault, ourChoice),
	}
	if joint.Given("width") {
		c.JointWidth = joint.Number("width", 0, Given, "")
	}
	if joint.Given("height") {
		c.JointHeight = joint.Number("height", 0, Given, "")
	}
	if given := s.Entry.Field("ribs"); given != nil {
		seen := map[int]bool{}
		for _, item := range given.Items {
			m := p.ribMeasure(s, item)
			if seen[m.Rib] {
				p.Fault(item, fmt.Sprintf("a second entry for rib %d", m.Rib), "Give each rib one entry")
				continue
			}
			seen[m.Rib] = true
			c.Measured = append(c.Measured, m)
		}
	}
	p.Practice.Cartilage = c
}

// ribMeasure reads one entry of cartilage.ribs; what is not given stays 0.
func (p *planner) ribMeasure(s casefile.Section, item *casefile.Entry) RibMeasure {
	m := RibMeasure{Rib: int(item.Field("rib").Number)}
	in := s.Item("ribs", strconv.Itoa(m.Rib), item)
	for _, value := range []struct {
		name string
		to   *float64
	}{{"length", &m.Length}, {"height", &m.Height}, {"thickness", &m.Thickness}, {"radius", &m.Radius}, {"taper", &m.Taper}} {
		if in.Given(value.name) {
			*value.to = in.Number(value.name, 0, Given, "")
		}
	}
	return m
}

func (p *planner) readCasting(s casefile.Section) {
	c := Casting{
		Mould:     s.Word("mould", MouldFitting, Default, ourChoice),
		Cast:      s.Word("cast", CastElastic, Default, ourChoice),
		Wall:      s.Number("wall", 3, UnsourcedDefault, ourChoice),
		Draft:     s.Number("draft", 0, Default, ourChoice) * math.Pi / 180,
		Shrinkage: s.Number("shrinkage", 0, Default, "see the material's data sheet") / percent,
		Spare:     s.Number("spare", 15, UnsourcedDefault, ourChoice) / percent,
	}
	given := s.Entry.Field("mix")
	if given == nil {
		c.Mix = []Ingredient{{"silicone", 2}, {"cornstarch", 1}}
		s.Record("mix", "silicone 2, cornstarch 1", nil, Default, "published for practice casts of ribs 6 to 9: PMC7380086 (2020)")
	} else {
		var words []string
		for _, item := range given.Items {
			part := Ingredient{item.Field("name").Text, item.Field("share").Number}
			c.Mix = append(c.Mix, part)
			words = append(words, fmt.Sprintf("%s %g", part.Name, part.Share))
		}
		s.Record("mix", words, given, Given, "")
	}
	if given := s.Entry.Field("wall"); given != nil && c.Wall < p.Printer.Wall {
		p.Fault(given, fmt.Sprintf("a mould's wall of %g mm is thinner than the %g mm that the %s printer makes", c.Wall, p.Printer.Wall, p.Printer.Name),
			fmt.Sprintf("Give at least %g mm", p.Printer.Wall))
	}
	p.Practice.Casting = c
}

func (p *planner) readKit(s casefile.Section) {
	bed := s.Into("bed")
	p.Practice.Kit = Kit{
		Clearance: s.Number("clearance", p.Printer.Clearance, Default, p.Printer.Source),
		BedWidth:  bed.Number("width", 180, UnsourcedDefault, ourChoice),
		BedDepth:  bed.Number("depth", 180, UnsourcedDefault, ourChoice),
		Gap:       s.Number("gap", 4, UnsourcedDefault, ourChoice),
	}
}

// checkHole holds the pilot hole against the wire that goes through it.
func (p *planner) checkHole(s casefile.Section) {
	f := p.Practice.Fixation
	if f.Hole > 0 && f.Wire >= f.Hole {
		p.Fault(s.Entry.Field("hole"), fmt.Sprintf("a wire of %g mm does not pass a hole of %g mm", f.Wire, f.Hole),
			fmt.Sprintf("Give fixation.hole more than %g mm, or a thinner fixation.wire", f.Wire))
	}
}
