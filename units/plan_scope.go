package units

// scope reads the values of one section of the case file, falls back on
// defaults, and records where every value comes from.
type scope struct {
	p     *planner
	entry *entry // nil if the section is not in the file
	key   *key
	path  string
}

func (p *planner) root() scope { return scope{p: p, entry: p.of.root, key: caseKeys()} }

// into returns the scope of a section within this one.
func (s scope) into(name string) scope {
	return scope{p: s.p, entry: s.entry.field(name), key: s.key.named(name), path: join(s.path, name)}
}

// given reports whether the file gives the value.
func (s scope) given(name string) bool { return s.entry.field(name) != nil }

// record notes a value with its provenance: the place in the file if it is
// given there.
func (s scope) record(name string, value any, given *entry, origin Origin, note string) {
	if given != nil {
		origin, note = Given, s.p.of.place(given)
	}
	unit := ""
	if k := s.key.named(name); k != nil {
		unit = k.unit
	}
	s.p.Values = append(s.p.Values, Value{Path: join(s.path, name), Value: value, Unit: unit, Origin: origin, Note: note})
}

// number returns a number in its key's unit.
func (s scope) number(name string, standard float64, origin Origin, note string) float64 {
	given := s.entry.field(name)
	if given != nil {
		standard = given.number
	}
	s.record(name, standard, given, origin, note)
	return standard
}

// word returns a text or choice.
func (s scope) word(name, standard string, origin Origin, note string) string {
	given := s.entry.field(name)
	if given != nil {
		standard = given.text
	}
	s.record(name, standard, given, origin, note)
	return standard
}

// flag returns true or false.
func (s scope) flag(name string, standard bool, origin Origin, note string) bool {
	given := s.entry.field(name)
	if given != nil {
		standard = given.flag
	}
	s.record(name, standard, given, origin, note)
	return standard
}
