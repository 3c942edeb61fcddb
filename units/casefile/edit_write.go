package casefile

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// write writes a value as the file has it; quote is the mark that words are to be
// put between even where they need none, or empty.
func write(value any, k *key, quote string) (string, error) {
	switch v := value.(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return "", fmt.Errorf("found %g, expected %s", v, k.expects())
		}
		if k.form == quantityForm {
			return Plain(v) + " " + k.unit, nil
		}
		return Plain(v), nil
	case int:
		return strconv.Itoa(v), nil
	case bool:
		return strconv.FormatBool(v), nil
	case string:
		if k.form == quantityForm && quote == "" && quantity.MatchString(v) {
			return v, nil
		}
		return writeWords(v, quote), nil
	case []float64:
		return writeList(v, k)
	case []int:
		return writeList(v, k)
	case []string:
		return writeList(v, k)
	case []any:
		return writeList(v, k)
	case map[string]any:
		return writeSection(v, k)
	}
	return "", fmt.Errorf("found a %T, expected %s", value, k.expects())
}

func writeList[T any](items []T, k *key) (string, error) {
	if k.form != listForm && k.other != nil {
		k = k.other
	}
	if k.form != listForm {
		return "", fmt.Errorf("found a list, expected %s", k.expects())
	}
	words := make([]string, len(items))
	for i, item := range items {
		var err error
		if words[i], err = write(item, k.item, ""); err != nil {
			return "", err
		}
	}
	return "[" + strings.Join(words, ", ") + "]", nil
}

// writeSection writes keys and values in the order of the table.
func writeSection(fields map[string]any, k *key) (string, error) {
	names := slices.Sorted(maps.Keys(fields))
	slices.SortStableFunc(names, func(a, b string) int {
		return slices.Index(k.names(), a) - slices.Index(k.names(), b)
	})
	words := make([]string, len(names))
	for i, name := range names {
		sub := cmp.Or(k.free, k.named(name))
		if sub == nil {
			return "", fmt.Errorf("%s: unknown key. %s", strconv.Quote(name), Known(name, k.names()))
		}
		word, err := write(fields[name], sub, "")
		if err != nil {
			return "", err
		}
		words[i] = name + ": " + word
	}
	return "{" + strings.Join(words, ", ") + "}", nil
}

// bare matches words that mean themselves without quotes, and reserved those that
// some reader of YAML takes for something else.
var (
	bare     = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]*( [A-Za-z0-9_.-]+)*$`)
	reserved = regexp.MustCompile(`(?i)^(true|false|yes|no|on|off|y|n|null|nan|inf)$`)
)

func writeWords(words, quote string) string {
	switch {
	case quote == `"`, strings.ContainsFunc(words, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return strconv.Quote(words)
	case quote == "" && bare.MatchString(words) && !reserved.MatchString(words):
		return words
	}
	return "'" + strings.ReplaceAll(words, "'", "''") + "'"
}

// quoteOf returns the mark that a value is quoted with, if it is.
func quoteOf(node ast.Node) string {
	if node == nil || node.GetToken() == nil {
		return ""
	}
	switch node.GetToken().Type {
	case token.SingleQuoteType:
		return "'"
	case token.DoubleQuoteType:
		return `"`
	}
	return ""
}

// flowText writes what is missing on the way to a value within brackets, the
// outermost left away.
func flowText(missing []step, k *key, value any) (string, error) {
	first, inner := missing[0], ""
	if len(missing) == 1 {
		if first.item {
			return "", fmt.Errorf("it is an entry; name a value in it: %s", strings.Join(k.names(), ", "))
		}
		var err error
		inner, err = write(value, k, "")
		return writeWords(first.name, "") + ": " + inner, err
	}
	inner, err := flowText(missing[1:], k, value)
	switch {
	case err != nil:
		return "", err
	case first.item:
		label := first.label.name + ": " + writeLabel(first)
		if missing[1].name == first.label.name {
			return "{" + inner + "}", nil
		}
		return "{" + label + ", " + inner + "}", nil
	case missing[1].item:
		return writeWords(first.name, "") + ": [" + inner + "]", nil
	}
	return writeWords(first.name, "") + ": {" + inner + "}", nil
}

func writeLabel(s step) string {
	if s.label.form == wholeForm {
		return s.name
	}
	return writeWords(s.name, "")
}

// blockLines writes what is missing on the way to a value on lines of its own.
func blockLines(missing []step, k *key, value any, indent, by int) ([]string, error) {
	margin, first := strings.Repeat(" ", indent), missing[0]
	if len(missing) == 1 {
		line, err := flowText(missing, k, value)
		return []string{margin + line}, err
	}
	if first.item {
		rest, err := blockLines(missing[1:], k, value, indent+len("- "), by)
		if missing[1].name == first.label.name && err == nil {
			rest[0] = margin + "- " + strings.TrimLeft(rest[0], " ")
			return rest, nil
		}
		return append([]string{margin + "- " + first.label.name + ": " + writeLabel(first)}, rest...), err
	}
	rest, err := blockLines(missing[1:], k, value, indent+by, by)
	return append([]string{margin + writeWords(first.name, "") + ":"}, rest...), err
}
