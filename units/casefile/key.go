package casefile

import (
	"cmp"
	"slices"
	"strings"
)

// form is the form a value of the case file takes.
type form int

const (
	textForm     form = iota // words; numbers are taken as they are written
	choiceForm               // one of a few words
	flagForm                 // true or false
	numberForm               // a decimal number
	wholeForm                // a whole number
	quantityForm             // a decimal number with its unit behind it
	sectionForm              // keys and values
	listForm                 // entries, one a line
)

// key describes one key of the case file: the single source for the strict
// reader, the JSON Schema and the list of known keys.
type key struct {
	name    string
	form    form
	help    string   // a sentence or two without the default, which std says
	unit    string   // mm, degrees, mm², kPa
	units   []scale  // that a quantity may be written in, the key's own first
	least   float64  // smallest number
	most    float64  // largest number
	choices []string // of a choice
	pattern string   // a text must match
	longest int      // characters that the pattern lets a text have, if that is told
	matches string   // what the pattern asks for, in words
	keys    []*key   // of a section
	free    *key     // of a section whose keys are the user's own names
	item    *key     // of a list
	fewest  int      // entries of a list
	entries int      // that a list may have, if fewer than maxEntries
	single  bool     // a list of one may be written without brackets
	other   *key     // a second form the value may take
	needed  bool     // must be given
	std     *standard
	example any // of what has no default, for a new case's text
}

// maxEntries bounds every list and every free section; no framework has more
// pieces.
const maxEntries = 64

// mostItems returns how many entries a list may have.
func (k *key) mostItems() int { return cmp.Or(k.entries, maxEntries) }

// named returns the key of a section by its name, or nil.
func (k *key) named(name string) *key {
	for _, sub := range k.keys {
		if sub.name == name {
			return sub
		}
	}
	return nil
}

// demands reports whether a key of the section must be given.
func (k *key) demands() bool {
	return slices.ContainsFunc(k.keys, func(sub *key) bool { return sub.needed })
}

// names returns the names of a section's keys.
func (k *key) names() []string {
	names := make([]string, len(k.keys))
	for i, sub := range k.keys {
		names[i] = sub.name
	}
	return names
}

// expects says in words what the key takes.
func (k *key) expects() string {
	words := ""
	switch k.form {
	case textForm:
		words = "words"
		if k.matches != "" {
			words = k.matches
		}
	case choiceForm:
		words = "one of " + joinWords(k.choices)
		if len(k.choices) == 1 {
			words = "the word " + k.choices[0]
		}
	case flagForm:
		words = "true or false"
	case numberForm:
		words = "a number" + k.span()
	case wholeForm:
		words = "a whole number" + k.span()
	case quantityForm:
		words = "a number" + k.span() + " with its unit, " + strings.Join(k.unitNames(), " or ")
	case sectionForm:
		words = "keys and values, one a line and indented"
	case listForm:
		words = "a list"
		if k.item != nil && k.item.form != sectionForm {
			words += " of " + k.item.expects()
		}
	}
	if k.other != nil {
		words += ", or " + k.other.expects()
	}
	return words
}

// span returns the range of a number with its unit, in words.
func (k *key) span() string {
	unit := ""
	if k.unit != "" {
		unit = " " + k.unit
	}
	return " from " + Plain(k.least) + " to " + Plain(k.most) + unit
}
