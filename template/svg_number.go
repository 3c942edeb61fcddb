package template

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// scanner reads the numbers of SVG attributes: separated by white space, a
// comma, a sign or a second decimal point.
type scanner struct {
	text string
	at   int
}

func (s *scanner) skipSpace() {
	for s.at < len(s.text) && strings.IndexByte(" \t\r\n\f", s.text[s.at]) >= 0 {
		s.at++
	}
}

// skipComma passes over white space and one comma at the most.
func (s *scanner) skipComma() {
	s.skipSpace()
	if s.at < len(s.text) && s.text[s.at] == ',' {
		s.at++
		s.skipSpace()
	}
}

func (s *scanner) done() bool {
	s.skipSpace()
	return s.at >= len(s.text)
}

func (s *scanner) digits() {
	for s.at < len(s.text) && s.text[s.at] >= '0' && s.text[s.at] <= '9' {
		s.at++
	}
}

// number reads one number.
func (s *scanner) number() (float64, error) {
	s.skipSpace()
	start := s.at
	if s.at < len(s.text) && (s.text[s.at] == '+' || s.text[s.at] == '-') {
		s.at++
	}
	s.digits()
	if s.at < len(s.text) && s.text[s.at] == '.' {
		s.at++
		s.digits()
	}
	s.exponent()
	value, err := strconv.ParseFloat(s.text[start:s.at], 64)
	if math.IsInf(value, 0) {
		return 0, fmt.Errorf("%s is out of range", s.text[start:s.at])
	}
	if err != nil {
		s.at = start
		return 0, fmt.Errorf("expected a number, found %s", s.rest())
	}
	return value, nil
}

// exponent passes over e and digits; an e without digits begins a unit (em).
func (s *scanner) exponent() {
	mark := s.at
	if s.at >= len(s.text) || s.text[s.at]|0x20 != 'e' {
		return
	}
	s.at++
	if s.at < len(s.text) && (s.text[s.at] == '+' || s.text[s.at] == '-') {
		s.at++
	}
	first := s.at
	if s.digits(); s.at == first {
		s.at = mark
	}
}

// rest quotes what comes next, for a message.
func (s *scanner) rest() string {
	const shown = 12
	switch rest := s.text[s.at:]; {
	case rest == "":
		return "the end"
	case len(rest) > shown:
		return fmt.Sprintf("%q…", rest[:shown])
	default:
		return fmt.Sprintf("%q", rest)
	}
}

// numbers reads a list of numbers to its end.
func numbers(text string) ([]float64, error) {
	s := scanner{text: text}
	var list []float64
	for !s.done() {
		if len(list) >= 2*maxSegments {
			return nil, fmt.Errorf("more than %d numbers", 2*maxSegments)
		}
		v, err := s.number()
		if err != nil {
			return nil, err
		}
		list = append(list, v)
		s.skipComma()
	}
	return list, nil
}

// millimetresPerInch is exact by the definition of the inch (1959).
const millimetresPerInch = 25.4

// pixelsPerInch is the CSS reference: 1 in = 96 px (CSS Values and Units Level
// 3, section 5.2, absolute lengths).
const pixelsPerInch = 96

// length is a CSS length as written.
type length struct {
	value float64
	unit  string // "" for a number without one
}

func parseLength(text string) (length, error) {
	s := scanner{text: text}
	value, err := s.number()
	if err != nil {
		return length{}, err
	}
	unit := strings.ToLower(strings.TrimSpace(s.text[s.at:]))
	switch unit {
	case "", "px", "mm", "cm", "q", "in", "pt", "pc", "%", "em", "rem", "ex", "vw", "vh":
		return length{value, unit}, nil
	}
	return length{}, fmt.Errorf("unit %q is not known; use mm, cm, in, pt, pc or px", unit)
}

// pixels returns the length in CSS pixels; ok is false for one that depends on
// something outside the drawing. A number without unit counts as pixels.
func (l length) pixels() (pixels float64, ok bool) {
	perInch := 0.0
	switch l.unit {
	case "", "px":
		return l.value, true
	case "mm":
		perInch = millimetresPerInch
	case "cm":
		perInch = millimetresPerInch / 10
	case "q": // a quarter of a millimetre
		perInch = millimetresPerInch * 4
	case "in":
		perInch = 1
	case "pt":
		perInch = 72
	case "pc":
		perInch = 6
	default:
		return 0, false
	}
	return l.value / perInch * pixelsPerInch, true
}

// real reports whether the length has a size of its own. A number without unit
// has none: icons are drawn on grids of any size.
func (l length) real() bool {
	_, ok := l.pixels()
	return ok && l.unit != ""
}
