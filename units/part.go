package units

import (
	"slices"

	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/parts"
)

// Part says which piece of the framework a unit is.
type Part = parts.Part

// The parts of a framework, and the recesses carved into the base frame.
const (
	Base      = parts.Base
	Helix     = parts.Helix
	Antihelix = parts.Antihelix
	Tragus    = parts.Tragus
	Concha    = parts.Concha

	Scapha = parts.Scapha
	Fossa  = parts.Fossa
)

// Side says which ear is built.
type Side = casefile.Side

// The two sides of the head.
const (
	Left  = casefile.Left
	Right = casefile.Right
)

// How a template is drawn.
const (
	DrawnSkin  = casefile.DrawnSkin
	DrawnFrame = casefile.DrawnFrame
)

// Value is one input of a plan with its provenance.
type Value = casefile.Value

// Origin says where a value comes from.
type Origin = casefile.Origin

// Where values come from.
const (
	Given            = casefile.Given
	Default          = casefile.Default
	UnsourcedDefault = casefile.UnsourcedDefault
	FromTemplate     = casefile.FromTemplate
)

// outlineNames returns everything that an outline of a drawing can be named.
func outlineNames() []string {
	return slices.Concat(template.PartNames(), template.MarkNames())
}
