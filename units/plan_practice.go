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
		Spacing:   f.Number("spacing"),
		Wire:      f.Number("wire"),
		Allowance: f.Number("allowance"),
	}
	p.Practice.Fixation.Hole = f.Known("hole")
	p.checkHole(f)
	s := root.Into("sheets")
	p.Practice.Sheets = Sheets{
		Paper:   s.Word("paper"),
		Contour: s.Number("contour"),
	}
}

// percent is what a number in percent is divided by.
const percent = 100

func (p *planner) readCartilage(s casefile.Section) {
	joint := s.Into("joint")
	c := Cartilage{
		Age:          p.cartilageAge(s),
		Margin:       s.Number("margin"),
		Kerf:         s.Number("kerf"),
		Material:     s.Word("material"),
		HelixReserve: s.Number("helix_reserve"),
	}
	m := casefile.MaterialOf(c.Material)
	c.StrainLimit = s.NumberOr("strain_limit", m.Strain, m.Label+": "+m.Source) / percent
	c.JointWidth = joint.Known("width")
	c.JointHeight = joint.Known("height")
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

// cartilageAge returns whose cartilages are taken, in years: the age that is
// given, or that which the size stands for.
func (p *planner) cartilageAge(s casefile.Section) float64 {
	given, size := s.Entry.Field("age"), s.Entry.Field("size")
	if given == nil {
		age, of := ChildAge, casefile.SizeChild
		if word := s.Word("size"); word == casefile.SizeAdult {
			age, of = AdultAge, word
		}
		return s.NumberOr("age", age, "cartilage.size: "+of)
	}
	age, of := s.NumberOr("age", given.Number, ""), casefile.SizeChild
	if age >= AdultAge {
		of = casefile.SizeAdult
	}
	switch {
	case size == nil:
		s.RecordAs("size", of, casefile.Default, fmt.Sprintf("cartilage.age: %g", age))
	case s.Word("size") != of:
		p.Fault(size, fmt.Sprintf("%s contradicts cartilage.age: %g, since cartilages are taken to be an adult's from "+
			"%g years on", size.Text, age, AdultAge), "Leave out cartilage.size: the age says more")
	}
	return age
}

// ribMeasure reads one entry of cartilage.ribs; what is not given stays 0.
func (p *planner) ribMeasure(s casefile.Section, item *casefile.Entry) RibMeasure {
	m := RibMeasure{Rib: int(item.Field("rib").Number)}
	in := s.Item("ribs", strconv.Itoa(m.Rib), item)
	for _, value := range []struct {
		name string
		to   *float64
	}{{"length", &m.Length}, {"height", &m.Height}, {"thickness", &m.Thickness}, {"radius", &m.Radius}, {"taper", &m.Taper},
		{"height_taper", &m.HeightTaper}} {
		*value.to = in.Known(value.name)
	}
	return m
}

func (p *planner) readCasting(s casefile.Section) {
	c := Casting{
		Mould:     s.Word("mould"),
		Cast:      s.Word("cast"),
		Wall:      s.Number("wall"),
		Draft:     s.Number("draft") * math.Pi / 180,
		Shrinkage: s.Number("shrinkage") / percent,
		Spare:     s.Number("spare") / percent,
	}
	var words []string
	for _, item := range s.Items("mix") {
		part := Ingredient{item.Field("name").Text, item.Field("share").Number}
		c.Mix = append(c.Mix, part)
		words = append(words, fmt.Sprintf("%s %g", part.Name, part.Share))
	}
	s.Record("mix", words, s.Entry.Field("mix"), "")
	if given := s.Entry.Field("wall"); given != nil && c.Wall < p.Printer.Wall {
		p.Fault(given, fmt.Sprintf("a mould's wall of %g mm is thinner than the %g mm that the %s printer "+
			"makes", c.Wall, p.Printer.Wall, p.Printer.Name),
			fmt.Sprintf("Give at least %g mm", p.Printer.Wall))
	}
	p.Practice.Casting = c
}

func (p *planner) readKit(s casefile.Section) {
	bed := s.Into("bed")
	p.Practice.Kit = Kit{
		Clearance: s.NumberOr("clearance", p.Printer.Clearance, p.Printer.Source),
		BedWidth:  bed.Number("width"),
		BedDepth:  bed.Number("depth"),
		Gap:       s.Number("gap"),
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
