package template

import (
	"fmt"
	"slices"
	"strings"
)

// styleSheet holds the rules of a document's <style> elements for the properties
// that matter here. Selectors of names, classes and ids are understood, also of
// elements within others (g .a) and of children (g > .a); a rule that matters and
// has another selector is a fault, since the drawing would come out otherwise than
// a browser shows it.
type styleSheet struct {
	rules map[string][]*styleRule // by what the element must have: #id, .class, its name, or *
	count int                     // of rules so far
	steps int                     // taken to hold elements against them
}

// maxSteps bounds the cost of holding elements against the rules of style sheets.
const maxSteps = 20_000_000

// styleRule is one selector with what it sets.
type styleRule struct {
	selector    []compound // from the outermost to the element's own
	specificity int        // ids before classes before names
	order       int        // from 1, in the document
	sets        []declaration
}

// compound is what an element must be.
type compound struct {
	name    string // "" for any
	ids     []string
	classes []string
	child   bool // of what the compound before says, not just within it
}

// declaration is one property as it was set.
type declaration struct {
	property, value string
	important       bool
}

func newStyleSheet() *styleSheet { return &styleSheet{rules: map[string][]*styleRule{}} }

// matters reports whether a property decides where an outline lies or whether it
// is drawn.
func matters(property string) bool {
	switch property {
	case "display", "visibility", "fill-rule",
		"transform", "transform-origin", "transform-box", "translate", "rotate", "scale", "offset-path", "zoom",
		"x", "y", "cx", "cy", "r", "rx", "ry", "width", "height", "d":
		return true
	}
	return false
}

// maxConditions bounds how deep conditions stand within one another.
const maxConditions = 10

// add reads the text of a <style> that begins in a line of the drawing.
func (s *styleSheet) add(text string, line int) error {
	return s.rulesIn(withoutComments(text), line, maxConditions)
}

// rulesIn takes in the rules of a text; depth is how many conditions may stand
// within one another there.
func (s *styleSheet) rulesIn(text string, line, depth int) error {
	for {
		rest := strings.TrimLeft(text, " \t\r\n\f;}")
		line += strings.Count(text[:len(text)-len(rest)], "\n")
		open := unquoted(rest, "{;")
		if open < 0 {
			return nil
		}
		prelude := rest[:open]
		bodyLine := line + strings.Count(prelude, "\n")
		if rest[open] == ';' { // @import and the like, or a stray declaration
			text, line = rest[open+1:], bodyLine
			continue
		}
		size := blockSize(rest[open:])
		block := rest[open : open+size]
		body := strings.TrimSuffix(block[1:], "}")
		if err := s.block(strings.TrimSpace(prelude), body, line, bodyLine, depth); err != nil {
			return err
		}
		text, line = rest[open+size:], bodyLine+strings.Count(block, "\n")
	}
}

// block takes in one rule: what stands before its braces, and between them.
func (s *styleSheet) block(prelude, body string, line, bodyLine, depth int) error {
	if strings.HasPrefix(prelude, "@") {
		return s.atRule(prelude, body, line, bodyLine, depth-1)
	}
	sets := declarations(body)
	if len(sets) == 0 {
		return nil
	}
	if strings.Contains(body, "{") {
		return styleFault(line, prelude, "has rules within it")
	}
	for text := range strings.SplitSeq(prelude, ",") {
		rule, known := parseSelector(strings.TrimSpace(text))
		if !known {
			return styleFault(line, prelude, "sets "+sets[0].property+" and has a selector that is not understood here")
		}
		if rule == nil {
			continue
		}
		if s.count++; s.count > maxRules {
			return &Fault{Kind: TooLarge, Line: line,
				Found:  fmt.Sprintf("the drawing's style sheets have more than %d rules", maxRules),
				Advice: "save the drawing as plain SVG"}
		}
		rule.order, rule.sets = s.count, sets
		key := rule.key()
		s.rules[key] = append(s.rules[key], rule)
	}
	return nil
}

// atRule takes in what holds on a screen; a condition that cannot be told here is
// a fault if it matters.
func (s *styleSheet) atRule(prelude, body string, line, bodyLine, depth int) error {
	words := strings.Fields(strings.ToLower(prelude))
	if depth < 0 {
		return styleFault(line, prelude, "stands in too many conditions")
	}
	switch words[0] {
	case "@media":
		switch media := strings.Join(words[1:], " "); {
		case onScreen(media):
			return s.rulesIn(body, bodyLine, depth)
		case media == "print":
			return nil
		}
	case "@supports", "@layer", "@container", "@scope":
	default: // fonts, key frames, pages: nothing that stands still
		return nil
	}
	tried := newStyleSheet()
	if err := tried.rulesIn(body, bodyLine, depth); err != nil || tried.count > 0 {
		return styleFault(line, prelude,
			"sets where or whether something is drawn, under a condition that cannot be told here")
	}
	return nil
}

// onScreen reports whether a media query holds for a screen of any kind.
func onScreen(media string) bool {
	media = strings.ToLower(strings.TrimSpace(media))
	return media == "" || media == "all" || media == "screen" || media == "only screen"
}

func styleFault(line int, rule, found string) *Fault {
	return &Fault{Kind: BadValue, Line: line, Found: fmt.Sprintf("the style rule %.60q %s", rule, found),
		Advice: "save the drawing as plain SVG, or set it at the element itself"}
}

// unquoted returns the index of the first of the letters that is not within
// quotes, -1 if there is none.
func unquoted(text, letters string) int {
	quote := byte(0)
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '\\':
			i++
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case strings.IndexByte(letters, c) >= 0:
			return i
		}
	}
	return -1
}

// blockSize returns the length of a block in braces, to the end if it is not
// closed.
func blockSize(text string) int {
	depth, at := 0, 0
	for {
		next := unquoted(text[at:], "{}")
		if next < 0 {
			return len(text)
		}
		at += next + 1
		if text[at-1] == '{' {
			depth++
		} else if depth--; depth == 0 {
			return at
		}
	}
}

// withoutComments blanks comments, their lines kept.
func withoutComments(sheet string) string {
	var kept strings.Builder
	for {
		before, after, found := strings.Cut(sheet, "/*")
		kept.WriteString(before)
		if !found {
			return kept.String()
		}
		var comment string
		comment, sheet, found = strings.Cut(after, "*/")
		kept.WriteString(" " + strings.Repeat("\n", strings.Count(comment, "\n")))
		if !found {
			return kept.String()
		}
	}
}

// declarations returns the properties of a style that matter here, in order.
func declarations(style string) []declaration {
	var found []declaration
	for style != "" {
		end := unquoted(style, ";")
		text := style
		if end >= 0 {
			text, style = style[:end], style[end+1:]
		} else {
			style = ""
		}
		property, value, _ := strings.Cut(text, ":")
		property = strings.ToLower(strings.TrimSpace(property))
		if !matters(property) {
			continue
		}
		value, note, _ := strings.Cut(value, "!")
		if value = strings.TrimSpace(value); value != "" {
			found = append(found, declaration{property, value, strings.EqualFold(strings.TrimSpace(note), "important")})
		}
	}
	return found
}

// never is what an element of a still drawing is not in.
var never = []string{"hover", "active", "focus", "focus-within", "focus-visible", "visited", "target"}

// parseSelector reads one selector. The rule is nil if nothing in a still drawing
// can match it; known is false if it is not understood.
func parseSelector(text string) (rule *styleRule, known bool) {
	if _, pseudo, found := strings.Cut(text, ":"); found {
		return nil, strings.HasPrefix(pseudo, ":") || slices.Contains(never, pseudo)
	}
	rule = &styleRule{}
	child := false
	for _, word := range strings.Fields(strings.ReplaceAll(text, ">", " > ")) {
		if word == ">" {
			if child || len(rule.selector) == 0 {
				return nil, false
			}
			child = true
			continue
		}
		c, specificity, ok := parseCompound(word)
		if !ok {
			return nil, false
		}
		c.child, child = child, false
		rule.selector = append(rule.selector, c)
		rule.specificity += specificity
	}
	return rule, len(rule.selector) > 0 && !child
}

// parseCompound reads a name, classes and ids written together.
func parseCompound(word string) (c compound, specificity int, ok bool) {
	const ofID, ofClass, ofName = 1_000_000, 1000, 1
	for first := true; word != ""; first = false {
		mark := word[0]
		rest := word
		if mark == '.' || mark == '#' {
			rest = word[1:]
		} else if !first {
			return c, 0, false
		}
		end := strings.IndexAny(rest, ".#")
		if end < 0 {
			end = len(rest)
		}
		name := rest[:end]
		if word = rest[end:]; name == "" || strings.ContainsAny(name, `+~[]()*\|"'&%@,`) && name != "*" {
			return c, 0, false
		}
		switch {
		case mark == '#':
			c.ids, specificity = append(c.ids, name), specificity+ofID
		case mark == '.':
			c.classes, specificity = append(c.classes, name), specificity+ofClass
		case name != "*":
			c.name, specificity = name, specificity+ofName
		}
	}
	return c, specificity, true
}

// key returns one thing that an element must have for the rule to match it.
func (r *styleRule) key() string {
	switch own := r.selector[len(r.selector)-1]; {
	case len(own.ids) > 0:
		return "#" + own.ids[0]
	case len(own.classes) > 0:
		return "." + own.classes[0]
	case own.name != "":
		return own.name
	}
	return "*"
}

func (c *compound) is(e *element) bool {
	if c.name != "" && c.name != e.name {
		return false
	}
	for _, id := range c.ids {
		if strings.TrimSpace(e.values["id"]) != id {
			return false
		}
	}
	for _, class := range c.classes {
		if !slices.Contains(e.classes, class) {
			return false
		}
	}
	return true
}

// match reports whether the selector is the element's, where it stands in the
// document.
func (s *styleSheet) match(selector []compound, e *element) bool {
	s.steps++
	if e != nil {
		s.steps += len(e.classes)
	}
	if s.steps > maxSteps {
		return false
	}
	last := len(selector) - 1
	switch {
	case e == nil || !selector[last].is(e):
		return false
	case last == 0:
		return true
	case selector[last].child:
		return s.match(selector[:last], e.parent)
	}
	for around := e.parent; around != nil; around = around.parent {
		if s.match(selector[:last], around) {
			return true
		}
	}
	return false
}
