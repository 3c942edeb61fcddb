package units

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Short returns what to do and why in one line, without where: the Short of the
// finding's rule, in which {value} and {limit} stand for the finding's own with
// their unit, {lack} for what is lacking from the one to the other, {message} for
// its message and {advice} for the first sentence of its advice. A rule that has
// none gives the advice, and a finding without advice its message.
func (f Finding) Short() string {
	rule, _ := RuleOf(f.Rule)
	advice, _, _ := strings.Cut(f.Advice, ". ")
	advice = lowered(strings.TrimSuffix(advice, "."))
	if rule.Short == "" {
		return cmp.Or(advice, f.Message)
	}
	text := rule.Short
	if advice == "" {
		text = strings.TrimSuffix(text, ": {advice}")
	}
	// A lack is rounded up, so that none is said to be 0.0 mm.
	const slack = 1e-6
	lack := math.Ceil(10*math.Abs(f.Limit-f.Value)-slack) / 10
	return strings.NewReplacer("{value}", quantity(f.Value, f.Measure), "{limit}", quantity(f.Limit, f.Measure),
		"{lack}", quantity(lack, f.Measure), "{message}", f.Message, "{advice}", advice).Replace(text)
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
