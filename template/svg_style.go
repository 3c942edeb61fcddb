package template

import (
	"slices"
	"strings"
)

// styleRule is one rule of a <style> element for the two properties that matter
// here. Selectors of one name only are understood: element, .class, #id, *.
type styleRule struct {
	selector string
	property string
	value    string
}

// maxRules bounds a style sheet: every element is held against every rule.
const maxRules = 1000

// parseRules reads a style sheet; what it does not understand it passes over.
func parseRules(sheet string) []styleRule {
	var rules []styleRule
	for block := range strings.SplitSeq(withoutComments(sheet), "}") {
		selectors, body, ok := strings.Cut(block, "{")
		if !ok {
			continue
		}
		for property, value := range declarations(body) {
			for selector := range strings.SplitSeq(selectors, ",") {
				if len(rules) >= maxRules {
					return rules
				}
				if selector = strings.TrimSpace(selector); selector != "" && !strings.ContainsAny(selector, " >+~:[@") {
					rules = append(rules, styleRule{selector, property, value})
				}
			}
		}
	}
	return rules
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
	classes := strings.Fields(e.values["class"])
	best, value := -1, ""
	for _, rule := range d.rules {
		if rule.property != property {
			continue
		}
		weight := -1
		switch name := rule.selector[1:]; {
		case rule.selector == "#"+e.id && e.ownID:
			weight = 3
		case rule.selector[0] == '.' && slices.Contains(classes, name):
			weight = 2
		case rule.selector == e.name:
			weight = 1
		case rule.selector == "*":
			weight = 0
		}
		if weight >= 0 && weight >= best {
			best, value = weight, rule.value
		}
	}
	if value != "" {
		return value
	}
	return strings.TrimSpace(e.values[property])
}
