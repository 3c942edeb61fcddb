package template

import (
	"cmp"
	"slices"
	"strings"
)

// styleValue is what an element itself sets a property to.
type styleValue struct {
	text string
	css  bool // by style, whose lengths and angles need units; else by an attribute
}

// keyword returns the value as a keyword, in lower case.
func (v styleValue) keyword() string { return strings.ToLower(v.text) }

// plain reports whether the property is not set, or to what it is anyway.
func (v styleValue) plain(usual string) bool {
	switch word := v.keyword(); word {
	case "", usual, "initial", "unset", "revert":
		return true
	}
	return false
}

// presentation lists the attributes that are properties as well; of the lengths of
// shapes, the attributes are read where the shapes are.
var presentation = []string{"display", "visibility", "fill-rule", "transform", "transform-origin", "transform-box"}

// styleOf returns what the element itself sets of the properties that matter
// here, by the CSS cascade (CSS Cascading and Inheritance Level 3, section 6):
// presentation attributes, then rules by their selectors' specificity and order,
// then its style attribute, then what is important, in the same order.
func (d *document) styleOf(e *element) map[string]styleValue {
	if e.styled {
		return e.style
	}
	e.styled = true
	set := func(property string, v styleValue) {
		if e.style == nil {
			e.style = map[string]styleValue{}
		}
		e.style[property] = v
	}
	for _, name := range presentation {
		if value, given := e.values[name]; given {
			set(name, styleValue{text: strings.TrimSpace(value)})
		}
	}
	rules := d.style.rulesOf(e)
	own := declarations(e.values["style"])
	for _, important := range []bool{false, true} {
		for _, rule := range rules {
			for _, s := range rule.sets {
				if s.important == important {
					set(s.property, styleValue{s.value, true})
				}
			}
		}
		for _, s := range own {
			if s.important == important {
				set(s.property, styleValue{s.value, true})
			}
		}
	}
	return e.style
}

// rulesOf returns the rules that match the element, those that count more later.
func (s *styleSheet) rulesOf(e *element) []*styleRule {
	if s.count == 0 {
		return nil
	}
	keys := []string{"*", e.name}
	if id := strings.TrimSpace(e.values["id"]); id != "" {
		keys = append(keys, "#"+id)
	}
	for _, class := range e.classes {
		if key := "." + class; !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	var matching []*styleRule
	for _, key := range keys {
		for _, rule := range s.rules[key] {
			if s.match(rule.selector, e) {
				matching = append(matching, rule)
			}
		}
	}
	slices.SortFunc(matching, func(a, b *styleRule) int {
		return cmp.Or(cmp.Compare(a.specificity, b.specificity), cmp.Compare(a.order, b.order))
	})
	return matching
}
