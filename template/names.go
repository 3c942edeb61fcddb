package template

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"earframe/units/parts"
)

// The marks a drawing can carry beside its outlines.
const (
	frankfort = "frankfort" // line along the Frankfort horizontal
	scale     = "scale"     // line of known length, given in data-mm
	cut       = "cut"       // line along which a unit is cut in pieces

	// BolsterMark is the name of lines along which a bolster is laid.
	BolsterMark = "bolster"
)

// PartNames returns the part names an outline can have: the ear itself, the
// parts of the framework, the recesses carved into it and the skin pocket.
func PartNames() []string {
	return slices.Concat([]string{"ear"}, parts.Names(), []string{parts.Scapha, parts.Fossa, "pocket"})
}

// MarkNames returns the names of the marks: frankfort, a line that shows the
// Frankfort horizontal, scale, a line with its length in data-mm, and cut and
// bolster, lines along which the case may have a unit cut or a bolster laid.
func MarkNames() []string { return []string{frankfort, scale, cut, BolsterMark} }

func knownNames() []string { return slices.Concat(PartNames(), MarkNames()) }

// guessName returns the part or mark that an id, title or layer label names: the
// name itself or the name followed by a separator and anything, in any case.
// It returns "" if it names none.
func guessName(label string) string {
	label = strings.ToLower(strings.TrimSpace(label))
	end := strings.IndexAny(label, "-_ .:,")
	if end < 0 {
		end = len(label)
	}
	if slices.Contains(knownNames(), label[:end]) {
		return label[:end]
	}
	return ""
}

// likelyName returns the part or mark that a label near to one probably means:
// all of it is one but for a letter, or a word of it is one or begins with one.
// It returns "" if none is near.
func likelyName(label string) string {
	known := knownNames()
	words := strings.FieldsFunc(strings.ToLower(label), func(r rune) bool { return !unicode.IsLetter(r) })
	// What is written in several words is first compared as one: anti-helix.
	joined := strings.Join(words, "")
	if len(joined) > 3 && len(joined) <= maxCompared {
		for _, name := range known {
			if apart := len(joined) - len(name); max(apart, -apart) <= 1 && editDistance(joined, name) <= 1 {
				return name
			}
		}
	}
	for _, word := range words {
		for _, name := range known { // none begins with another
			if strings.HasPrefix(word, name) {
				return name
			}
		}
	}
	return ""
}

// maxCompared bounds the length of a word whose nearest known one is sought.
const maxCompared = 64

// Nearest returns the known word that was probably meant: begun by the given one
// or closest to it, in any case, by the letters changed, left out or added and
// the neighbours swapped (Levenshtein 1966, Damerau 1964; no letter is edited
// twice). It returns "" if more than about a third of the letters would change.
func Nearest(word string, known []string) string {
	if len(word) > maxCompared {
		return ""
	}
	word = strings.ToLower(word)
	best, least := "", 1+max(1, (len(word)+1)/3)
	for _, candidate := range known {
		lower := strings.ToLower(candidate)
		cost := least
		switch apart := len(lower) - len(word); {
		case len(word) > 2 && strings.HasPrefix(lower, word):
			cost = min(apart, 1)
		case max(apart, -apart) < least: // each letter more or less is an edit
			cost = editDistance(word, lower)
		}
		if cost < least {
			best, least = candidate, cost
		}
	}
	return best
}

func editDistance(a, b string) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before, above, row = above, row, before
		row[0] = i + 1
		for j := range len(b) {
			cost := above[j]
			if a[i] != b[j] {
				cost++
			}
			row[j+1] = min(cost, above[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(b)]
}

// shortList joins words, the first forty of them.
func shortList(words []string) string {
	const most = 40
	if more := len(words) - most; more > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(words[:most], ", "), more)
	}
	return strings.Join(words, ", ")
}

// knownList returns "known: a, b, c", with the nearest to the word as a guess.
func knownList(word string, known []string) string {
	if len(known) == 0 {
		return "there are none"
	}
	list := "known: " + shortList(known)
	if guess := Nearest(word, known); guess != "" {
		return "did you mean " + guess + "? " + list
	}
	return list
}
