package template

import (
	"fmt"
	"slices"
	"strings"
)

// The marks a drawing can carry beside its outlines.
const (
	frankfort = "frankfort" // line along the Frankfort horizontal
	scale     = "scale"     // line of known length, given in data-mm
)

// PartNames returns the part names an outline can have: the ear itself, the
// parts of the framework, the recesses carved into it and the skin pocket.
func PartNames() []string {
	return []string{"ear", "base", "helix", "antihelix", "tragus", "concha", "scapha", "fossa", "pocket"}
}

// MarkNames returns the names of the marks: frankfort, a line that shows the
// Frankfort horizontal, and scale, a line with its length in data-mm.
func MarkNames() []string { return []string{frankfort, scale} }

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

// maxCompared bounds the length of a word whose nearest known one is sought.
const maxCompared = 64

// nearestName returns the known name with the fewest letters changed, left out
// or added (Levenshtein 1966), or "" if more than a third of them would be.
func nearestName(word string, known []string) string {
	if len(word) > maxCompared {
		return ""
	}
	best, least := "", 1+max(1, len(word)/3)
	for _, candidate := range known {
		if cost := editDistance(strings.ToLower(word), strings.ToLower(candidate)); cost < least {
			best, least = candidate, cost
		}
	}
	return best
}

func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j+1]+1, row[j]+1)
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
	if guess := nearestName(word, known); guess != "" {
		return "did you mean " + guess + "? " + list
	}
	return list
}
