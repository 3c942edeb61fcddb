package casefile

// Row is what the table says of one key, for help, forms and sliders.
type Row struct {
	Path        string // as in a record's inputs, without the labels of entries: units[].edge.top
	Help        string // with the default and where it comes from
	Unit        string // of a number: mm, degrees, percent, mm², kPa
	Least, Most float64
	Choices     []string
	Default     any    // number, word, flag or list; nil if there is none or it depends
	Origin      Origin // of the default, empty if there is none
	Note        string // where the default comes from
}

// Rows returns the rows of all keys that take a value, in the order of the table.
func Rows() []Row {
	var rows []Row
	var walk func(k *key, path string)
	walk = func(k *key, path string) {
		for _, sub := range k.keys {
			at := join(path, sub.name)
			if sub.form == sectionForm && sub.free == nil {
				walk(sub, at)
				continue
			}
			row := Row{Path: at, Help: sub.explained(), Unit: sub.unit, Least: sub.least, Most: sub.most, Choices: sub.choices}
			if sub.std != nil {
				row.Default, row.Origin, row.Note = sub.std.value, sub.std.origin, sub.std.note
				if words, is := row.Default.(string); is && sub.form == quantityForm {
					row.Default, _ = sub.quantity(words)
				}
			}
			rows = append(rows, row)
			for _, list := range []*key{sub, sub.other} {
				if list != nil && list.item != nil {
					walk(list.item, at+"[]")
				}
			}
		}
	}
	walk(caseKeys(), "")
	return rows
}

// Find returns the row of a key by its path in Rows.
func Find(path string) (row Row, ok bool) {
	for _, row := range Rows() {
		if row.Path == path {
			return row, true
		}
	}
	return Row{}, false
}
