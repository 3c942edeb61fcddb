package units

// Override takes down that a number of the plan was replaced by one given
// elsewhere than in the case file; note says where. The caller sets the number
// itself.
func (p *Plan) Override(path string, value float64, note string) {
	for i := range p.Values {
		if p.Values[i].Path == path {
			p.Values[i].Value, p.Values[i].Origin, p.Values[i].Note = value, Given, note
			return
		}
	}
	p.Values = append(p.Values, Value{Path: path, Value: value, Unit: "mm", Origin: Given, Note: note})
}
