package casefile

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// Limits on a case file, checked before it is parsed: the parser's time grows
// with the square of a file's size and of the depth of its brackets.
const (
	maxCaseBytes    = 64 << 10
	maxCaseBrackets = 32
)

// byteOrderMark is what some editors begin UTF-8 with.
var byteOrderMark = []byte("\ufeff")

// parseYAML returns the body of the file's only document.
func parseYAML(file string, data []byte) (ast.Node, error) {
	fail := func(problem, advice string) error {
		return Errors{{File: file, Problem: problem, Advice: advice}}
	}
	if len(data) > maxCaseBytes {
		return nil, fail(fmt.Sprintf("%d bytes, at most %d expected", len(data), maxCaseBytes), "This is not a case file")
	}
	data = bytes.TrimPrefix(data, byteOrderMark)
	if !utf8.Valid(data) {
		return nil, fail("not UTF-8 text", "Save it as plain text, encoding UTF-8")
	}
	if depth := bracketDepth(data); depth > maxCaseBrackets {
		return nil, fail(fmt.Sprintf("brackets opened %d deep, at most %d expected", depth, maxCaseBrackets), "This is not "+
			"a case file")
	}
	tree, err := parseSafely(data)
	if err != nil {
		fault := &Error{File: file, Problem: "not valid YAML: " + err.Error(), Cause: err}
		var syntax *yaml.SyntaxError
		if errors.As(err, &syntax) {
			fault.Problem = "not valid YAML: " + syntax.Message
			if strings.Contains(syntax.Message, `'\t'`) || strings.Contains(syntax.Message, "'\t'") {
				fault.Problem, fault.Advice = "not valid YAML: found a tab", "Indent with spaces, not with tabs"
			}
			if syntax.Token != nil && syntax.Token.Position != nil {
				fault.Line, fault.Column = syntax.Token.Position.Line, syntax.Token.Position.Column
			}
		}
		return nil, Errors{fault}
	}
	switch {
	case len(tree.Docs) == 0 || len(tree.Docs) == 1 && tree.Docs[0].Body == nil:
		return nil, fail("the file is empty", "earframe new makes a case file to edit")
	case len(tree.Docs) > 1:
		return nil, fail(fmt.Sprintf("%d documents, one expected", len(tree.Docs)), "Remove the lines --- and put every "+
			"case in a file of its own")
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
