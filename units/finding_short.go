package units

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Short returns what is wrong and what to do in one line, without where: Fault and Do
// of the finding's rule, in which {value} and {limit} stand for the finding's own
// with their unit, {lack} for what is lacking from the one to the other, {message} for
// its message and {advice} for the first sentence of its advice. Of a rule without
// a Fault it is the advice, and without advice the message.
func (f Finding) Short() string {
	rule, _ := RuleOf(f.Rule)
	do := f.inWords(rule.Do)
	switch fault := f.Fault(); {
	case rule.Fault == "":
		return cmp.Or(f.inWords("{advice}"), fault)
	case do == "":
		return fault
	default:
		return fault + ": " + do
	}
}

// Fault returns what is wrong in a few words, without where and what to do.
func (f Finding) Fault() string {
	rule, _ := RuleOf(f.Rule)
	return f.inWords(cmp.Or(rule.Fault, "{message}"))
}

// inWords puts the finding's own numbers and words into a rule's.
func (f Finding) inWords(text string) string {
	advice, _, _ := strings.Cut(f.Advice, ". ")
	return strings.NewReplacer("{value}", quantity(f.Value, f.Measure), "{limit}", quantity(f.Limit, f.Measure),
		"{lack}", f.Lack(), "{message}", f.Message, "{advice}", lowered(strings.TrimSuffix(advice, "."))).Replace(text)
}

// Lack says by how much the value misses the limit, with its unit, rounded up, so
// that no lack is said to be 0.0 mm.
func (f Finding) Lack() string {
	const slack = 1e-6
	return quantity(math.Ceil(10*math.Abs(f.Limit-f.Value)-slack)/10, f.Measure)
}

// Where names the unit or place that the finding is about; empty: the whole.
func (f Finding) Where() string { return cmp.Or(f.Place, f.Unit) }

// quantity writes a number with its unit, with the digits that a person goes by.
func quantity(v float64, measure string) string {
	switch measure {
	case "mm":
		if math.Abs(v) < 1 {
			return fmt.Sprintf("%.2f mm", v)
		}
		return fmt.Sprintf("%.1f mm", v)
	case "%", "percent":
		return fmt.Sprintf("%.0f %%", v)
	case "times", "mm³", "N/mm":
		return fmt.Sprintf("%.2f %s", v, measure)
	case "pieces":
		if v == 1 {
			return "1 piece"
		}
	case "":
		return fmt.Sprintf("%.4g", v)
	}
	return fmt.Sprintf("%.4g %s", v, measure)
}

// lowered returns the text as it goes on after a colon. A key of the case file that
// it may begin with is in small letters anyway.
func lowered(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return text
	}
	return string(unicode.ToLower(first)) + text[size:]
}
