package template

import "strings"

// styleSheet holds the rules of a document's <style> elements for the two
// properties that matter here, by their selectors, so that an element costs the
// same however many there are. Selectors of one name only are understood:
// element, .class, #id, *.
type styleSheet struct {
	rules map[styleKey]styleRule
	count int // of rules so far
}

type styleKey struct{ selector, property string }

// styleRule is the last rule of a selector.
type styleRule struct {
	value string
	order int // from 1, in the document
}

func newStyleSheet() *styleSheet { return &styleSheet{rules: map[styleKey]styleRule{}} }

// add reads the text of a <style>; what it does not understand it passes over.
// It returns false if the document then has more than maxRules.
func (s *styleSheet) add(text string) bool {
	for block := range strings.SplitSeq(withoutComments(text), "}") {
		selectors, body, ok := strings.Cut(block, "{")
		if !ok {
			continue
		}
		for property, value := range declarations(body) {
			for selector := range strings.SplitSeq(selectors, ",") {
				selector = strings.TrimSpace(selector)
				if value == "" || selector == "" || strings.ContainsAny(selector, " >+~:[@") {
					continue
				}
				if s.count++; s.count > maxRules {
					return false
				}
				s.rules[styleKey{selector, property}] = styleRule{value, s.count}
			}
		}
	}
	return true
}

func withoutComments(sheet string) string {
	var kept strings.Builder
	for {
		before, after, found := strings.Cut(sheet, "/*")
		kept.WriteString(before)
		if !found {
			return kept.String()
		}
		if _, sheet, found = strings.Cut(after, "*/"); !found {
			return kept.String()
		}
	}
}

// declarations returns the properties of a style that matter here.
func declarations(style string) map[string]string {
	found := map[string]string{}
	for declaration := range strings.SplitSeq(style, ";") {
		property, value, _ := strings.Cut(declaration, ":")
		property = strings.TrimSpace(property)
		if property == "display" || property == "fill-rule" {
			value, _, _ = strings.Cut(value, "!")
			found[property] = strings.TrimSpace(value)
		}
	}
	return found
}

// property returns the value that the element itself sets, "" if it sets none:
// its style attribute before the style sheet (ids before classes before element
// names, later rules before earlier) before its presentation attribute, the
// order of the CSS cascade.
func (d *document) property(e *element, property string) string {
	if value := declarations(e.values["style"])[property]; value != "" {
		return value
	}
	if value := d.style.property(e, property); value != "" {
		return value
	}
	return strings.TrimSpace(e.values[property])
}

func (s *styleSheet) property(e *element, property string) string {
	if s.count == 0 {
		return ""
	}
	if e.ownID {
		if rule, given := s.rules[styleKey{"#" + e.id, property}]; given {
			return rule.value
		}
	}
	last := styleRule{}
	for class := range strings.FieldsSeq(e.values["class"]) {
		if rule := s.rules[styleKey{"." + class, property}]; rule.order > last.order {
			last = rule
		}
	}
	if last.order > 0 {
		return last.value
	}
	if rule, given := s.rules[styleKey{e.name, property}]; given {
		return rule.value
	}
	return s.rules[styleKey{"*", property}].value
}
