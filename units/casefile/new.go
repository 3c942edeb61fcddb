package casefile

import (
	"strings"
	"unicode/utf8"

	"earframe/units/parts"
)

// SchemaFile is the name under which the schema is written beside a case file,
// where the first line of New points editors to it.
const SchemaFile = "case.schema.json"

const newHeader = `# yaml-language-server: $schema=` + SchemaFile + `
#
# A plan for a practice framework of the outer ear. Practice, simulation and
# explanation only: not a device, and nothing made from it is sterile.
# Lengths in mm, angles in degrees. What is not given is a default, and the record
# of every build says which values were given and which were not. Defaults stand
# here behind a #: take it away to give a value of your own. No published table of
# layer heights is known: heights and thicknesses are to be changed freely.
`

// New returns the text of a case file to edit, under the case's name: every key with
// its default and a comment behind a #, and what the case that it starts from gives,
// as it gives it. From nil, nothing is given but the name. SchemaFile must be written
// beside it.
func New(name string, from *Case) ([]byte, error) {
	w := &newText{name: name}
	if from != nil {
		d, err := newDocument(from.text)
		if err != nil {
			return nil, err
		}
		w.from = d
	}
	w.WriteString(newHeader)
	apart := true
	for _, k := range caseKeys().keys {
		section := k.form == sectionForm || k.name == "units"
		if section || apart {
			w.WriteString("\n")
		}
		w.key(k, "", "")
		apart = section
	}
	return []byte(w.String()), nil
}

// newText is a case file in the making.
type newText struct {
	strings.Builder
	name string
	from *document // of the case that it starts from, or nil
}

// key writes one key with its comment.
func (w *newText) key(k *key, path, margin string) {
	path = join(path, k.name)
	given, block := w.given(path)
	switch {
	case path == "case":
		w.line(margin, k.name+": "+w.name, k.help)
	case k.form == sectionForm && k.free == nil:
		w.line(margin, k.name+":", k.help)
		for _, sub := range k.keys {
			w.key(sub, path, margin+"  ")
		}
	case block:
		w.above(margin, k.help)
		w.WriteString(given + "\n")
		if k.name == "units" {
			w.WriteString("  # Whatever a unit takes, as a base frame has it that gives none of it:\n")
			w.unit(k, parts.Base.Row(), true, margin)
		}
	case given != "":
		w.line(margin, k.name+": "+given, k.help)
	case k.name == "units":
		w.line(margin, k.name+":", k.help)
		for i, row := range parts.All() {
			w.unit(k, row, i == 0, margin)
		}
	default:
		w.line(margin+"# ", k.name+": "+k.shown(parts.Row{}), k.said())
	}
}

// given returns how the case that this one starts from gives a value, "" if it does
// not: the value on the key's line, or, for a block, its lines with the key's.
func (w *newText) given(path string) (text string, block bool) {
	if w.from == nil {
		return "", false
	}
	t, err := w.from.target(path)
	if err != nil || len(t.missing) > 0 || t.pair == nil {
		return "", false
	}
	lo, hi, there := w.from.span(t.pair.Value)
	if !there {
		return "", false
	}
	if block = isBlock(t.pair.Value); block {
		lo, _ = w.from.pairSpan(t.pair)
		lo, hi = w.from.lineStart(lo), w.from.lineEnd(hi)
		for lo > 0 { // with what is said of it above
			line := w.from.lineStart(lo - 1)
			if !strings.HasPrefix(strings.TrimLeft(string(w.from.text[line:lo]), " "), "#") {
				break
			}
			lo = line
		}
	}
	return string(w.from.text[lo:hi]), block
}

// unit writes a part's entry behind a #, each key explained where it is the first.
func (w *newText) unit(k *key, row parts.Row, explained bool, margin string) {
	first := margin + "  # - "
	for _, sub := range k.item.keys {
		value := sub.shown(row)
		if sub.name == "part" {
			value = string(row.Part)
		}
		help := sub.said()
		if !explained {
			help = ""
		}
		if value != "" && (explained || sub.name != "name" && sub.name != "outlines" && sub.name != "clearance") {
			w.line(first, sub.name+": "+value, help)
			first = margin + "  #   "
		}
	}
}

// shown returns what a new case shows for a key: its default, else an example, with
// what a section of a unit holds in brackets.
func (k *key) shown(row parts.Row) string {
	switch {
	case k.form == sectionForm && k.free == nil:
		var words []string
		for _, sub := range k.keys {
			words = append(words, sub.name+": "+sub.shown(row))
		}
		return "{" + strings.Join(words, ", ") + "}"
	case k.std != nil && k.std.ofPart != nil:
		return k.written(k.std.ofPart(row))
	case k.std != nil && k.std.value != nil:
		return k.written(k.std.value)
	case k.name == "rise" && row.Part != "" && row.Place != parts.AlongRim:
		return Plain(map[parts.Place]float64{parts.OnBase: parts.Base.Row().Thickness,
			parts.UnderBase: -row.Thickness}[row.Place])
	case k.name == "outlines":
		return k.written([]any{string(row.Part)})
	case k.name == "recesses":
		var grooves []any
		for _, name := range row.Recesses {
			groove := map[string]any{}
			for _, sub := range k.item.keys {
				groove[sub.name] = name
				if sub.std != nil {
					groove[sub.name] = sub.std.value
				}
			}
			grooves = append(grooves, groove)
		}
		return k.written(given(grooves))
	}
	return k.written(k.example)
}

// said returns the comment on a key: its help, and where its default comes from, or
// that there is none.
func (k *key) said() string {
	help := k.help
	if k.unit != "" && k.unit != "mm" {
		help += " In " + k.unit + "."
	}
	switch {
	case k.std == nil && k.example != nil:
		return help + " An example."
	case k.std == nil:
		return help
	case k.std.words != "":
		return help + " Default: " + k.std.words + "."
	}
	if because := k.std.because(); because != "" {
		return help + " Default" + because + "."
	}
	return help
}

// widest is where a line of a new case is broken.
const widest = 88

// line writes a line with its comment behind it, or above it if that would be too
// long.
func (w *newText) line(margin, text, comment string) {
	if one := margin + text + " # " + comment; utf8.RuneCountInString(one) <= widest && comment != "" {
		w.WriteString(one + "\n")
		return
	}
	w.above(strings.Replace(margin, "- ", "  ", 1), comment)
	w.WriteString(margin + text + "\n")
}

// above writes a comment in lines of its own.
func (w *newText) above(margin, comment string) {
	margin += "# "
	line := ""
	for _, word := range strings.Fields(comment) {
		if line != "" && utf8.RuneCountInString(margin+line+" "+word) > widest {
			w.WriteString(margin + line + "\n")
			line = ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	if line != "" {
		w.WriteString(margin + line + "\n")
	}
}
