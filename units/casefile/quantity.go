package casefile

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// scale is a unit that a quantity may be written in.
type scale struct {
	name string
	size float64 // in the key's own unit
}

// kilopascal is the unit that pressures and tensions are held in.
const kilopascal = "kPa"

// MmHg is a millimetre of mercury in kPa.
const MmHg = 101.325 / 760

// pressures are the units of suction.
var pressures = []scale{{kilopascal, 1}, {"mmHg", MmHg}}

// Suction says a suction, kPa, in both units, or that there is none.
func Suction(pressure float64) string {
	if pressure == 0 {
		return "no suction"
	}
	return fmt.Sprintf("%.0f mmHg (%.1f kPa)", pressure/MmHg, pressure)
}

// quantity is a number with what is behind it.
var quantity = regexp.MustCompile(`^([+-]?[0-9.,]+(?:[eE][+-]?[0-9]+)?) ?([^0-9., ]\S*)$`)

func (k *key) unitNames() []string {
	names := make([]string, len(k.units))
	for i, u := range k.units {
		names[i] = u.name
	}
	return names
}

// quantity returns a number with its unit in the key's own unit; ok is false where
// it is none.
func (k *key) quantity(words string) (value float64, ok bool) {
	parts := quantity.FindStringSubmatch(words)
	if parts == nil || !decimal.MatchString(parts[1]) {
		return 0, false
	}
	for _, u := range k.units {
		if u.name == parts[2] {
			value, err := strconv.ParseFloat(parts[1], 64)
			return value * u.size, err == nil
		}
	}
	return 0, false
}

func (r *reader) readQuantity(node ast.Node, k *key, e *Entry) *Entry {
	value, ok := k.quantity(e.Text)
	if !ok || value < k.least || value > k.most {
		r.fault(node, e.Path, "found "+found(node)+", expected "+k.expects(), k.quantityAdvice(e.Text))
		return nil
	}
	e.Number = value
	return e
}

// quantityAdvice says what keeps words from being a quantity.
func (k *key) quantityAdvice(words string) string {
	parts := quantity.FindStringSubmatch(words)
	switch {
	case decimal.MatchString(words):
		var ways []string
		for _, name := range k.unitNames() {
			ways = append(ways, words+" "+name)
		}
		return "Write the unit: " + strings.Join(ways, " or ")
	case strings.Contains(words, ","):
		return "Write a decimal point instead of the comma"
	case parts != nil && !slices.Contains(k.unitNames(), parts[2]):
		return guess(parts[2], k.unitNames())
	}
	return ""
}

// schemaPattern matches the quantities that the reader takes; their range is the
// reader's alone.
func (k *key) schemaPattern() string {
	return `^\+?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})? ?(` + strings.Join(k.unitNames(), "|") + `)$`
}
