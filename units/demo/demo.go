// Package demo holds the demonstration case: the template of a left ear and its
// case file, invented measurements of a school-age child. No person was
// measured.
package demo

import "embed"

// Files are the demo's files: case.yaml and the template.svg that it names.
//
//go:embed case.yaml template.svg
var Files embed.FS

// The files' content.
var (
	Template = content("template.svg")
	Case     = content("case.yaml")
)

func content(name string) []byte {
	data, err := Files.ReadFile(name)
	if err != nil {
		panic(err) // it is embedded above
	}
	return data
}
