package units

import (
	"math"

	"earframe/internal/kept"
	"earframe/template"
	"earframe/units/casefile"
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
	Step         float64 // sampling step of the meshes, mm
	Tolerance    float64 // of simplification, mm
	Fillet       float64 // width along the seams of the joined framework, mm; 0 for none
	Pocket       Pocket
	Practice     Practice
	Values       []Value // every input with its provenance
	Findings     []Finding

	made *made // nil in a plan put together by hand
}

// Skin is what the skin adds, mm.
type Skin struct {
	Lateral float64 // over the outer surface and at the rim
	Medial  float64 // toward the head

	Tension   float64 // natural, kPa
	TensionSD float64 // its standard deviation, kPa
	Modulus   float64 // by which tension grows with the stretch of the area, kPa
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
	Suction        float64 // that the drain draws at first, kPa; 0 for none
	BridgingRadius float64 // mm, in place of what follows from suction; +Inf without, 0 if not given
	Bolsters       []Bolster
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
	*casefile.Reading
	kept *kept.Store // nil keeps nothing
}

// newPlanner reads what does not depend on the template.
func newPlanner(c *casefile.Case) *planner {
	p := &planner{
		Plan:    &Plan{made: &made{}, CaseFile: c.File, TemplateFile: c.TemplateFile()},
		Reading: casefile.NewReading(c),
	}
	root := p.Root()
	p.ID = root.Word("case")
	p.Side = Side(root.Word("side"))
	p.readTemplateValues(root.Into("template"))
	skin := root.Into("skin")
	p.Skin.Lateral = skin.Number("lateral")
	p.Skin.Medial = skin.Number("medial")
	p.Skin.Tension = skin.Number("tension")
	p.Skin.TensionSD = skin.Number("tension_sd")
	p.Skin.Modulus = skin.Number("modulus")
	printer := root.Word("printer")
	p.Printer, _ = PrinterLimits(printer)
	p.readEngrave(root.Into("engrave"))
	p.Step = root.Number("step")
	p.Tolerance = root.Number("tolerance")
	p.Fillet = root.Number("fillet")
	p.readPocket(root.Into("pocket"))
	p.readPractice(root)
	return p
}

func (p *planner) readTemplateValues(s casefile.Section) {
	s.Word("file")
	p.Drawn = s.Word("drawn")
	s.Flag("mirror")
	s.Known("ear_length")
	names := s.Into("names")
	if names.Entry == nil {
		return
	}
	for _, id := range names.Entry.Order {
		p.Reading.Values = append(p.Reading.Values, Value{
			Path: names.Path + "." + id, Value: p.Case.Names()[id],
			Origin: Given, Note: p.Case.Place(names.Entry.Field(id)),
		})
	}
}

func (p *planner) readEngrave(s casefile.Section) {
	p.Engrave.On = s.Flag("on")
	p.Engrave.Text = s.WordOr("text", p.Side.Letter()+" "+p.ID)
	p.Engrave.Depth = s.Number("depth")
}

func (p *planner) readPocket(s casefile.Section) {
	p.Pocket.Margin = s.Number("margin")
	p.Pocket.Depth = s.Known("depth")
	p.Pocket.ExtraSkin = s.Number("extra_skin")
	p.readSuction(s)
}

// readSuction reads what draws the skin in; a bridging radius that is given holds.
func (p *planner) readSuction(s casefile.Section) {
	radius := s.Entry.Field("bridging_radius")
	if radius == nil || s.Entry.Field("suction") != nil {
		p.Pocket.Suction = s.NumberUnless(casefile.NoSuction, "suction", 0)
	}
	if radius != nil {
		p.Pocket.BridgingRadius = s.NumberUnless(casefile.NoSuction, "bridging_radius", math.Inf(1))
	}
}
