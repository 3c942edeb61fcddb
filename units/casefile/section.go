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

// Record notes a value with its provenance: the place in the file if it is given
// there, else what the key's row says of its default, and the remark.
func (s Section) Record(name string, value any, given *Entry, remark string) {
	k := s.key.named(name)
	origin, note := Given, ""
	switch {
	case given != nil:
		note = s.reading.Case.Place(given)
	case k.std != nil:
		origin, note = k.std.origin, k.std.note
		if note != "" && remark != "" {
			note += ", "
		}
		note += remark
	}
	s.RecordAs(name, value, origin, note)
}

// RecordAs notes a value with a provenance that its row does not say.
func (s Section) RecordAs(name string, value any, origin Origin, note string) {
	s.reading.Values = append(s.reading.Values, Value{
		Path: join(s.Path, name), Value: value, Unit: s.key.named(name).unit, Origin: origin, Note: note,
	})
}

// Number returns a number in its key's unit.
func (s Section) Number(name string) float64 { return s.NumberOr(name, s.Standard(name), "") }

// Standard returns the default of a number, or of a quantity in its key's unit, as
// its row has it.
func (s Section) Standard(name string) float64 {
	k := s.key.named(name)
	value, ok := k.std.value.(float64)
	if words, is := k.std.value.(string); is && k.form == quantityForm {
		value, ok = k.quantity(words)
	}
	if !ok {
		panic(name + " has no number for a default") // a mistake of the caller, which every plan finds
	}
	return value
}

// NumberOr returns a number whose default depends on other values; the remark is
// added to the reason for it.
func (s Section) NumberOr(name string, standard float64, remark string) float64 {
	given := s.Entry.Field(name)
	if given != nil {
		standard = given.Number
	}
	s.Record(name, standard, given, remark)
	return standard
}

// NumberUnless returns a number in its key's unit, or what stands for the word that
// may be given in its place.
func (s Section) NumberUnless(word, name string, stands float64) float64 {
	switch given := s.Entry.Field(name); {
	case given == nil:
		return s.Number(name)
	case given.Text == word:
		s.Record(name, word, given, "")
		return stands
	}
	return s.Known(name)
}

// Known returns a number that has no default, 0 if it is not given.
func (s Section) Known(name string) float64 {
	given := s.Entry.Field(name)
	if given == nil {
		return 0
	}
	s.Record(name, given.Number, given, "")
	return given.Number
}

// Word returns a text or choice.
func (s Section) Word(name string) string {
	word := ""
	if std := s.key.named(name).std; std != nil {
		word, _ = std.value.(string)
	}
	return s.WordOr(name, word)
}

// WordOr returns a text whose default depends on other values.
func (s Section) WordOr(name, standard string) string {
	given := s.Entry.Field(name)
	if given != nil {
		standard = given.Text
	}
	s.Record(name, standard, given, "")
	return standard
}

// Flag returns true or false.
func (s Section) Flag(name string) bool {
	value, _ := s.key.named(name).std.value.(bool)
	given := s.Entry.Field(name)
	if given != nil {
		value = given.Flag
	}
	s.Record(name, value, given, "")
	return value
}

// Items returns the entries of a list, its default ones if none are given.
func (s Section) Items(name string) []*Entry {
	if given := s.Entry.Field(name); given != nil {
		return given.Items
	}
	k := s.key.named(name)
	body, err := parseYAML("", []byte(k.written(k.std.value)))
	if err != nil {
		panic(err) // a mistake in the table, which a test finds
	}
	return (&reader{}).read(body, k, "").Items
}
