package casefile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// target is the place that a path leads to, as far as it is in the file.
type target struct {
	key     *key                  // of the value
	mapping *ast.MappingNode      // holds pair
	pair    *ast.MappingValueNode // the last key on the way, nil at the top of an item
	list    *ast.SequenceNode     // holds item
	item    ast.Node              // the last entry on the way, if it comes after pair
	root    ast.Node              // the file's own section, while neither is there
	missing []step                // the rest of the way
	flow    bool                  // within brackets
	at      string                // the place as values tells it
	gone    string                // and that of what is missing
}

// step is one step of a path that is not in the file.
type step struct {
	name  string // a key, or the label of a list's entry
	item  bool
	label *key // of an entry: the key that holds the label
}

// node returns the value at the end of what is there.
func (t target) node() ast.Node {
	switch {
	case t.item != nil:
		return t.item
	case t.pair != nil:
		return t.pair.Value
	}
	return t.root
}

// holds reports whether a value's place is the target's or within it. What was
// missing also brings the labels of the entries on its way.
func (t target) holds(at string) bool {
	place := t.at + t.gone
	rest, ok := strings.CutPrefix(at, place)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// movedUp returns the values with those of the entries behind the target's entry
// one place nearer.
func (t target) movedUp(values map[string]string) map[string]string {
	list := t.at[:strings.LastIndexByte(t.at, '[')+1]
	gone, _ := strconv.Atoi(strings.TrimSuffix(t.at[len(list):], "]"))
	moved := map[string]string{}
	for at, value := range values {
		if rest, ok := strings.CutPrefix(at, list); ok {
			number, rest, _ := strings.Cut(rest, "]")
			if place, err := strconv.Atoi(number); err == nil && place > gone {
				at = fmt.Sprintf("%s%d]%s", list, place-1, rest)
			}
		}
		moved[at] = value
	}
	return moved
}

// target follows a path.
func (d *document) target(path string) (target, error) {
	t := target{key: caseKeys(), root: d.body}
	if path == "" {
		return t, fmt.Errorf("no value is named; a path such as skin.lateral or units[helix].thickness is expected")
	}
	for rest, first := path, true; rest != ""; first = false {
		var err error
		if label, after, ok := cutLabel(rest); ok && !first {
			err, rest = d.enterItem(&t, label), after
		} else if strings.HasPrefix(rest, "[") {
			return t, fmt.Errorf("%s: no key with an entry in brackets; such as units[helix] is expected", strconv.Quote(rest))
		} else {
			if !first {
				rest = strings.TrimPrefix(rest, ".")
			}
			name := rest
			if t.key.free == nil {
				if i := strings.IndexAny(rest, ".["); i >= 0 {
					name = rest[:i]
				}
			}
			err, rest = d.enterKey(&t, name), rest[len(name):]
		}
		if err != nil {
			return t, err
		}
	}
	return t, nil
}

// cutLabel takes a label in brackets off the beginning of a path.
func cutLabel(path string) (label, rest string, ok bool) {
	if !strings.HasPrefix(path, "[") {
		return "", path, false
	}
	for i := range path {
		if path[i] == ']' && (i+1 == len(path) || path[i+1] == '.' || path[i+1] == '[') {
			return path[1:i], path[i+1:], true
		}
	}
	return "", path, false
}

func (d *document) enterKey(t *target, name string) error {
	sub := t.key.named(name)
	switch {
	case t.key.free != nil:
		sub = t.key.free
	case len(t.key.keys) == 0:
		return fmt.Errorf("%s: there are no keys and values to look it up in", name)
	case sub == nil:
		return fmt.Errorf("%s: unknown key. %s", strconv.Quote(name), Known(name, t.key.names()))
	}
	t.key = sub
	if len(t.missing) > 0 {
		t.missing = append(t.missing, step{name: name})
		return nil
	}
	node := t.node()
	mapping, ok := node.(*ast.MappingNode)
	if ok {
		t.flow = t.flow || mapping.IsFlowStyle
		for _, pair := range mapping.Values {
			if word, _, _ := scalar(pair.Key); word == name {
				t.mapping, t.pair, t.item, t.at = mapping, pair, nil, t.at+"."+name
				return nil
			}
		}
	} else if _, _, there := d.span(node); there && !isNull(node) {
		return fmt.Errorf("%s: there are no keys and values to look it up in", name)
	}
	t.missing, t.gone = []step{{name: name}}, "."+name
	return nil
}

func (d *document) enterItem(t *target, label string) error {
	list := t.key
	if list.form != listForm && list.other != nil {
		list = list.other
	}
	if list.form != listForm {
		return fmt.Errorf("[%s]: there is no list to look it up in", label)
	}
	t.key = list.item
	if len(t.missing) == 0 {
		node := t.node()
		sequence, ok := node.(*ast.SequenceNode)
		if ok {
			t.flow = t.flow || sequence.IsFlowStyle
			if i := itemAt(sequence.Values, label); i >= 0 {
				t.list, t.item, t.pair, t.at = sequence, sequence.Values[i], nil, fmt.Sprintf("%s[%d]", t.at, i)
				return nil
			}
			t.gone = fmt.Sprintf("[%d]", len(sequence.Values))
		} else if _, _, there := d.span(node); there && !isNull(node) {
			return fmt.Errorf("[%s]: there is no list to look it up in", label)
		} else {
			t.gone = "[0]"
		}
	}
	at := slices.IndexFunc(list.item.keys, func(k *key) bool { return k.needed && k.form != numberForm })
	if at < 0 {
		return fmt.Errorf("[%s]: there is no such entry", label)
	}
	t.missing = append(t.missing, step{name: label, item: true, label: list.item.keys[at]})
	return nil
}

func isNull(node ast.Node) bool {
	_, ok := node.(*ast.NullNode)
	return ok
}

// itemAt returns the place of a list's entry by its label or its number from 1,
// -1 if there is none.
func itemAt(items []ast.Node, label string) int {
	for i, item := range items {
		if itemName(item) == label {
			return i
		}
	}
	if place, err := strconv.Atoi(label); err == nil && place >= 1 && place <= len(items) {
		return place - 1
	}
	return -1
}
