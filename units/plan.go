package units

import (
	"math"

	"earframe/mesh"
	"earframe/template"
)

// Plan is everything that is needed to build a framework: units with all their
// values, and where each value comes from.
type Plan struct {
	ID           string
	Side         Side
	CaseFile     string
	TemplateFile string
	Sheet        *template.Sheet
	Drawn        string             // DrawnSkin or DrawnFrame
	Outlines     []template.Outline // of the framework: skin taken off, ear outline as drawn
	Units        []*Unit            // base frame first
	Skin         Skin
	Printer      Printer
	Engrave      Engrave
	Engraving    *Engraving // nil if there is none
	Step         float64    // sampling step of the meshes, mm
	Tolerance    float64    // of simplification, mm
	Fillet       float64    // width along the seams of the joined framework, mm; 0 for none
	Pocket       Pocket
	Practice     Practice
	Values       []Value // every input with its provenance
	Findings     []Finding
}

// Skin is what the skin adds, mm.
type Skin struct {
	Lateral float64 // over the outer surface and at the rim
	Medial  float64 // toward the head
}

// Engrave is the text in the underside of the base frame.
type Engrave struct {
	On    bool
	Text  string
	Depth float64 // mm
}

// Pocket is the undermined area under the skin.
type Pocket struct {
	Margin         float64 // beyond the ear's outline, mm
	Depth          float64 // that the pocket takes, mm; 0 if not known
	ExtraSkin      float64 // brought by the flaps, mm²
	BridgingRadius float64 // mm, +Inf without suction
}

// Unit returns the unit of that name, or nil.
func (p *Plan) Unit(name string) *Unit {
	for _, u := range p.Units {
		if u.Name == name {
			return u
		}
	}
	return nil
}

// outlinesOf returns the outlines drawn as that part or recess.
func (p *Plan) outlinesOf(part string) []template.Outline {
	return outlinesOf(p.Outlines, part)
}

func outlinesOf(outlines []template.Outline, part string) []template.Outline {
	var of []template.Outline
	for _, o := range outlines {
		if o.Part == part {
			of = append(of, o)
		}
	}
	return of
}

// planner turns a case and its template's outlines into a plan.
type planner struct {
	*Plan
	of     *Case
	faults *caseReader
}

// newPlanner reads what does not depend on the template.
func newPlanner(c *Case) *planner {
	p := &planner{
		Plan:   &Plan{CaseFile: c.File, TemplateFile: c.TemplateFile()},
		of:     c,
		faults: &caseReader{file: c.File},
	}
	root := p.root()
	p.ID = root.word("case", "", Default, "")
	p.Side = Side(root.word("side", string(Left), Default, ourChoice))
	p.readTemplateValues(root.into("template"))
	skin := root.into("skin")
	p.Skin.Lateral = skin.number("lateral", 2.0, Default, commonPractice)
	p.Skin.Medial = skin.number("medial", 1.5, Default, commonPractice)
	printer := root.word("printer", Filament, Default, ourChoice)
	p.Printer, _ = PrinterLimits(printer)
	p.readEngrave(root.into("engrave"))
	p.Step = root.number("step", mesh.DefaultStep, Default, ourChoice)
	p.Tolerance = root.number("tolerance", mesh.DefaultTolerance, Default, ourChoice)
	p.Fillet = root.number("fillet", 0, Default, ourChoice)
	p.readPocket(root.into("pocket"))
	p.readPractice(root)
	return p
}

func (p *planner) readTemplateValues(s scope) {
	s.word("file", "template.svg", Default, ourChoice)
	p.Drawn = s.word("drawn", DrawnSkin, Default, ourChoice)
	s.flag("mirror", false, Default, ourChoice)
	if s.given("ear_length") {
		s.number("ear_length", 0, Given, "")
	}
	names := s.into("names")
	if names.entry == nil {
		return
	}
	for _, id := range names.entry.order {
		p.Values = append(p.Values, Value{
			Path: names.path + "." + id, Value: p.of.names()[id],
			Origin: Given, Note: p.of.place(names.entry.field(id)),
		})
	}
}

func (p *planner) readEngrave(s scope) {
	p.Engrave.On = s.flag("on", true, Default, ourChoice)
	p.Engrave.Text = s.word("text", p.Side.Letter()+" "+p.ID, Default, "side and case")
	p.Engrave.Depth = s.number("depth", 0.5, Default, ourChoice)
}

// bridgingRadius in mm is tension over pressure: the radius to which suction
// draws unsupported skin in.
const (
	bridgingRadius   = 6
	bridgingEstimate = "skin tension over suction, about 80 N/m (2 mm of skin of 1 MPa at 4 % strain) over 13 kPa: an estimate, no published value was found"
)

func (p *planner) readPocket(s scope) {
	p.Pocket.Margin = s.number("margin", 10, Default, commonPractice)
	if s.given("depth") {
		p.Pocket.Depth = s.number("depth", 0, Given, "")
	}
	p.Pocket.ExtraSkin = s.number("extra_skin", 0, Default, "none")
	if given := s.entry.field("bridging_radius"); given != nil && given.text == noSuction {
		p.Pocket.BridgingRadius = math.Inf(1)
		s.record("bridging_radius", noSuction, given, Given, "")
		return
	}
	p.Pocket.BridgingRadius = s.number("bridging_radius", bridgingRadius, UnsourcedDefault, bridgingEstimate)
}
