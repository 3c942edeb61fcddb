package units

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Limits on a case file, checked before it is parsed: the parser's time grows
// with the square of a file's size and of the depth of its brackets.
const (
	maxCaseBytes    = 64 << 10
	maxCaseBrackets = 32
)

// entry is one value read from a case file, checked against its key. A nil
// entry is a value that was not given.
type entry struct {
	key          *key
	path         string
	line, column int
	text         string // of a text, choice or number, as written
	number       float64
	flag         bool
	items        []*entry          // of a list
	fields       map[string]*entry // of a section
	order        []string          // of a section's fields, as written
}

// field returns the value of a section's key, nil if it was not given.
func (e *entry) field(name string) *entry {
	if e == nil {
		return nil
	}
	return e.fields[name]
}

// caseReader collects the faults of one file.
type caseReader struct {
	file   string
	faults CaseErrors
}

func (r *caseReader) fault(node ast.Node, path, problem, advice string) {
	line, column := position(node)
	r.faults = append(r.faults, &CaseError{File: r.file, Line: line, Column: column, Key: path, Problem: problem, Advice: advice})
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

// faultAt adds a fault found after reading, at the place of the entry.
func (r *caseReader) faultAt(e *entry, problem, advice string) {
	r.faults = append(r.faults, &CaseError{File: r.file, Line: e.line, Column: e.column, Key: e.path, Problem: problem, Advice: advice})
}

// readCase parses a case file and checks every value against its key. All
// faults are reported at once.
func readCase(file string, data []byte) (*entry, error) {
	body, err := parseYAML(file, data)
	if err != nil {
		return nil, err
	}
	r := &caseReader{file: file}
	root := r.read(body, caseKeys(), "")
	return root, r.faults.sorted()
}

// parseYAML returns the body of the file's only document.
func parseYAML(file string, data []byte) (ast.Node, error) {
	fail := func(problem, advice string) error {
		return CaseErrors{{File: file, Problem: problem, Advice: advice}}
	}
	if len(data) > maxCaseBytes {
		return nil, fail(fmt.Sprintf("%d bytes, at most %d expected", len(data), maxCaseBytes), "This is not a case file")
	}
	if depth := bracketDepth(data); depth > maxCaseBrackets {
		return nil, fail(fmt.Sprintf("brackets opened %d deep, at most %d expected", depth, maxCaseBrackets), "This is not a case file")
	}
	tree, err := parseSafely(data)
	if err != nil {
		fault := &CaseError{File: file, Problem: "not valid YAML: " + err.Error(), Cause: err}
		var syntax *yaml.SyntaxError
		if errors.As(err, &syntax) {
			fault.Problem = "not valid YAML: " + syntax.Message
			if syntax.Token != nil && syntax.Token.Position != nil {
				fault.Line, fault.Column = syntax.Token.Position.Line, syntax.Token.Position.Column
			}
		}
		return nil, CaseErrors{fault}
	}
	switch {
	case len(tree.Docs) == 0 || len(tree.Docs) == 1 && tree.Docs[0].Body == nil:
		return nil, fail("the file is empty", "earframe new makes a case file to edit")
	case len(tree.Docs) > 1:
		return nil, fail(fmt.Sprintf("%d documents, one expected", len(tree.Docs)), "Remove the lines --- and put every case in a file of its own")
	}
	return tree.Docs[0].Body, nil
}

// parseSafely turns a panic of the parser into an error: a damaged file must
// never end the program, and the parser is not ours to prove.
func parseSafely(data []byte) (tree *ast.File, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			err = fmt.Errorf("the parser gave up: %v", problem)
		}
	}()
	return parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
}

// bracketDepth returns the largest number of brackets open at once.
func bracketDepth(data []byte) int {
	depth, deepest := 0, 0
	for _, c := range data {
		switch c {
		case '[', '{':
			depth++
			deepest = max(deepest, depth)
		case ']', '}':
			depth = max(depth-1, 0)
		}
	}
	return deepest
}

// read checks the node against the key and returns its value, nil if it cannot
// be used.
func (r *caseReader) read(node ast.Node, k *key, path string) *entry {
	switch node.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		r.fault(node, path, "anchors, aliases and tags are not used in a case file", "Write the value itself")
		return nil
	case *ast.NullNode:
		if k.form == section || k.form == list {
			return r.at(node, k, path) // an empty heading gives nothing
		}
		r.fault(node, path, "no value, expected "+k.expects(), "Give one or remove the line")
		return nil
	}
	_, isList := node.(*ast.SequenceNode)
	if k.other != nil && !r.fits(node, k) && (isList == (k.other.form == list)) {
		return r.read(node, k.other, path)
	}
	switch k.form {
	case section:
		return r.readSection(node, k, path)
	case list:
		return r.readList(node, k, path)
	}
	return r.readScalar(node, k, path)
}

// fits reports whether the node has the key's first form, for keys that take
// two.
func (r *caseReader) fits(node ast.Node, k *key) bool {
	word, _, ok := scalar(node)
	return ok && k.form == number && (decimal.MatchString(word) || !slices.Contains(k.other.choices, word))
}

func (r *caseReader) at(node ast.Node, k *key, path string) *entry {
	line, column := position(node)
	return &entry{key: k, path: path, line: line, column: column}
}

func (r *caseReader) readSection(node ast.Node, k *key, path string) *entry {
	mapping, ok := node.(*ast.MappingNode)
	if !ok {
		r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "")
		return nil
	}
	e := r.at(node, k, path)
	e.fields = map[string]*entry{}
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

func (r *caseReader) readPair(pair *ast.MappingValueNode, e *entry, seen map[string]int) {
	name, line, ok := scalar(pair.Key)
	if !ok {
		r.fault(pair.Key, e.path, "a key that is not a plain word", "Write keys as name: value")
		return
	}
	path := join(e.path, name)
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
		r.fault(pair.Key, path, "unknown key", knownWords(name, e.key.names()))
		return
	}
	if value := r.read(pair.Value, sub, path); value != nil {
		e.fields[name] = value
		e.order = append(e.order, name)
	}
}

func (r *caseReader) readList(node ast.Node, k *key, path string) *entry {
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
	if len(nodes) < k.fewest || len(nodes) > maxEntries {
		r.fault(node, path, fmt.Sprintf("%d entries, expected %d to %d", len(nodes), k.fewest, maxEntries), "")
		return nil
	}
	for i, item := range nodes {
		if value := r.read(item, k.item, path+itemLabel(item, i)); value != nil {
			e.items = append(e.items, value)
		}
	}
	return e
}

// itemLabel names a list's entry by its name, part or outline, or counts from 1.
func itemLabel(node ast.Node, index int) string {
	label := strconv.Itoa(index + 1)
	if mapping, ok := node.(*ast.MappingNode); ok {
		best := 3
		for _, pair := range mapping.Values {
			name, _, _ := scalar(pair.Key)
			value, _, ok := scalar(pair.Value)
			rank := slices.Index([]string{"name", "part", "outline"}, name)
			if ok && rank >= 0 && rank < best && len(value) <= 40 {
				best, label = rank, value
			}
		}
	}
	return "[" + label + "]"
}

// decimal is what counts as a number: no hexadecimal, no leading zeros that
// other readers take for octal, no underscores.
var decimal = regexp.MustCompile(`^[+-]?(0|[1-9][0-9]*)?(\.[0-9]*)?([eE][+-]?[0-9]{1,3})?$`)

func (r *caseReader) readScalar(node ast.Node, k *key, path string) *entry {
	word, _, ok := scalar(node)
	if !ok {
		r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "")
		return nil
	}
	e := r.at(node, k, path)
	e.text = word
	switch k.form {
	case flag:
		value, isFlag := node.(*ast.BoolNode)
		if !isFlag {
			r.fault(node, path, "found "+found(node)+", expected true or false", "")
			return nil
		}
		e.flag = value.Value
	case number, whole:
		return r.readNumber(node, k, e)
	case choice:
		if !slices.Contains(k.choices, word) {
			r.fault(node, path, fmt.Sprintf("found %s, expected %s", found(node), k.expects()), guess(word, k.choices))
			return nil
		}
	case text:
		if _, isFlag := node.(*ast.BoolNode); isFlag {
			r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "Put it in quotes if it is a name")
			return nil
		}
		if k.pattern != "" && !regexp.MustCompile(k.pattern).MatchString(word) {
			r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "")
			return nil
		}
	}
	return e
}

func (r *caseReader) readNumber(node ast.Node, k *key, e *entry) *entry {
	wrong := func(advice string) *entry {
		r.fault(node, e.path, "found "+found(node)+", expected "+k.expects(), advice)
		return nil
	}
	value, err := strconv.ParseFloat(e.text, 64)
	switch {
	case quoted(node):
		return wrong("Remove the quotes")
	case !decimal.MatchString(e.text) || err != nil:
		return wrong(numberAdvice(e.text, k.unit))
	case value < k.least || value > k.most || math.IsNaN(value):
		return wrong("")
	case k.form == whole && value != math.Trunc(value):
		return wrong("")
	}
	e.number = value
	return e
}

// numberAdvice says what keeps a word from being a number.
func numberAdvice(word, unit string) string {
	if strings.Contains(word, ",") {
		return "Write a decimal point instead of the comma"
	}
	if cut := strings.TrimRight(word, " abcdefghijklmnopqrstuvwxyz²°"); cut != word && decimal.MatchString(cut) && cut != "" {
		if unit == "" {
			return "Write the number alone"
		}
		return "Write the number alone; it is taken as " + unit
	}
	return ""
}

func guess(word string, choices []string) string {
	if best := nearest(word, choices); best != "" {
		return "Did you mean " + best + "?"
	}
	return ""
}

// scalar returns the word of a plain value as written, and its line.
func scalar(node ast.Node) (word string, line int, ok bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, n.Token.Position.Line, true
	case *ast.LiteralNode:
		return strings.TrimRight(n.Value.Value, "\n"), n.Start.Position.Line, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.NanNode, *ast.InfinityNode, *ast.NullNode:
		t := node.GetToken()
		return t.Value, t.Position.Line, true
	}
	return "", 0, false
}

func quoted(node ast.Node) bool {
	t := node.GetToken()
	return t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType
}

// found names a node in words for an error.
func found(node ast.Node) string {
	switch node.(type) {
	case *ast.SequenceNode:
		return "a list"
	case *ast.MappingNode:
		return "keys and values"
	}
	word, _, ok := scalar(node)
	if !ok {
		return "something else"
	}
	if len(word) > 60 {
		word = strings.ToValidUTF8(word[:60], "") + "…"
	}
	return strconv.Quote(word)
}

func join(path, name string) string {
	if len(name) > 60 {
		name = strings.ToValidUTF8(name[:60], "") + "…"
	}
	if path == "" {
		return name
	}
	return path + "." + name
}

// plain writes a number without needless digits.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func joinWords(words []string) string { return strings.Join(words, ", ") }
