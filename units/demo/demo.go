// Package demo holds the demonstration case: the template of a left ear and its
// case file, invented measurements of a school-age child. No person was
// measured.
package demo

import _ "embed"

// Template is the demo's template.svg.
//
//go:embed template.svg
var Template []byte

// Case is the demo's case.yaml, to lie beside the template.
//
//go:embed case.yaml
var Case []byte
