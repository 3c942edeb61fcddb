package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
)

// setValue returns a case file's text with one number set. The path is that of
// the record's inputs: sections by dots, a list's entry in brackets by its name,
// part or outline, or its place from 1: units[helix].rise,
// units[base].recesses[scapha].depth. Sections and units that are not in the file
// are added, since a default can be varied too.
func setValue(text []byte, path string, value float64) ([]byte, error) {
	var root yaml.MapSlice
	if err := yaml.UnmarshalWithOptions(text, &root, yaml.UseOrderedMap()); err != nil {
		return nil, fmt.Errorf("the case file cannot be changed: %w", err)
	}
	words := pathWords(path)
	if len(words) == 0 {
		return nil, fmt.Errorf("%q names no value; a path such as skin.lateral or units[helix].thickness is expected", path)
	}
	changed, err := setIn(root, words, value)
	if err != nil {
		return nil, err
	}
	return yaml.Marshal(withWordKeys(changed))
}

// withWordKeys makes every key a word: the YAML library cannot write others,
// such as the ids of a drawing that are numbers.
func withWordKeys(node any) any {
	switch node := node.(type) {
	case yaml.MapSlice:
		for i := range node {
			node[i].Key = fmt.Sprint(node[i].Key)
			node[i].Value = withWordKeys(node[i].Value)
		}
	case []any:
		for i := range node {
			node[i] = withWordKeys(node[i])
		}
	}
	return node
}

// pathWord is one step of a path: a key, or a list's entry.
type pathWord struct {
	text  string
	entry bool
}

// What keys and the labels of a list's entries look like.
var (
	caseKey   = regexp.MustCompile(`^[a-z][a-z_]*$`)
	entryName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9 ._-]{0,119}$`)
)

// pathWords takes a path apart; none if it is not well formed.
func pathWords(path string) []pathWord {
	var words []pathWord
	for _, part := range strings.Split(path, ".") {
		key, rest, listed := strings.Cut(part, "[")
		if !caseKey.MatchString(key) {
			return nil
		}
		words = append(words, pathWord{key, false})
		if listed {
			label, ok := strings.CutSuffix(rest, "]")
			if !ok || !entryName.MatchString(label) {
				return nil
			}
			words = append(words, pathWord{label, true})
		}
	}
	return words
}

// setIn returns the node with the value set at the path's rest.
func setIn(node any, words []pathWord, value float64) (any, error) {
	if len(words) == 0 {
		switch node.(type) {
		case yaml.MapSlice, []any:
			return nil, fmt.Errorf("it is not a single number")
		}
		return value, nil
	}
	word := words[0]
	if word.entry {
		return setInList(node, word.text, words[1:], value)
	}
	section, ok := node.(yaml.MapSlice)
	if node != nil && !ok {
		return nil, fmt.Errorf("%s: there are no keys and values to look it up in", word.text)
	}
	at := slices.IndexFunc(section, func(item yaml.MapItem) bool { return item.Key == word.text })
	if at < 0 {
		section = append(section, yaml.MapItem{Key: word.text})
		at = len(section) - 1
	}
	changed, err := setIn(section[at].Value, words[1:], value)
	if err != nil {
		return nil, err
	}
	section[at].Value = changed
	return section, nil
}

// setInList sets a value in a list's entry.
func setInList(node any, label string, words []pathWord, value float64) (any, error) {
	list, ok := node.([]any)
	if node != nil && !ok {
		return nil, fmt.Errorf("[%s]: there is no list to look it up in", label)
	}
	at := slices.IndexFunc(list, func(entry any) bool { return entryLabel(entry) == label })
	if place, err := strconv.Atoi(label); at < 0 && err == nil && place >= 1 && place <= len(list) {
		at = place - 1
	}
	if at < 0 {
		// A part without an entry is built with the defaults.
		list = append(list, yaml.MapSlice{{Key: "part", Value: label}})
		at = len(list) - 1
	}
	changed, err := setIn(list[at], words, value)
	if err != nil {
		return nil, err
	}
	list[at] = changed
	return list, nil
}

// entryLabel is what a list's entry is called: its name, part or outline.
func entryLabel(entry any) string {
	section, ok := entry.(yaml.MapSlice)
	if !ok {
		return ""
	}
	for _, key := range []string{"name", "part", "outline"} {
		for _, item := range section {
			if item.Key == key {
				return fmt.Sprint(item.Value)
			}
		}
	}
	return ""
}
