package casefile

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// document is a case file's text with the place of every token in it. The lexer
// leaves nothing out but blanks at the ends of lines: its tokens' own texts, one after
// the other, are the text.
type document struct {
	text   []byte // without a byte order mark
	mark   int    // bytes of that mark
	body   ast.Node
	places map[*token.Token][2]int
}

// newDocument takes a text apart that was read as a case before.
func newDocument(text []byte) (*document, error) {
	d := &document{text: bytes.TrimPrefix(text, byteOrderMark), places: map[*token.Token][2]int{}}
	d.mark = len(text) - len(d.text)
	tokens := lexer.Tokenize(string(d.text))
	at := 0
	for _, t := range tokens {
		from, to, end, ok := d.follow(at, t.Origin)
		if !ok {
			return nil, fmt.Errorf("the file's text cannot be followed from byte %d on; change it in the file", at)
		}
		d.places[t] = [2]int{from, to}
		at = end
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, err
	}
	if len(file.Docs) != 1 {
		return nil, fmt.Errorf("%d documents, one expected", len(file.Docs))
	}
	d.body = file.Docs[0].Body
	return d, nil
}

const blanks = " \t\r\n"

// follow returns where a token's text stands from a place on, without the blanks around
// it, and where it ends with them. The lexer leaves out blanks at the ends of lines.
func (d *document) follow(at int, origin string) (from, to, end int, ok bool) {
	from, to = -1, at
	for i := range len(origin) {
		if at < len(d.text) && d.text[at] != origin[i] {
			rest := bytes.TrimLeft(d.text[at:], " \t")
			if len(rest) == 0 || rest[0] == '\r' || rest[0] == '\n' {
				at = len(d.text) - len(rest)
			}
		}
		if at >= len(d.text) || d.text[at] != origin[i] {
			return 0, 0, 0, false
		}
		at++
		if !strings.ContainsRune(blanks, rune(origin[i])) {
			if from < 0 {
				from = at - 1
			}
			to = at
		}
	}
	if from < 0 {
		from, to = at, at
	}
	return from, to, at, true
}

// token returns where a token stands, without the blanks around it.
func (d *document) token(t *token.Token) (lo, hi int) {
	place := d.places[t]
	return place[0], place[1]
}

// span returns where a value stands in the text; ok is false for one that is not
// written, as after a heading.
func (d *document) span(node ast.Node) (lo, hi int, ok bool) {
	switch n := node.(type) {
	case nil:
		return 0, 0, false
	case *ast.LiteralNode:
		lo, _ = d.token(n.Start)
		_, hi = d.token(n.Value.Token)
		return lo, hi, true
	case *ast.MappingNode:
		if n.IsFlowStyle {
			lo, _ = d.token(n.Start)
			_, hi = d.token(n.End)
			return lo, hi, true
		}
		lo, _ = d.pairSpan(n.Values[0])
		_, hi = d.pairSpan(n.Values[len(n.Values)-1])
		return lo, hi, true
	case *ast.SequenceNode:
		lo, _ = d.token(n.Start)
		if n.IsFlowStyle {
			_, hi = d.token(n.End)
			return lo, hi, true
		}
		last := len(n.Values) - 1
		if _, hi, ok = d.span(n.Values[last]); !ok {
			_, hi = d.token(n.Entries[last].Start)
		}
		return lo, hi, true
	}
	place, ok := d.places[node.GetToken()]
	return place[0], place[1], ok && place[1] > place[0]
}

// pairSpan returns where a key with its value stands.
func (d *document) pairSpan(pair *ast.MappingValueNode) (lo, hi int) {
	lo, _, _ = d.span(pair.Key)
	_, hi = d.token(pair.Start)
	if _, end, there := d.span(pair.Value); there {
		hi = end
	}
	return lo, hi
}

// lastOf returns where the last entry of a list or section ends; ok is false if it
// has none.
func (d *document) lastOf(node ast.Node) (end int, ok bool) {
	switch n := node.(type) {
	case *ast.MappingNode:
		if len(n.Values) > 0 {
			_, end = d.pairSpan(n.Values[len(n.Values)-1])
			return end, true
		}
	case *ast.SequenceNode:
		if len(n.Values) > 0 {
			_, end, _ = d.span(n.Values[len(n.Values)-1])
			return end, true
		}
	}
	return 0, false
}

func isFlow(node ast.Node) bool {
	switch n := node.(type) {
	case *ast.MappingNode:
		return n.IsFlowStyle
	case *ast.SequenceNode:
		return n.IsFlowStyle
	}
	return false
}

func isMapping(node ast.Node) bool {
	_, ok := node.(*ast.MappingNode)
	return ok
}

// isBlock reports whether a value stands on lines of its own.
func isBlock(node ast.Node) bool {
	_, list := node.(*ast.SequenceNode)
	return (list || isMapping(node)) && !isFlow(node)
}

// lineStart returns where the line of a place begins.
func (d *document) lineStart(at int) int { return bytes.LastIndexByte(d.text[:at], '\n') + 1 }

// lineEnd returns where the line of a place ends, before its line break.
func (d *document) lineEnd(at int) int {
	end := len(d.text)
	if i := bytes.IndexByte(d.text[at:], '\n'); i >= 0 {
		end = at + i
	}
	if end > at && d.text[end-1] == '\r' {
		end--
	}
	return end
}

// lineBreak returns the line break of the file.
func (d *document) lineBreak() string {
	if i := bytes.IndexByte(d.text, '\n'); i > 0 && d.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

func (d *document) lineBreakAt(at int) string {
	if d.text[at] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// indentStep returns by how many spaces the file indents its sections.
func (d *document) indentStep() int {
	const usual, most = 2, 8
	least := most + 1
	for line := range strings.Lines(string(d.text)) {
		rest := strings.TrimLeft(line, " ")
		if step := len(line) - len(rest); step > 0 && rest != "" && !strings.ContainsAny(rest[:1], "#\r\n") {
			least = min(least, step)
		}
	}
	if least > most {
		return usual
	}
	return least
}

// pastComments returns the end of the last of the comment lines that follow a
// line's end and are indented deeper than the given: they belong to what is
// above them.
func (d *document) pastComments(end, indent int) int {
	for {
		next := end
		if next == len(d.text) {
			return end
		}
		next += len(d.lineBreakAt(next))
		line := string(d.text[next:d.lineEnd(next)])
		rest := strings.TrimLeft(line, " ")
		if !strings.HasPrefix(rest, "#") || len(line)-len(rest) <= indent {
			return end
		}
		end = next + len(line)
	}
}
