package units

import "slices"

// WithStep returns the plan with another sampling step in mm than the case gives;
// note says where it comes from.
func (p *Plan) WithStep(step float64, note string) *Plan {
	other := p.overridden("step", step, note)
	other.Step = step
	return other
}

// WithTolerance returns the plan with another tolerance of simplification in mm
// than the case gives; note says where it comes from.
func (p *Plan) WithTolerance(tolerance float64, note string) *Plan {
	other := p.overridden("tolerance", tolerance, note)
	other.Tolerance = tolerance
	return other
}

// overridden returns a copy of the plan, for which solids need not be made anew.
func (p *Plan) overridden(path string, value float64, note string) *Plan {
	other := *p
	other.Values = slices.Clone(p.Values)
	for i := range other.Values {
		if v := &other.Values[i]; v.Path == path {
			v.Value, v.Origin, v.Note = value, Given, note
		}
	}
	return &other
}
