package casefile

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// With returns the case with one value set. The path is that of a record's inputs:
// sections by dots, a list's entry in brackets by its name, part, outline or rib,
// or by its place from 1: skin.lateral, units[helix].rise[2].height. The value is
// a number, words, true or false, or a list of them. Sections and units that are
// not in the file are added, since a default can be changed too.
//
// The text keeps its comments, order, quotes and indentation: only the value's own
// lines change. A value that its key does not take is told as Errors.
func (c *Case) With(path string, value any) (*Case, error) {
	other, err := c.edited(path, false, func(d *document, t target) ([]change, error) {
		return d.set(t, value)
	})
	if err != nil || other == c {
		return other, err
	}
	// What was added can be taken back exactly.
	switch where, _ := c.find(path); {
	case len(where.missing) > 0:
		before := *c
		before.before = nil // one step back is enough, and memory stays flat
		other.added, other.before = path, &before
	case c.added == path:
		other.added, other.before = path, c.before
	}
	return other, nil
}

// Without returns the case with one value no longer given, so that its default
// holds. Where it is not given, that is the case itself.
func (c *Case) Without(path string) (*Case, error) {
	if c.before != nil && c.added == path {
		return c.before, nil
	}
	return c.edited(path, true, func(d *document, t target) ([]change, error) {
		return d.remove(t), nil
	})
}

// Text returns the case file's text.
func (c *Case) Text() []byte { return slices.Clone(c.text) }

// edited changes the text, reads it again and makes sure that nothing but the
// value at the path is another.
func (c *Case) edited(path string, removed bool, edit func(*document, target) ([]change, error)) (*Case, error) {
	d, err := newDocument(c.text)
	if err != nil {
		return nil, c.pathError(path, err)
	}
	t, err := d.target(path)
	if err != nil {
		return nil, c.pathError(path, err)
	}
	changes, err := edit(d, t)
	if err != nil {
		return nil, c.pathError(path, err)
	}
	if len(changes) == 0 {
		return c, nil
	}
	other, err := Parse(c.File, apply(c.text, d.mark, changes))
	if err != nil {
		return nil, err
	}
	other.read = c.read
	isTarget := func(at, _ string) bool { return t.holds(at) }
	was, is := c.root.values(""), other.root.values("")
	maps.DeleteFunc(was, isTarget)
	if removed && t.item != nil {
		was = t.movedUp(was) // those behind the entry come nearer
	} else {
		maps.DeleteFunc(is, isTarget)
	}
	if !maps.Equal(was, is) {
		return nil, c.pathError(path, fmt.Errorf("it cannot be changed by itself here; change it in the file"))
	}
	return other, nil
}

func (c *Case) find(path string) (target, error) {
	d, err := newDocument(c.text)
	if err != nil {
		return target{}, err
	}
	return d.target(path)
}

func (c *Case) pathError(path string, err error) error {
	return Errors{{File: c.File, Key: path, Problem: err.Error(), Cause: err}}
}

// values returns what is given, by the place in the file, as it is written.
func (e *Entry) values(at string) map[string]string {
	all := map[string]string{}
	switch {
	case e.fields != nil:
		for name, field := range e.fields {
			maps.Copy(all, field.values(at+"."+name))
		}
	case e.key.form == listForm:
		for i, item := range e.Items {
			maps.Copy(all, item.values(fmt.Sprintf("%s[%d]", at, i)))
		}
	case e.key.form != sectionForm:
		all[at] = e.Text
	}
	return all
}

// change replaces a stretch of the text.
type change struct {
	from, to int
	text     string
}

// apply makes the changes, which do not overlap, in a text whose first bytes are a
// mark that they do not count.
func apply(text []byte, mark int, changes []change) []byte {
	slices.SortFunc(changes, func(a, b change) int { return a.from - b.from })
	var out bytes.Buffer
	at := 0
	for _, c := range changes {
		out.Write(text[at : mark+c.from])
		out.WriteString(c.text)
		at = mark + c.to
	}
	out.Write(text[at:])
	return out.Bytes()
}

// set gives the target a value.
func (d *document) set(t target, value any) ([]change, error) {
	if t.key.form == sectionForm {
		return nil, fmt.Errorf("it is a section; name a value in it: %s", strings.Join(t.key.names(), ", "))
	}
	if len(t.missing) > 0 {
		return d.insert(t, value)
	}
	node := t.node()
	written, err := write(value, t.key, quoteOf(node))
	if err != nil {
		return nil, err
	}
	lo, hi, there := d.span(node)
	if there && string(d.text[lo:hi]) == written {
		return nil, nil
	}
	switch {
	case !there && t.pair != nil:
		_, colon := d.token(t.pair.Start)
		return []change{{colon, colon, " " + written}}, nil
	case !there:
		return nil, fmt.Errorf("there is no value to replace")
	case t.pair != nil && isBlock(node):
		_, colon := d.token(t.pair.Start)
		return []change{{colon, colon, " " + written}, {d.lineEnd(colon), d.lineEnd(hi), ""}}, nil
	}
	return []change{{lo, hi, written}}, nil
}

// insert adds what is missing on the way to a value.
func (d *document) insert(t target, value any) ([]change, error) {
	node := t.node()
	lo, hi, there := d.span(node)
	flow := t.flow || isFlow(node)
	if !flow && (isBlock(node) || !there) {
		return d.insertLines(t, value)
	}
	text, err := flowText(t.missing, t.key, value)
	if err != nil {
		return nil, err
	}
	_, list := node.(*ast.SequenceNode)
	if !list && !isMapping(node) { // no value yet, or an explicit null
		if t.missing[0].item {
			text = "[" + text + "]"
		} else {
			text = "{" + text + "}"
		}
		if there {
			return []change{{lo, hi, text}}, nil
		}
		_, colon := d.token(t.pair.Start)
		return []change{{colon, colon, " " + text}}, nil
	}
	if last, any := d.lastOf(node); any {
		return []change{{last, last, ", " + text}}, nil
	}
	return []change{{lo + 1, lo + 1, text}}, nil
}

// insertLines adds lines of their own at the end of a section or list, or under
// its heading.
func (d *document) insertLines(t target, value any) ([]change, error) {
	node := t.node()
	var at, indent int
	if lo, hi, there := d.span(node); there {
		indent = lo - d.lineStart(lo)
		at = d.pastComments(d.lineEnd(hi), indent)
	} else {
		lo, _, _ := d.span(t.pair.Key)
		_, colon := d.token(t.pair.Start)
		indent = lo - d.lineStart(lo) + d.indentStep()
		at = d.lineEnd(colon)
	}
	lines, err := blockLines(t.missing, t.key, value, indent, d.indentStep())
	if err != nil {
		return nil, err
	}
	return []change{{at, at, d.lineBreak() + strings.Join(lines, d.lineBreak())}}, nil
}

// remove takes the target out; nothing changes if it is not there.
func (d *document) remove(t target) []change {
	switch {
	case len(t.missing) > 0:
		return nil
	case t.pair != nil:
		return d.removePair(t)
	}
	return d.removeItem(t)
}

func (d *document) removePair(t target) []change {
	pairs := t.mapping.Values
	at := slices.Index(pairs, t.pair)
	lo, hi := d.pairSpan(t.pair)
	if t.mapping.IsFlowStyle {
		return []change{d.fromFlow(at, len(pairs), lo, hi, func(i int) (int, int) { return d.pairSpan(pairs[i]) })}
	}
	if strings.TrimSpace(string(d.text[d.lineStart(lo):lo])) != "" { // beside a dash
		if at+1 < len(pairs) {
			next, _ := d.pairSpan(pairs[at+1])
			return []change{{lo, next, ""}}
		}
		return []change{{lo, d.lineEnd(hi), ""}}
	}
	return []change{d.lines(lo, hi)}
}

func (d *document) removeItem(t target) []change {
	items := t.list.Values
	at := slices.Index(items, t.item)
	lo, hi, _ := d.span(t.item)
	if t.list.IsFlowStyle {
		return []change{d.fromFlow(at, len(items), lo, hi, func(i int) (int, int) {
			lo, hi, _ := d.span(items[i])
			return lo, hi
		})}
	}
	dash, _ := d.token(t.list.Entries[at].Start)
	return []change{d.lines(dash, hi)}
}

// fromFlow takes an entry and one comma out of a list in brackets.
func (d *document) fromFlow(at, count, lo, hi int, span func(i int) (int, int)) change {
	switch {
	case at > 0:
		_, before := span(at - 1)
		return change{before, hi, ""}
	case count > 1:
		next, _ := span(1)
		return change{lo, next, ""}
	}
	return change{lo, hi, ""}
}

// lines takes out the whole lines from one place to another.
func (d *document) lines(lo, hi int) change {
	from, to := d.lineStart(lo), d.lineEnd(hi)
	if to < len(d.text) {
		return change{from, to + len(d.lineBreakAt(to)), ""}
	}
	if from > 0 { // the last line, which has no end
		from -= len(d.lineBreak())
	}
	return change{from, to, ""}
}
