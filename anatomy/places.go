package anatomy

import (
	"cmp"
	"math"
	"slices"

	"earframe/field"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Names of places. A part that is made of several units has " of " and the
// unit's name after its own from the second on.
const (
	Scapha     = "scapha"
	Fossa      = "triangular fossa"
	Concha     = "concha"
	Helix      = "helix"
	Antihelix  = "antihelix fold"
	Tragus     = "tragus"
	AboveCrus  = "concha above the crus"
	BelowCrus  = "concha below the crus"
	BehindCrus = "concha behind the crus"
	OnFrame    = "on the base frame"
	Above      = "above the rim"
	Below      = "below the frame"
	Behind     = "behind the rim"
	InFront    = "in front of the frame"
	AllRound   = "all round the foot of the frame"
)

// Sides are the places beside the frame.
var Sides = [...]string{Above, Below, Behind, InFront}

// Landmark is a named groove or ridge, seen from the lateral side.
type Landmark struct {
	Name   string
	Region *field.Region // its outline
	Unit   string        // that it is carved into, or that it is
}

// Places are the places of an ear on one plan. They do not change, and may be
// asked from several goroutines.
type Places struct {
	Grooves  []Landmark // scapha, triangular fossa, concha: those that there are
	Ridges   []Landmark // helix, antihelix fold
	Centre   mgl64.Vec2 // of the framework's bounds, mm
	HalfSize mgl64.Vec2 // of the framework's bounds, mm

	tragus   []Landmark
	outer    []*field.Region // of every unit, holes filled
	crus     *mgl64.Vec2     // end of the helix's crus, if it lies in the concha
	backward float64         // 1 if posterior is at +x, else -1
}

// Of finds the places of a plan. A ring that encloses nothing is an error.
func Of(plan *units.Plan) (*Places, error) {
	p := &Places{backward: 1}
	if plan.Side == units.Right {
		p.backward = -1
	}
	for _, u := range plan.Units {
		if err := p.addUnit(u); err != nil {
			return nil, err
		}
	}
	p.measure()
	for _, u := range plan.Units {
		if u.Part == units.Helix && u.Centreline != nil {
			end := u.Centreline.At(0)
			if concha := p.Groove(Concha); concha != nil && concha.Region.Distance(end) < 0 {
				p.crus = &end
			}
		}
	}
	return p, nil
}

// addUnit takes in a unit's outlines, its grooves, or itself as a ridge.
func (p *Places) addUnit(u *units.Unit) error {
	for _, o := range u.Outlines {
		region, err := template.Region(o.Filled())
		if err != nil {
			return err
		}
		p.outer = append(p.outer, region)
	}
	for _, recess := range u.Recesses {
		name, known := map[string]string{units.Scapha: Scapha, units.Fossa: Fossa}[recess.Name]
		if !known {
			name = recess.Name
		}
		if err := add(&p.Grooves, name, u.Name, recess.Outlines); err != nil {
			return err
		}
	}
	switch u.Part {
	case units.Base:
		return p.addConcha(u)
	case units.Antihelix:
		return add(&p.Ridges, Antihelix, u.Name, u.Outlines)
	case units.Helix:
		return add(&p.Ridges, Helix, u.Name, u.Outlines)
	case units.Tragus:
		return add(&p.tragus, Tragus, u.Name, u.Outlines)
	}
	return nil
}

// addConcha finds the concha: the base frame's largest hole.
func (p *Places) addConcha(base *units.Unit) error {
	var holes []template.Outline
	for _, o := range base.Outlines {
		for _, hole := range o.Holes {
			turned := slices.Clone(hole)
			slices.Reverse(turned)
			holes = append(holes, template.Outline{ID: o.ID, Outer: turned})
		}
	}
	if len(holes) == 0 {
		return nil
	}
	largest := slices.MaxFunc(holes, func(a, b template.Outline) int {
		return cmp.Compare(a.Outer.Area(), b.Outer.Area())
	})
	return add(&p.Grooves, Concha, base.Name, []template.Outline{largest})
}

func add(to *[]Landmark, name, unit string, outlines []template.Outline) error {
	if len(outlines) == 0 {
		return nil
	}
	region, err := template.Region(outlines...)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(*to, func(l Landmark) bool { return l.Name == name }) {
		name += " of " + unit
	}
	*to = append(*to, Landmark{name, region, unit})
	return nil
}

func (p *Places) measure() {
	low, high := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, region := range p.outer {
		lo, hi := region.Bounds()
		for k := range lo {
			low[k], high[k] = math.Min(low[k], lo[k]), math.Max(high[k], hi[k])
		}
	}
	p.Centre, p.HalfSize = low.Add(high).Mul(0.5), high.Sub(low).Mul(0.5)
}

// Groove returns the groove of the name, nil if the plan has none.
func (p *Places) Groove(name string) *Landmark {
	for i := range p.Grooves {
		if p.Grooves[i].Name == name {
			return &p.Grooves[i]
		}
	}
	return nil
}
