package casefile

import (
	"fmt"
	"strings"

	"earframe/units/parts"
)

// standard is the default of a key: the one place that says it and where it comes
// from. What it depends on is said in words, or it is read from the parts' table.
type standard struct {
	value  any // number, word, flag, or a list of them; nil if it depends
	ofPart func(parts.Row) any
	words  string // what it depends on
	origin Origin
	note   string // the reason for it, or its source
}

// What is said of defaults.
const (
	commonPractice = "common practice, no source"
	layerHeight    = "layer height from memory, no published table was found"
	ourChoice      = "earframe's own choice"

	// forearm is where skin's tension and modulus come from, as means of ten men.
	forearm = "volar forearm, not the mastoid: Diridollou et al. 2000, Skin Res Technol 6(4):214-221"
)

func ours(value any) *standard { return &standard{value: value, origin: Default, note: ourChoice} }

func usual(value any) *standard {
	return &standard{value: value, origin: Default, note: commonPractice}
}

// published is a default with its source.
func published(value any, source string) *standard {
	return &standard{value: value, origin: Default, note: source}
}

// unsourced is a default that stands for a number which someone may publish or
// measure.
func unsourced(value any, note string) *standard {
	return &standard{value: value, origin: UnsourcedDefault, note: note}
}

// depends is a default that the plan works out.
func depends(words string, origin Origin, note string) *standard {
	return &standard{words: words, origin: origin, note: note}
}

func byPart(of func(parts.Row) any, origin Origin, note string) *standard {
	return &standard{ofPart: of, origin: origin, note: note}
}

// explained returns the key's help with its default and where that comes from.
func (k *key) explained() string {
	s := k.std
	if s == nil {
		return k.help
	}
	words, because := s.words, s.because()
	switch {
	case words != "":
		because = ""
	case s.ofPart != nil:
		var of []string
		for _, row := range parts.All() {
			if text := k.written(s.ofPart(row)); text != "" {
				of = append(of, string(row.Part)+" "+text)
			}
		}
		words = strings.TrimSpace(strings.Join(of, ", ") + " " + k.unit)
	case s.value != nil:
		words = strings.TrimSpace(k.written(s.value) + " " + k.unit)
	}
	return strings.TrimSpace(k.help+" Default "+words+because) + "."
}

// because returns the reason for a default as the end of a sentence; a choice of
// ours needs none.
func (s *standard) because() string {
	if s.note == ourChoice || s.note == "" {
		return ""
	}
	return ": " + s.note
}

// written returns a default as the file has it, empty for none.
func (k *key) written(value any) string {
	if value == nil {
		return ""
	}
	text, err := write(value, k, "")
	if err != nil {
		panic(fmt.Sprintf("the default of %s: %v", k.name, err)) // a mistake in the table, which a test finds
	}
	return text
}
