package units

import (
	"fmt"
	"math"
)

// readPractice reads what a practice set is made to.
func (p *planner) readPractice(root scope) {
	p.readCartilage(root.into("cartilage"))
	p.readCasting(root.into("casting"))
	p.readKit(root.into("kit"))
	f := root.into("fixation")
	p.Practice.Fixation = Fixation{
		Spacing:   f.number("spacing", 3, Default, commonPractice),
		Wire:      f.number("wire", 0.1, UnsourcedDefault, "38 gauge on the scale of sutures, from memory"),
		Allowance: f.number("allowance", 60, UnsourcedDefault, ourChoice),
	}
	if f.given("hole") {
		p.Practice.Fixation.Hole = f.number("hole", 0, Given, "")
	}
	p.checkHole(f)
	s := root.into("sheets")
	p.Practice.Sheets = Sheets{
		Paper:   s.word("paper", A4, Default, ourChoice),
		Contour: s.number("contour", 0.5, Default, ourChoice),
	}
}

// percent is what a number in percent is divided by.
const percent = 100

func (p *planner) readCartilage(s scope) {
	joint := s.into("joint")
	c := Cartilage{
		Size:         s.word("size", SizeChild, Default, ourChoice),
		Margin:       s.number("margin", 1, UnsourcedDefault, ourChoice),
		Kerf:         s.number("kerf", 0.5, UnsourcedDefault, ourChoice),
		StrainLimit:  s.number("strain_limit", 10, UnsourcedDefault, "the lower end of the elongation of old costal cartilage, from memory; no published value was seen") / percent,
		HelixReserve: s.number("helix_reserve", 3, UnsourcedDefault, ourChoice),
	}
	if joint.given("width") {
		c.JointWidth = joint.number("width", 0, Given, "")
	}
	if joint.given("height") {
		c.JointHeight = joint.number("height", 0, Given, "")
	}
	if given := s.entry.field("ribs"); given != nil {
		seen := map[int]bool{}
		for _, item := range given.items {
			m := p.ribMeasure(s, item)
			if seen[m.Rib] {
				p.faults.faultAt(item, fmt.Sprintf("a second entry for rib %d", m.Rib), "Give each rib one entry")
				continue
			}
			seen[m.Rib] = true
			c.Measured = append(c.Measured, m)
		}
	}
	p.Practice.Cartilage = c
}

// ribMeasure reads one entry of cartilage.ribs; what is not given stays 0.
func (p *planner) ribMeasure(s scope, item *entry) RibMeasure {
	m := RibMeasure{Rib: int(item.field("rib").number)}
	in := scope{p: p, entry: item, key: s.key.named("ribs").item, path: fmt.Sprintf("%s[%d]", join(s.path, "ribs"), m.Rib)}
	for _, value := range []struct {
		name string
		to   *float64
	}{{"length", &m.Length}, {"height", &m.Height}, {"thickness", &m.Thickness}, {"radius", &m.Radius}, {"taper", &m.Taper}} {
		if in.given(value.name) {
			*value.to = in.number(value.name, 0, Given, "")
		}
	}
	return m
}

func (p *planner) readCasting(s scope) {
	c := Casting{
		Mould:     s.word("mould", MouldFitting, Default, ourChoice),
		Cast:      s.word("cast", CastElastic, Default, ourChoice),
		Wall:      s.number("wall", 3, UnsourcedDefault, ourChoice),
		Draft:     s.number("draft", 0, Default, ourChoice) * math.Pi / 180,
		Shrinkage: s.number("shrinkage", 0, Default, "see the material's data sheet") / percent,
		Spare:     s.number("spare", 15, UnsourcedDefault, ourChoice) / percent,
	}
	given := s.entry.field("mix")
	if given == nil {
		c.Mix = []Ingredient{{"silicone", 2}, {"cornstarch", 1}}
		s.record("mix", "silicone 2, cornstarch 1", nil, Default, "published for practice casts of ribs 6 to 9: PMC7380086 (2020)")
	} else {
		var words []string
		for _, item := range given.items {
			part := Ingredient{item.field("name").text, item.field("share").number}
			c.Mix = append(c.Mix, part)
			words = append(words, fmt.Sprintf("%s %g", part.Name, part.Share))
		}
		s.record("mix", words, given, Given, "")
	}
	if given := s.entry.field("wall"); given != nil && c.Wall < p.Printer.Wall {
		p.faults.faultAt(given, fmt.Sprintf("a mould's wall of %g mm is thinner than the %g mm that the %s printer makes", c.Wall, p.Printer.Wall, p.Printer.Name),
			fmt.Sprintf("Give at least %g mm", p.Printer.Wall))
	}
	p.Practice.Casting = c
}

func (p *planner) readKit(s scope) {
	bed := s.into("bed")
	p.Practice.Kit = Kit{
		Clearance: s.number("clearance", p.Printer.Clearance, Default, p.Printer.Source),
		BedWidth:  bed.number("width", 180, UnsourcedDefault, ourChoice),
		BedDepth:  bed.number("depth", 180, UnsourcedDefault, ourChoice),
		Gap:       s.number("gap", 4, UnsourcedDefault, ourChoice),
	}
}

// checkHole holds the pilot hole against the wire that goes through it.
func (p *planner) checkHole(s scope) {
	f := p.Practice.Fixation
	if f.Hole > 0 && f.Wire >= f.Hole {
		p.faults.faultAt(s.entry.field("hole"), fmt.Sprintf("a wire of %g mm does not pass a hole of %g mm", f.Wire, f.Hole),
			fmt.Sprintf("Give fixation.hole more than %g mm, or a thinner fixation.wire", f.Wire))
	}
}
