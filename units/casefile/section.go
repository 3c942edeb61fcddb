package casefile

// Reading takes the values of a case one by one, falls back on defaults, and
// takes down where every value comes from and what is wrong with it.
type Reading struct {
	Case   *Case
	Values []Value
	faults Errors
}

// NewReading begins to read a case.
func NewReading(c *Case) *Reading { return &Reading{Case: c} }

// Fault adds a fault found after reading, at the place of the entry.
func (r *Reading) Fault(e *Entry, problem, advice string) {
	r.faults = append(r.faults, &Error{
		File: r.Case.File, Line: e.Line, Column: e.Column, Key: e.Path, Problem: problem, Advice: advice,
	})
}

// Err returns the faults in the file's order as Errors, nil if there are none.
func (r *Reading) Err() error { return r.faults.sorted() }

// Section reads the values of one section of the case file.
type Section struct {
	Path    string
	Entry   *Entry // nil if the section is not in the file
	reading *Reading
	key     *key
}

// Root returns the whole file as a section.
func (r *Reading) Root() Section {
	return Section{Entry: r.Case.root, reading: r, key: caseKeys()}
}

// Into returns a section within this one.
func (s Section) Into(name string) Section {
	return Section{Path: join(s.Path, name), Entry: s.Entry.Field(name), reading: s.reading, key: s.key.named(name)}
}

// Item returns an entry of a list within the section as a section of its own; the
// label stands for it in paths.
func (s Section) Item(list, label string, entry *Entry) Section {
	return Section{
		Path: join(s.Path, list) + "[" + label + "]", Entry: entry, reading: s.reading, key: s.key.named(list).item,
	}
}

// Given reports whether the file gives the value.
func (s Section) Given(name string) bool { return s.Entry.Field(name) != nil }

// Record notes a value with its provenance: the place in the file if it is
// given there.
func (s Section) Record(name string, value any, given *Entry, origin Origin, note string) {
	if given != nil {
		origin, note = Given, s.reading.Case.Place(given)
	}
	unit := ""
	if k := s.key.named(name); k != nil {
		unit = k.unit
	}
	s.reading.Values = append(s.reading.Values, Value{
		Path: join(s.Path, name), Value: value, Unit: unit, Origin: origin, Note: note,
	})
}

// Number returns a number in its key's unit.
func (s Section) Number(name string, standard float64, origin Origin, note string) float64 {
	given := s.Entry.Field(name)
	if given != nil {
		standard = given.Number
	}
	s.Record(name, standard, given, origin, note)
	return standard
}

// Word returns a text or choice.
func (s Section) Word(name, standard string, origin Origin, note string) string {
	given := s.Entry.Field(name)
	if given != nil {
		standard = given.Text
	}
	s.Record(name, standard, given, origin, note)
	return standard
}

// Flag returns true or false.
func (s Section) Flag(name string, standard bool, origin Origin, note string) bool {
	given := s.Entry.Field(name)
	if given != nil {
		standard = given.Flag
	}
	s.Record(name, standard, given, origin, note)
	return standard
}
