package casefile

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/goccy/go-yaml/ast"
)

// Entry is one value read from a case file, checked against its key. A nil
// entry is a value that was not given.
type Entry struct {
	key          *key
	Path         string
	Line, Column int
	Text         string // of a text, choice or number, as written
	Number       float64
	Flag         bool
	Items        []*Entry          // of a list
	fields       map[string]*Entry // of a section
	Order        []string          // of a section's fields, as written
}

// Field returns the value of a section's key, nil if it was not given.
func (e *Entry) Field(name string) *Entry {
	if e == nil {
		return nil
	}
	return e.fields[name]
}

// reader collects the faults of one file.
type reader struct {
	file   string
	faults Errors
}

func (r *reader) fault(node ast.Node, path, problem, advice string) {
	line, column := position(node)
	r.faults = append(r.faults, &Error{File: r.file, Line: line, Column: column, Key: path, Problem: problem,
		Advice: advice})
}

// position returns where a node begins; keys and values begin at the first key.
func position(node ast.Node) (line, column int) {
	if mapping, ok := node.(*ast.MappingNode); ok && !mapping.IsFlowStyle && len(mapping.Values) > 0 {
		node = mapping.Values[0].Key
	}
	t := node.GetToken()
	if t == nil || t.Position == nil {
		return 0, 0
	}
	return t.Position.Line, t.Position.Column
}

// readCase parses a case file and checks every value against its key. All
// faults are reported at once.
func readCase(file string, data []byte) (*Entry, error) {
	body, err := parseYAML(file, data)
	if err != nil {
		return nil, err
	}
	r := &reader{file: file}
	root := r.read(body, caseKeys(), "")
	return root, r.faults.sorted()
}

// read checks the node against the key and returns its value, nil if it cannot
// be used.
func (r *reader) read(node ast.Node, k *key, path string) *Entry {
	switch node.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		r.fault(node, path, "anchors, aliases and tags are not used in a case file", "Write the value itself")
		return nil
	case *ast.NullNode:
		if k.form == listForm || k.form == sectionForm && !k.demands() {
			return r.at(node, k, path) // an empty heading gives nothing
		}
		r.fault(node, path, "no value, expected "+k.expects(), "Give one or remove the line")
		return nil
	}
	_, isList := node.(*ast.SequenceNode)
	if k.other != nil && !r.fits(node, k) && (isList == (k.other.form == listForm)) {
		return r.read(node, k.other, path)
	}
	switch k.form {
	case sectionForm:
		return r.readSection(node, k, path)
	case listForm:
		return r.readList(node, k, path)
	}
	return r.readScalar(node, k, path)
}

// fits reports whether the node has the key's first form, for keys that take
// two.
func (r *reader) fits(node ast.Node, k *key) bool {
	word, _, ok := scalar(node)
	number := k.form == numberForm || k.form == quantityForm
	return ok && number && (decimal.MatchString(word) || !slices.Contains(k.other.choices, word))
}

func (r *reader) at(node ast.Node, k *key, path string) *Entry {
	line, column := position(node)
	return &Entry{key: k, Path: path, Line: line, Column: column}
}

func (r *reader) readSection(node ast.Node, k *key, path string) *Entry {
	mapping, ok := node.(*ast.MappingNode)
	if !ok {
		r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "")
		return nil
	}
	e := r.at(node, k, path)
	e.fields = map[string]*Entry{}
	if len(mapping.Values) > maxEntries {
		r.fault(node, path, fmt.Sprintf("%d keys, at most %d expected", len(mapping.Values), maxEntries), "")
		return nil
	}
	seen := map[string]int{}
	for _, pair := range mapping.Values {
		r.readPair(pair, e, seen)
	}
	for _, sub := range k.keys {
		if sub.needed && seen[sub.name] == 0 {
			r.fault(node, join(path, sub.name), "missing, expected "+sub.expects(), "")
		}
	}
	return e
}

func (r *reader) readPair(pair *ast.MappingValueNode, e *Entry, seen map[string]int) {
	name, line, ok := scalar(pair.Key)
	if !ok {
		r.fault(pair.Key, e.Path, "a key that is not a plain word", "Write keys as name: value")
		return
	}
	path := join(e.Path, name)
	if first, twice := seen[name]; twice {
		r.fault(pair.Key, path, fmt.Sprintf("given twice, first on line %d", first), "Remove one")
		return
	}
	seen[name] = line
	sub := e.key.free
	if sub == nil {
		sub = e.key.named(name)
	}
	if sub == nil {
		r.fault(pair.Key, path, "unknown key", Known(name, e.key.names()))
		return
	}
	if value := r.read(pair.Value, sub, path); value != nil {
		e.fields[name] = value
		e.Order = append(e.Order, name)
	}
}

func (r *reader) readList(node ast.Node, k *key, path string) *Entry {
	e := r.at(node, k, path)
	nodes := []ast.Node{node}
	sequence, ok := node.(*ast.SequenceNode)
	switch {
	case ok:
		nodes = sequence.Values
	case !k.single:
		r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "Begin each entry with a dash")
		return nil
	}
	if len(nodes) < k.fewest || len(nodes) > k.mostItems() {
		r.fault(node, path, fmt.Sprintf("number of entries is %d, expected %d to "+
			"%d", len(nodes), k.fewest, k.mostItems()), "")
		return nil
	}
	for i, item := range nodes {
		if value := r.read(item, k.item, path+itemLabel(item, i)); value != nil {
			e.Items = append(e.Items, value)
		}
	}
	return e
}

// itemLabel names a list's entry by its name, part, outline, rib or place, or
// counts from 1.
func itemLabel(node ast.Node, index int) string {
	const longest = 40
	if name := itemName(node); name != "" && len(name) <= longest {
		return "[" + name + "]"
	}
	return "[" + strconv.Itoa(index+1) + "]"
}

// itemName returns what an entry is called: its name, part, outline, rib or where it
// lies, empty if it has none of them.
func itemName(node ast.Node) string {
	mapping, ok := node.(*ast.MappingNode)
	if !ok {
		return ""
	}
	for _, label := range []string{"name", "part", "outline", "rib", "where"} {
		for _, pair := range mapping.Values {
			if key, _, _ := scalar(pair.Key); key == label {
				word, _, _ := scalar(pair.Value)
				return word
			}
		}
	}
	return ""
}
