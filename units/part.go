package units

import (
	"slices"

	"earframe/template"
)

// Part says which piece of the framework a unit is.
type Part string

// The parts of a framework, by the ids they have in a drawing.
const (
	Base      Part = "base"
	Helix     Part = "helix"
	Antihelix Part = "antihelix"
	Tragus    Part = "tragus"
	Concha    Part = "concha"
)

// The recesses carved into the base frame, by the ids they have in a drawing.
const (
	Scapha = "scapha"
	Fossa  = "fossa"
)

// Parts returns all parts, the base frame first, in the order they are shown.
func Parts() []Part { return []Part{Base, Helix, Antihelix, Tragus, Concha} }

// Label returns the part's name as it is shown.
func (p Part) Label() string {
	switch p {
	case Base:
		return "Base frame"
	case Helix:
		return "Helix with crus"
	case Antihelix:
		return "Antihelix"
	case Tragus:
		return "Tragus"
	case Concha:
		return "Conchal vault"
	}
	return string(p)
}

// Colour returns the part's colour as #RRGGBB, from the palette of Okabe and
// Ito ("Color Universal Design", 2008), which readers with any common colour
// vision tell apart.
func (p Part) Colour() string {
	switch p {
	case Base:
		return "#56B4E9"
	case Helix:
		return "#E69F00"
	case Antihelix:
		return "#009E73"
	case Tragus:
		return "#CC79A7"
	case Concha:
		return "#0072B2"
	}
	return "#999999"
}

func partNames() []string {
	var names []string
	for _, p := range Parts() {
		names = append(names, string(p))
	}
	return names
}

// outlineNames returns everything that an outline of a drawing can be named.
func outlineNames() []string {
	return slices.Concat(template.PartNames(), template.MarkNames())
}

// Side says which ear is built.
type Side string

// The two sides of the head.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Letter returns L or R.
func (s Side) Letter() string {
	if s == Right {
		return "R"
	}
	return "L"
}
