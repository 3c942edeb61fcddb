package casefile

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"earframe/template"
)

// decimal is what counts as a number: no hexadecimal, no leading zeros that
// other readers take for octal, no underscores.
var decimal = regexp.MustCompile(`^[+-]?(0|[1-9][0-9]*)?(\.[0-9]*)?([eE][+-]?[0-9]{1,3})?$`)

func (r *reader) readScalar(node ast.Node, k *key, path string) *Entry {
	word, _, ok := scalar(node)
	if !ok {
		r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "")
		return nil
	}
	e := r.at(node, k, path)
	e.Text = word
	switch k.form {
	case flagForm:
		value, isFlag := node.(*ast.BoolNode)
		if !isFlag {
			r.fault(node, path, "found "+found(node)+", expected true or false", flagAdvice(word))
			return nil
		}
		e.Flag = value.Value
	case numberForm, wholeForm:
		return r.readNumber(node, k, e)
	case quantityForm:
		return r.readQuantity(node, k, e)
	case choiceForm:
		if !slices.Contains(k.choices, word) {
			r.fault(node, path, fmt.Sprintf("found %s, expected %s", found(node), k.expects()), guess(word, k.choices))
			return nil
		}
	case textForm:
		if _, isFlag := node.(*ast.BoolNode); isFlag {
			r.fault(node, path, "found "+found(node)+", expected "+k.expects(), "Put it in quotes if it is a name")
			return nil
		}
		if k.pattern != "" && !regexp.MustCompile(k.pattern).MatchString(word) {
			r.fault(node, path, "found "+found(node)+", expected "+k.expects(), k.tooLong(word))
			return nil
		}
	}
	return e
}

// tooLong says how many characters a text has if they are too many.
func (k *key) tooLong(word string) string {
	if n := utf8.RuneCountInString(word); k.longest > 0 && n > k.longest {
		return fmt.Sprintf("It has %d", n)
	}
	return ""
}

func (r *reader) readNumber(node ast.Node, k *key, e *Entry) *Entry {
	wrong := func(advice string) *Entry {
		r.fault(node, e.Path, "found "+found(node)+", expected "+k.expects(), advice)
		return nil
	}
	value, err := strconv.ParseFloat(e.Text, 64)
	switch {
	case quoted(node):
		return wrong("Remove the quotes")
	case !decimal.MatchString(e.Text) || err != nil:
		return wrong(numberAdvice(e.Text, k.unit))
	case value < k.least || value > k.most || math.IsNaN(value):
		return wrong("")
	case k.form == wholeForm && value != math.Trunc(value):
		return wrong("")
	}
	e.Number = value
	return e
}

// numberAdvice says what keeps a word from being a number.
func numberAdvice(word, unit string) string {
	if strings.Contains(word, ",") {
		return "Write a decimal point instead of the comma"
	}
	cut := strings.TrimRight(word, " abcdefghijklmnopqrstuvwxyz²°")
	if _, err := strconv.ParseFloat(cut, 64); err == nil && cut != word {
		if unit == "" {
			return "Write the number alone"
		}
		return "Write the number alone; it is taken as " + unit
	}
	return ""
}

// flagAdvice translates the words that older readers take for true and false.
func flagAdvice(word string) string {
	switch strings.ToLower(word) {
	case "yes", "on", "y":
		return "Write true"
	case "no", "off", "n":
		return "Write false"
	}
	return ""
}

func guess(word string, choices []string) string {
	if best := template.Nearest(word, choices); best != "" {
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

// Plain writes a number without needless digits.
func Plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func joinWords(words []string) string { return strings.Join(words, ", ") }
